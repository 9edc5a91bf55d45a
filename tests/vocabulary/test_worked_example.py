"""The sign that DEVELOPERS.md works out, added to a fresh copy of the table and sent everywhere.

It runs in a process of its own, since whatever walks the table takes it when it is loaded. The
MusicXML is judged by the W3C schema of MusicXML 4.0 (PyPI package musicxml).
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from lxml import etree

from tests import musicxml_schema

DEVELOPERS = Path(__file__).parents[2] / "DEVELOPERS.md"
CHECK = """
import json, sys
import rollstave

tab = sys.stdin.read()
(tune,) = rollstave.read(tab)
found = {name: rollstave.write(tune, name)[0].decode() for name in ("text", "musicxml", "svg")}
(back,) = rollstave.read(found["text"])
(again,) = rollstave.read(found["musicxml"])
for name, one in (("typed", tune), ("from text", back), ("from musicxml", again)):
    found[name] = [[n.fret, list(n.marks)] for e in one.score.measures[0].events for n in e.notes]
found["problems"] = [p.code for p in tune.problems]
json.dump(found, sys.stdout)
"""
TAB = (
    "Title: Weir Lane\nTuning: gDGBD\nKey: G\nTime: 4/4\n\n{legend}"
    "D|-7{sign}-----5-------|\n"
    + "".join(f"{name}|{'-' * 17}|\n" for name in "BGDg")
    + "   1         3\n"
)


def example() -> str:
    match = re.search(
        r"<!-- sign -->\n```python\n(.*?)```", DEVELOPERS.read_text("utf-8"), re.DOTALL
    )
    assert match is not None
    return match[1]


def run(text: str, code: str) -> dict[str, object]:
    done = subprocess.run(
        [sys.executable, "-c", code], input=text, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert isinstance(found, dict)
    return found


@pytest.mark.parametrize(("sign", "legend"), [("ac", ""), ("* ", "* = accent\n\n")])
def test_a_row_and_a_drawing_are_enough(sign: str, legend: str) -> None:
    text = TAB.format(sign=sign.strip().ljust(2, "-"), legend=legend)
    found = run(text, example() + CHECK)
    wanted = [[7, ["accent"]], [5, []]]
    assert found["typed"] == found["from text"] == found["from musicxml"] == wanted
    assert "7ac" in str(found["text"])
    root = etree.fromstring(str(found["musicxml"]).encode())
    assert musicxml_schema.errors(root) == []
    assert len(root.findall(".//articulations/accent")) == 2  # on the staff and on the tab
    sheet = etree.fromstring(str(found["svg"]).encode())
    classes = [e.get("class") for e in sheet.iter("{*}g")]
    assert classes.count("accent") == 1
    key = ["".join(e.itertext()) for e in sheet.iter("{*}text") if e.get("class") == "key-words"]
    assert "accent" in key


def test_without_the_row_it_is_no_sign() -> None:
    found = run(TAB.format(sign="ac", legend=""), CHECK)
    assert "unread" in str(found["problems"])
