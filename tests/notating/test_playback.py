"""The order of measures, worked by hand from common practice of repeats."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from rollstave.grid.typed import Bar
from rollstave.notating.playback import play_order
from rollstave.score.records import Measure
from tests.tunes import score

# A row of measures: ``[`` opens a repeat, ``]`` closes one, a digit before them is an ending.
CASES = [
    # Common practice; measures are counted from 0.
    ("- - -", [0, 1, 2]),
    ("[ - ]", [0, 1, 2, 0, 1, 2]),
    ("- ] - -", [0, 1, 0, 1, 2, 3]),
    ("- [ ] -", [0, 1, 2, 1, 2, 3]),
    ("[ - 1] 2", [0, 1, 2, 0, 1, 3]),
    ("[ - 1] 2 -", [0, 1, 2, 0, 1, 3, 4]),
    ("[ ] [ ]", [0, 1, 0, 1, 2, 3, 2, 3]),
    ("[ 1] 2 [ 1] 2", [0, 1, 0, 2, 3, 4, 3, 5]),
    ("[ 1,2] 3 -", [0, 1, 0, 1, 0, 2, 3]),
    ("- [ - ] -", [0, 1, 2, 3, 1, 2, 3, 4]),
    ("[ 1] 2] -", [0, 1, 0, 2, 3]),
]


def _measures(row: str) -> list[Measure]:
    words = row.split()
    base = score([[(4, [(3, 0)])]] * len(words)).measures
    found = []
    for word, measure in zip(words, base, strict=True):
        ending = word.strip("[]-") or None
        found.append(
            replace(
                measure,
                left=Bar.REPEAT_START if "[" in word else Bar.NONE,
                right=Bar.REPEAT_END if "]" in word else Bar.SINGLE,
                ending=ending,
                in_ending=ending,
                ending_stop=ending is not None,
            )
        )
    return found


@pytest.mark.parametrize(("row", "order"), CASES)
def test_order(row: str, order: list[int]) -> None:
    assert list(play_order(_measures(row))) == order


def test_an_ending_of_two_measures() -> None:
    # Common practice: both measures of an ending are left out in the other pass.
    measures = _measures("[ - - ] - -")
    for index, number in ((2, "1"), (3, "1"), (4, "2"), (5, "2")):
        measures[index] = replace(
            measures[index],
            in_ending=number,
            ending=number if index in (2, 4) else None,
            ending_stop=index in (3, 5),
        )
    assert list(play_order(measures)) == [0, 1, 2, 3, 0, 1, 4, 5]


def test_no_measures() -> None:
    assert play_order([]) == ()
