"""Headings that hold for many tabs: a file of a folder, or an option of a run."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

import rollstave
from rollstave.cli.main import main

ROWS = "\n".join(
    f"{label}|{row}|{row}|"
    for label, row in (
        ("D", "--0---0---0---0-"),
        ("B", "----0-------0---"),
        ("G", "0-------0-------"),
        ("D", "----------------"),
        ("g", "------0-------0-"),
    )
)


def run(*arguments: object) -> str:
    result = CliRunner().invoke(main, [str(a) for a in arguments])
    assert result.exit_code in (0, 1), result.output
    return result.output


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Tabs in a folder and in one below it, each with a word of its own or none."""
    (tmp_path / "below").mkdir()
    (tmp_path / "headings.txt").write_text("Time: 2/4\nSource: the school of Larkspur Ferry\n")
    (tmp_path / "below" / "headings.txt").write_text("Time: 2/2\n")
    (tmp_path / "silent.txt").write_text(f"Title: Silent Weir\n\n{ROWS}\n")
    (tmp_path / "says.txt").write_text(f"Title: Plain Weir\nTime: 4/4\n\n{ROWS}\n")
    (tmp_path / "below" / "silent.txt").write_text(f"Title: Lower Weir\n\n{ROWS}\n")
    return tmp_path


def _meters(out: Path) -> dict[str, str]:
    report = json.loads((out / "report.json").read_text())
    return {tune["title"]: tune["meter"] for tune in report["tunes"]}


def test_a_folder_gives_headings_to_the_tabs_below_it(folder: Path) -> None:
    out = folder.parent / f"{folder.name}-out"
    run("convert", folder, "--to", "midi", "--out", out)
    expected = {"Silent Weir": "2/4", "Plain Weir": "4/4", "Lower Weir": "2/2"}
    assert _meters(out) == expected
    # Other headings are another conversion: what they hold for is done again.
    (folder / "headings.txt").write_text("Time: 4/4\n")
    run("convert", folder, "--to", "midi", "--out", out)
    assert _meters(out) == expected | {"Silent Weir": "4/4"}


def test_a_run_gives_headings_before_the_folder(folder: Path) -> None:
    out = folder.parent / f"{folder.name}-out"
    run("convert", folder, "--to", "midi", "--out", out, "--heading", "Time: 6/8")
    assert _meters(out) == {"Silent Weir": "6/8", "Plain Weir": "4/4", "Lower Weir": "6/8"}


@pytest.mark.parametrize("command", ["convert", "check"])
def test_one_file_has_the_headings_of_its_folder_and_says_so(folder: Path, command: str) -> None:
    told = run(command, folder / "silent.txt")
    assert "meter: 2/4" in told
    assert "time: 2/4 (declared: given for all tabs here)" in told
    assert "source: the school of Larkspur Ferry" in told


def test_tidy_writes_them_into_the_tab(folder: Path) -> None:
    run("tidy", folder / "silent.txt", "--force")
    assert "Time: 2/4" in (folder / "silent.txt").read_text()


def test_a_line_that_cannot_hold_for_many_is_said() -> None:
    (tune,) = rollstave.read(ROWS, headings="Title: Every Weir\nTime: 3/4\nwords of no kind")
    assert str(tune.score.meter) == "3/4"
    assert tune.score.title == ""
    said = [p.message for p in tune.problems if p.code == "given"]
    assert len(said) == 2
    assert "'Title: Every Weir'" in said[0]


def test_an_instrument_is_given_too() -> None:
    four = "\n".join(f"|{row}|" for row in ("0--2", "----", "-3--", "----"))
    (tune,) = rollstave.read(f"{four}\n\n{four}", headings="Instrument: mandolin")
    assert tune.score.setup.instrument.name == "mandolin"
    (tune,) = rollstave.read(f"Instrument: ukulele\n\n{four}", headings="Instrument: mandolin")
    assert tune.score.setup.instrument.name == "ukulele"
