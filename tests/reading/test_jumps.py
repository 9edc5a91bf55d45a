"""Segno, coda and the jumps to them, in words and in signs; the order they are played in is worked
by hand from common practice, no source."""

from __future__ import annotations

import pytest

import rollstave
from rollstave.api import write
from rollstave.deciding.playback import play_order
from rollstave.score.compare import first_difference

HEAD = "Title: Larkspur Lane\nTuning: open G\nTime: 4/4\n\n"


def rows(measures: int, fret: int = 2) -> str:
    long = f"-0---{fret}---0---{fret}---|"
    return "\n".join([f"{label}|{long * measures}" for label in "DBGD"]) + (
        "\ng|" + "---0---0---0-----|" * measures
    )


def order(text: str) -> tuple[int, ...]:
    (tune,) = rollstave.read(text)
    assert not [p for p in tune.problems if p.severity is not rollstave.Severity.NOTICE]
    return play_order(tune.score.measures)


@pytest.mark.parametrize(
    ("segno", "leave", "jump"),
    [
        ("Segno", "To Coda", "D.S. al Coda"),
        ("%", "to coda 𝄌", "d.s. al coda"),
        ("𝄋", "To ⊕", "Dal Segno al Coda"),
        ("(Segno)", "To Coda", "DS al 𝄌"),
        ("The sign", "* To Coda *", "D. S. al Coda"),
    ],
)
def test_words_and_signs_on_lines_of_their_own(segno: str, leave: str, jump: str) -> None:
    text = f"{HEAD}{rows(2)}\n\n{segno}\n\n{rows(2)}\n\n{leave}\n\n{rows(2)}\n\n{jump}\n\n"
    assert order(text + f"Coda\n{rows(2)}\n") == (0, 1, 2, 3, 4, 5, 2, 3, 6, 7)


def test_over_and_under_their_measures() -> None:
    """The segno over measure 2, To Coda at the end of measure 3, D.S. under measure 4."""
    over = " " * 21 + "Segno" + " " * 22 + "To Coda"
    under = " " * 60 + "D.S. al Coda"
    text = f"{HEAD}{over}\n{rows(4)}\n{under}\n\n      Coda\n{rows(2)}\n"
    assert order(text) == (0, 1, 2, 3, 1, 2, 4, 5)


def test_dal_segno_al_fine_and_to_the_right_of_a_row() -> None:
    first, *others = rows(2).split("\n")
    text = f"{HEAD}{rows(1)}\n\nSegno\n\n{rows(2)}\n\nFine\n\n"
    text += "\n".join([f"{first}   D.S. al Fine", *others]) + "\n"
    assert order(text) == (0, 1, 2, 3, 4, 1, 2)


def test_da_capo_al_coda() -> None:
    text = f"{HEAD}{rows(1)}\n\nTo Coda\n\n{rows(1)}\n\nD.C. al Coda\n\nCoda\n{rows(1)}\n"
    assert order(text) == (0, 1, 0, 2)


def test_a_section_called_coda_is_only_that_without_a_jump() -> None:
    (tune,) = rollstave.read(f"{HEAD}{rows(2)}\n\nCoda\n{rows(2)}\n")
    assert tune.score.measures[2].section == "Coda"
    assert not any(m.coda for m in tune.score.measures)


@pytest.mark.parametrize("form", ["text", "musicxml", "mxl"])
def test_they_come_back(form: str) -> None:
    over = " " * 21 + "Segno"
    text = f"{HEAD}{over}\n{rows(2)}\n\nTo Coda\n\n{rows(2)}\n\nD.S. al Coda\n\nCoda\n{rows(2)}\n"
    (tune,) = rollstave.read(text)
    (back,) = rollstave.read(write(tune, form)[0])
    assert play_order(back.score.measures) == play_order(tune.score.measures)
    if form == "text":
        assert first_difference(tune.score, back.score) is None


BRUSHED = """Title: Larkspur Lane
Tuning: open G
Time: 4/4

D|-0---0---2---0---|
B|-0---0---0---0---|
G|-0-------0-------|
D|-----------------|
g|-----------------|
"""


@pytest.mark.parametrize("word", ["brush", "br.", "strum", "v", "↓"])
def test_a_brush_said_under_the_system(word: str) -> None:
    (tune,) = rollstave.read(BRUSHED + " " * 11 + word + "\n")
    assert [e.brush for e in tune.score.measures[0].events] == [False, False, True, False]


def test_a_pinch_said_under_the_system_changes_nothing_and_is_understood() -> None:
    (tune,) = rollstave.read(BRUSHED + "       pinch\n")
    assert not [p for p in tune.problems if p.code in ("unread", "stray")]
    assert not any(e.brush for e in tune.score.measures[0].events)


def test_a_second_jump_is_said_to_be_left_out() -> None:
    """D.C. after each of two parts and no Fine: only the first is played."""
    text = f"{HEAD}{rows(1)}\n\nD.C.\n\n{rows(2)}\n\nD.C.\n"
    (tune,) = rollstave.read(text)
    assert play_order(tune.score.measures) == (0, 0, 1, 2)
    (said,) = [p.message for p in tune.problems if p.code == "jump"]
    assert "D.C. after measure 3 is not made" in said


def test_one_jump_is_no_problem() -> None:
    text = f"{HEAD}{rows(1)}\n\nFine\n\n{rows(2)}\n\nD.C. al Fine\n"
    (tune,) = rollstave.read(text)
    assert not [p for p in tune.problems if p.code == "jump"]


def test_the_name_of_a_place_heads_no_further_tune() -> None:
    """``Fine`` by itself, and a new tuning after it, stand in the same tune."""
    rows = "\n".join(f"{label}|-0---0---0---0---|" for label in "DBGDg")
    text = f"Title: Tide Gate\nTuning: gDGBD\nTime: 4/4\n\n{rows}\n\nFine\n\nTuning: gCGBD\n\n"
    (tune,) = rollstave.read(text + rows.replace("D|", "C|", 2).replace("C|", "D|", 1) + "\n")
    assert [m.fine for m in tune.score.measures] == [True, False]
    assert tune.score.measures[1].change is not None
