"""``rollstave compare``: what an arranger did to a tune, told by measure.

The edits are made by hand in the text of an invented tune; what each must be called follows from
the edit. That an octave is twelve semitones is common practice.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from rollstave.cli.main import main

TUNE = """Title: The Weir Gate
Tuning: gDGBD
Time: 4/4

   G                 D                 G                 C
D|-0---2---0---2---|-0---------------|-------2---------|-2---2---2---2---|
B|-----------------|-----1---1---1---|-0-------0---0---|-----------------|
G|-----------------|-----------------|-----------------|-----------------|
D|-----------------|-----------------|-----------------|-----------------|
g|-----------------|-----------------|-----------------|-----------------|
"""


def compared(tmp_path: Path, new: str, *options: str) -> tuple[int, list[str]]:
    for name, text in (("old.txt", TUNE), ("new.txt", new)):
        (tmp_path / name).write_text(text)
    paths = [str(tmp_path / name) for name in ("old.txt", "new.txt")]
    result = CliRunner().invoke(main, ["compare", *paths, *options])
    return result.exit_code, [line.strip() for line in result.output.splitlines()]


def test_nothing_is_different(tmp_path: Path) -> None:
    assert compared(tmp_path, TUNE) == (0, ["The Weir Gate: nothing is different"])


def test_the_score_made_of_a_tab_is_the_tab(tmp_path: Path) -> None:
    """No note is an octave off, and no string another one."""
    tab = tmp_path / "old.txt"
    tab.write_text(TUNE)
    result = CliRunner().invoke(main, ["convert", str(tab), "--to", "musicxml"])
    assert result.exit_code == 0, result.output
    paths = [str(tab), str(tmp_path / "old.musicxml")]
    result = CliRunner().invoke(main, ["compare", *paths])
    assert result.output.split("\n")[0] == "The Weir Gate: nothing is different"


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("-----1---1---1-", "-----1---3---1-", "measure 2, beat 3: C4 became D4"),
        ("-----1---1---1-", "-----1-------1-", "measure 2, beat 3: C4 (string 2, fret 1) is taken"),
        ("C\n", "Am\n", "the chord C became Am"),
        ("Gate", "House", "the title The Weir Gate became The Weir House"),
        ("-2---2---2---2", "-2~--2---2---2", "measure 4, beat 1: E4 is now marked vibrato"),
    ],
)
def test_one_change_is_told(tmp_path: Path, old: str, new: str, said: str) -> None:
    assert old in TUNE
    code, lines = compared(tmp_path, TUNE.replace(old, new, 1))
    assert code == 1
    assert any(said in line for line in lines[1:]), lines


@pytest.mark.parametrize(
    ("time", "beat"),
    # The beat of 6/8 is a dotted quarter, else what the lower number says.
    [("6/8", 2), ("2/2", 2), ("3/8", 3), ("4/4", 3)],
)
def test_a_chord_is_told_at_the_beat_of_its_meter(tmp_path: Path, time: str, beat: int) -> None:
    wide = {"6/8": 6, "2/2": 8, "3/8": 3, "4/4": 8}[time]
    at = {"6/8": 3, "2/2": 4, "3/8": 2, "4/4": 4}[time]  # eighths before the second chord
    notes = "".join("-0-2"[n % 2 * 2 : n % 2 * 2 + 2] for n in range(wide))
    rows = "\n".join(
        f"{name}|{notes if name == 'D' and not under else '-' * len(notes)}-|"
        for under, name in enumerate("DBGDg")
    )
    texts = []
    for chord in ("C", "Am"):
        chords = " " * 3 + "G".ljust(2 * at) + chord
        texts.append(f"Title: The Weir Gate\nTuning: gDGBD\nTime: {time}\n\n{chords}\n{rows}\n")
    for name, text in zip(("old.txt", "new.txt"), texts, strict=True):
        (tmp_path / name).write_text(text)
    paths = [str(tmp_path / name) for name in ("old.txt", "new.txt")]
    output = CliRunner().invoke(main, ["compare", *paths]).output
    assert f"measure 1, beat {beat}: the chord C became Am" in output


def test_a_place_that_sounds_the_same_is_a_place(tmp_path: Path) -> None:
    """String 2, three frets up, sounds the open string 1: D4."""
    new = TUNE.replace("|-0---------------|", "|-----------------|").replace(
        "|-----1---1---1---|", "|-3---1---1---1---|"
    )
    _, lines = compared(tmp_path, new)
    assert lines[1:] == ["measure 2, beat 1: D4 is on string 2, fret 3, not string 1, open"]


def test_a_measure_that_is_new(tmp_path: Path) -> None:
    rows = [
        line + line[-18:] if "|" in line and line[0] in "DBGg" else line
        for line in TUNE.splitlines()
    ]
    _, lines = compared(tmp_path, "\n".join(rows) + "\n")
    assert lines[1:] == ["measure 5: it is new"]


def test_as_json(tmp_path: Path) -> None:
    _, lines = compared(tmp_path, TUNE.replace("1---1---1", "1---3---1", 1), "--json")
    (tune,) = json.loads("\n".join(lines))
    (found,) = tune["differences"]
    assert (found["what"], found["new"], found["beat"]) == ("pitch", "measure 2", "3")


def test_a_file_that_cannot_be_read(tmp_path: Path) -> None:
    code, lines = compared(tmp_path, "nothing here\n")
    assert code == 2
    assert "error" in lines[0]
