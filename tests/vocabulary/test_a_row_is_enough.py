"""The worked example in DEVELOPERS.md: a heading is added by one row of the table, in a copy of
the package, and everybody knows it."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import rollstave

DEVELOPERS = Path(__file__).parents[2] / "DEVELOPERS.md"
_ROW = re.compile(r"<!-- row of HEADINGS -->\n\s*```python\n(?P<row>.*?)```", re.DOTALL)
TAB = "".join(f"{label}|-0---2---0---2---|\n" for label in "DBGD") + "g|-0---9---0---9---|\n"
TEXT = f"Title: Two Oars\nwritten in: spring 1902\nKey: G\n\nA line of words.\n\n{TAB}"
# Run in the copy: what each format has of the heading.
SCRIPT = """
import json, sys, rollstave
path = sys.argv[1]
from pathlib import Path
(tune,) = rollstave.read(Path(path))
(xml,) = rollstave.write(tune, "musicxml")
(back,) = rollstave.read(xml)
(html,) = rollstave.write(back, "html")
print(json.dumps({
    "said": tune.score.said,
    "notes": tune.score.notes,
    "back": back.score.said,
    "told": [[f.subject, f.value] for f in tune.findings if f.subject == "date"],
    "text": rollstave.write(back, "text")[0].decode(),
    "musicxml": xml.decode(),
    "svg": rollstave.write(back, "svg")[0].decode(),
    "html": html.decode(),
}))
"""


class Copy:
    """A copy of the package, with a row more in its table of headings."""

    def __init__(self, folder: Path, row: str) -> None:
        self.folder = folder
        package = Path(rollstave.__file__).parent
        shutil.copytree(package, folder / "rollstave", ignore=shutil.ignore_patterns("__pycache__"))
        table = folder / "rollstave" / "vocabulary" / "headings.py"
        source = table.read_text(encoding="utf-8")
        begins = "HEADINGS: tuple[HeadingRow, ...] = (\n"
        assert source.count(begins) == 1
        table.write_text(source.replace(begins, begins + row), encoding="utf-8")

    def run(self, *arguments: str) -> str:
        """Run python in the copy; its output."""
        done = subprocess.run(
            [sys.executable, *arguments],
            env=os.environ | {"PYTHONPATH": str(self.folder)},
            cwd=self.folder,
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Copy:
    match = _ROW.search(DEVELOPERS.read_text(encoding="utf-8"))
    assert match is not None
    return Copy(tmp_path_factory.mktemp("copy"), match["row"])


def test_it_is_read_written_and_shown(copy: Copy) -> None:
    path = copy.folder / "oars.txt"
    path.write_text(TEXT, encoding="utf-8")
    found = json.loads(copy.run("-c", SCRIPT, str(path)))
    assert found["said"] == found["back"] == [["date", "spring 1902"]]
    assert found["told"] == [["date", "spring 1902"]]
    assert found["notes"] == ["A line of words."]
    assert "Date: spring 1902\n" in found["text"]
    assert '<miscellaneous-field name="date">spring 1902</miscellaneous-field>' in found["musicxml"]
    assert "composed spring 1902" in found["svg"]
    assert "composed spring 1902" in found["html"]


def test_tidy_keeps_it(copy: Copy) -> None:
    path = copy.folder / "tidy.txt"
    path.write_text(TEXT, encoding="utf-8")
    copy.run("-m", "rollstave", "tidy", str(path))
    text = path.read_text(encoding="utf-8")
    assert text != TEXT
    assert "Date: spring 1902\n" in text
    assert text.count("1902") == 1


def test_without_the_row_the_line_stays_words() -> None:
    (tune,) = rollstave.read(TEXT)
    assert tune.score.notes == ("written in: spring 1902", "A line of words.")
