"""The guide in DEVELOPERS.md, done as it says: the plugin in it is built, installed into a fresh
virtual environment beside the project, and used from the command line."""

from __future__ import annotations

import json
import os
import re
import site
import subprocess
import sys
import venv
from pathlib import Path

import pytest

DEVELOPERS = Path(__file__).parents[2] / "DEVELOPERS.md"
_BLOCK = re.compile(r"<!-- plugin: (?P<name>\S+) -->\n```\w*\n(?P<text>.*?)```", re.DOTALL)


def blocks() -> dict[str, str]:
    """The blocks of the guide by the name in the comment before each."""
    text = DEVELOPERS.read_text("utf-8")
    return {match["name"]: match["text"] for match in _BLOCK.finditer(text)}


class Beside:
    """A fresh virtual environment that sees this one's packages, rollstave among them."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        venv.create(folder / "venv", with_pip=False)
        (packages,) = (folder / "venv").glob("lib/python*/site-packages")
        here = [p for p in (*site.getsitepackages(), *sys.path) if p.endswith("site-packages")]
        lines = [f"import site; site.addsitedir({p!r})" for p in dict.fromkeys(here)]
        (packages / "beside.pth").write_text("\n".join(lines) + "\n", encoding="utf-8")
        self.packages = packages

    def run(self, *words: str, code: int = 0) -> str:
        """Run python in it; its output."""
        environment = {k: v for k, v in os.environ.items() if not k.startswith("PYTHON")}
        done = subprocess.run(
            [str(self.folder / "venv" / "bin" / "python"), *words],
            cwd=self.folder,
            env=environment | {"PIP_DISABLE_PIP_VERSION_CHECK": "1"},
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == code, done.stdout + done.stderr
        return done.stdout + done.stderr


@pytest.fixture(scope="module")
def beside(tmp_path_factory: pytest.TempPathFactory) -> Beside:
    folder = tmp_path_factory.mktemp("guide")
    for name, text in blocks().items():
        if name == "commands":
            continue
        path = folder / name if name == "box.txt" else folder / "box-tabs" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    made = Beside(folder)
    # The guide's own command; what it would fetch is there already, so it needs no network.
    without = ("--no-deps", "--no-build-isolation", "--no-index", "--quiet")
    made.run("-m", "pip", "install", *without, "./box-tabs")
    return made


def rollstave_commands() -> list[list[str]]:
    lines = blocks()["commands"].splitlines()
    assert lines[0] == "pip install ./box-tabs"
    return [line.split()[1:] for line in lines[1:] if line.startswith("rollstave ")]


def test_the_guides_commands_do_what_they_say(beside: Beside) -> None:
    """Frets of a string tuned to G3 at 0, 2, 3 and 5 are G, A, Bb and C: a semitone for each."""
    listed, converted, tunings = (beside.run("-m", "rollstave", *c) for c in rollstave_commands())
    assert "box-tabs (box-tabs 0.1)" in listed
    assert "writers: notelist" in listed
    assert "box-tabs" not in listed.partition("left out")[2]
    assert "read as box pairs" in converted
    table = (beside.folder / "out" / "box.csv").read_text("utf-8").splitlines()
    assert table[:5] == [
        "measure,time,string,fret,pitch",
        "1,0,1,0,G3",
        "1,1,1,2,A3",
        "1,2,1,3,Bb3",
        "1,3,1,5,C4",
    ]
    assert len(table) == 15  # 14 notes
    assert "Cigar-box guitar tuning" in (beside.folder / "out" / "box.svg").read_text("utf-8")
    assert "cigar-box guitar" in tunings


def test_an_error_in_the_dialect_points_into_the_users_file(beside: Beside) -> None:
    bad = beside.folder / "bad.txt"
    bad.write_text("box pairs\n1:0 . 7:2 . 1:3 . 1:5 .\n1:99 . 1:0 . 1:0 . 1:0 .\n")
    said = beside.run("-m", "rollstave", "convert", "bad.txt", code=2)
    assert "bad.txt:2:7: error: '7:2' is no pair" in said
    bad.write_text("box pairs\n1:0 . 1:2 . 1:3 . 1:5 .\n1:99 . 1:0 . 1:0 . 1:0 .\n")
    said = beside.run("-m", "rollstave", "convert", "bad.txt", code=2)
    assert "bad.txt:3:1: error: fret 99" in said


def test_a_broken_plugin_beside_it_is_named_and_exit_codes_stay(beside: Beside) -> None:
    info = beside.packages / "sunken-0.3.dist-info"
    info.mkdir(exist_ok=True)
    (info / "METADATA").write_text("Metadata-Version: 2.1\nName: sunken\nVersion: 0.3\n")
    (info / "entry_points.txt").write_text("[rollstave]\nsunken = sunken_boat\n")
    try:
        listed = beside.run("-m", "rollstave", "plugins")
        assert "sunken (sunken 0.3): it cannot be imported: No module named" in listed
        report = json.loads(beside.run("-m", "rollstave", "plugins", "--json"))
        assert [fault["plugin"] for fault in report["left_out"]] == ["sunken"]
        said = beside.run("-m", "rollstave", "convert", "box.txt", "--to", "text", "--out", "out")
        assert said.count("plugin sunken") == 1
        assert "Traceback" not in said
    finally:
        for path in info.iterdir():
            path.unlink()
        info.rmdir()
