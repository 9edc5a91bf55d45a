"""What the right hand does through a tune, and how far it makes a rhythm sure.

Finger orders of the rolls and that a roll is even: common practice, no source.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

import rollstave
from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.problems import ProblemList
from rollstave.reading.reader import read_grid
from rollstave.rhythm.evidence import gather
from rollstave.rhythm.right_hand import BRUSHING, ROLLING, fits_a_roll, right_hand

HEAD = "Title: Weir Lane\nTuning: gDGBD\nTime: 4/4\n\n"
# The forward roll on strings 3 2 1 5 2 1 5 1, twice.
FORWARD = (
    HEAD
    + """
D|-----0-----0---0|-----2-----2---2|
B|---0-----0------|---1-----1------|
G|-0--------------|-2--------------|
D|----------------|----------------|
g|-------0-----0--|-------0-----0--|
"""
)
ROLLS_OF_EIGHT = (
    HEAD
    + """
D|-----0-----0---0|-----2-----2---2|
B|---0-----0------|---1-----1------|
G|-0-----0-----0--|-2-----2-----2--|
D|----------------|----------------|
g|----------------|----------------|
"""
)
BRUSHES = (
    HEAD
    + """
D|----0-----0---|----2-----2---|
B|----0-----0---|----1-----1---|
G|-0--0-----0---|-0--0-----0---|
D|--------0-----|--------2-----|
g|------0-----0-|------0-----0-|
"""
)
MELODY = (
    HEAD
    + """
D|-0-2-4-5-4-2-0---|-0-2-4-2-0-----|
B|---------------3-|-----------3-1-|
G|-----------------|---------------|
D|-----------------|---------------|
g|-----------------|---------------|
"""
)


def hand(text: str) -> str:
    grid = read_grid(text, FIVE_STRING_BANJO, ProblemList())[0]
    return right_hand(gather(grid.measures))


def test_a_hand_that_rolls() -> None:
    assert hand(FORWARD) == ROLLING


def test_a_hand_that_brushes() -> None:
    assert hand(BRUSHES) == BRUSHING


def test_a_melody_is_told_by_its_short_string() -> None:
    assert hand(MELODY) == "melody 0"
    assert hand(ROLLS_OF_EIGHT) != ROLLING  # no thumb on the short string anywhere


def test_an_empty_measure_in_a_tune_whose_columns_are_doubtful() -> None:
    """A whole measure of rest has no onsets to weigh; found by typing the benchmark's tunes."""
    even = "D|-0-2-0-2-0-2-0-2-|\nB|-----------------|\nG|-----------------|\n"
    even += "D|-----------------|\ng|-----------------|\n\n"
    empty = even.replace("0", "-").replace("2", "-")
    (tune,) = rollstave.read(HEAD + even + empty + even)
    lengths = [len([e for e in m.events if e.notes]) for m in tune.score.measures]
    assert lengths == [8, 0, 8]
    assert tune.score.measures[1].length == Fraction(4)


@pytest.mark.parametrize(
    ("strings", "kinds", "fits"),
    [
        ((3, 2, 1, 3, 2, 1, 3, 1), "ssssssss", False),  # nothing from the left hand: a plain roll
        ((3, 3, 1, 3, 2, 1, 3, 1), "slssssss", True),  # forward roll, its second note hammered
        ((3, 3, 1, 1, 2, 1, 3, 1), "slssssss", False),  # the fourth should be the thumb's
        ((3, 3, 1, 3, 2, 1, 3, 1), "slspssss", False),  # a pinch is no single note
    ],
)
def test_a_roll_in_which_the_left_hand_sounds_a_note(
    strings: tuple[int, ...], kinds: str, fits: bool
) -> None:
    from types import SimpleNamespace

    assert fits_a_roll(SimpleNamespace(strings=strings, kinds=kinds)) is fits  # type: ignore[arg-type]
