"""``rollstave convert`` on a score that was edited on one staff alone.

The edit is made in the file that rollstave writes: the first note of measure 2 is a tone higher on
the staff, as an arranger's program would write it.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from lxml import etree

import rollstave
from rollstave.cli.main import main

TUNE = """Title: The Weir Gate
Tuning: gDGBD
Time: 4/4

   G                 G
D|-0---2---0---2---|-0---2---0---2---|
B|-----------------|-----------------|
G|-----------------|-----------------|
D|-----------------|-----------------|
g|-----------------|-----------------|
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "tune.txt").write_text(TUNE)
    (tune,) = rollstave.read(TUNE)
    root = etree.fromstring(rollstave.write(tune, "musicxml")[0])
    (step,) = root.xpath("//measure[@number='2']/note[staff='1'][1]/pitch/step")
    assert step.text == "D"
    step.text = "E"
    (tmp_path / "edited.musicxml").write_bytes(etree.tostring(root))
    return tmp_path


def converted(folder: Path, *options: str) -> Result:
    arguments = [str(folder / "edited.musicxml"), "--to", "text", "--out", str(folder / "out")]
    return CliRunner().invoke(main, ["convert", *arguments, *options])


def test_both_readings_are_told_and_nothing_is_written(folder: Path) -> None:
    result = converted(folder)
    assert result.exit_code == 2
    assert "measure 2, beat 1: the staff has E4, the tab D4 (string 1, fret 0)" in result.output
    assert not list(folder.glob("out/*"))


@pytest.mark.parametrize(
    ("options", "row"),
    [
        (["--lead", "staff"], "-0---2---0---2---|-2---2---0---2---"),
        (["--lead", "tab"], "-0---2---0---2---|-0---2---0---2---"),
        (["--since", "tune.txt"], "-0---2---0---2---|-2---2---0---2---"),
        (["--since", "tune.txt", "--lead", "newer"], "-0---2---0---2---|-2---2---0---2---"),
    ],
)
def test_what_leads_is_written(folder: Path, options: list[str], row: str) -> None:
    options = [str(folder / o) if o.endswith(".txt") else o for o in options]
    result = converted(folder, *options)
    assert result.exit_code == 0, result.output
    assert row in (folder / "out" / "edited.txt").read_text()
    assert "the staff has E4" in result.output


def test_newer_needs_something_to_be_newer_than(folder: Path) -> None:
    result = converted(folder, "--lead", "newer")
    assert result.exit_code == 2
    assert "--since" in result.output


def test_since_is_for_one_score(folder: Path) -> None:
    arguments = [str(folder), "--out", str(folder / "out"), "--since", str(folder / "tune.txt")]
    result = CliRunner().invoke(main, ["convert", *arguments])
    assert result.exit_code == 2
    assert "--since is for one score" in result.output


def test_an_octave_is_for_folders_too(folder: Path) -> None:
    (folder / "tune.txt").unlink()
    (tune,) = rollstave.read(TUNE)
    (folder / "edited.musicxml").write_bytes(rollstave.write(tune, "musicxml")[0])
    options = ["--to", "text", "--octave", "1", "--out", str(folder / "out"), "--jobs", "1"]
    result = CliRunner().invoke(main, ["convert", str(folder), *options])
    assert result.exit_code == 0, result.output
    (higher,) = rollstave.read(folder / "out" / "edited.txt")
    pitches = [n.pitch.midi for m in higher.score.measures for e in m.events for n in e.notes]
    assert pitches == [74, 76] * 4  # D5 and E5, an octave over D4 and E4


OTHER = TUNE.replace("The Weir Gate", "The Ferry Bell").replace(
    "-0---2---0---2---", "-5---4---5---7---"
)


@pytest.mark.parametrize("titled", [True, False])
def test_since_may_name_a_file_of_several_tunes(folder: Path, titled: bool) -> None:
    """The tune of the same title counts, or the one that has most of the notes."""
    book = OTHER + "\n\n" + (TUNE if titled else TUNE.replace("The Weir Gate", "Gate of the Weir"))
    (folder / "book.txt").write_text(book)
    result = converted(folder, "--since", str(folder / "book.txt"))
    assert result.exit_code == 0, result.output
    assert "-0---2---0---2---|-2---2---0---2---" in (folder / "out" / "edited.txt").read_text()
    told = CliRunner().invoke(
        main, ["compare", str(folder / "book.txt"), str(folder / "edited.musicxml")]
    )
    assert told.exit_code == 1
    assert f"The Weir Gate: {1 if titled else 2} difference" in told.output
    assert "measure 2, beat 1: D4 became E4" in told.output
