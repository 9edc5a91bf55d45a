"""A letter between the beats that is their half in one tune and the last quarter in another.

That ``a`` is the last quarter of a beat is common practice, and so is to count halves by one
letter throughout; no source. Which it is is arithmetic on where the counts stand.
"""

from __future__ import annotations

import pytest

from tests.rhythm.test_columns import read, times
from tests.rhythm.test_counts_astray import counted

pytestmark = pytest.mark.quick

DOTTED = times("0 3/4 1 7/4 2 3")
HALVES = times("0 1/2 1 3/2 2 3")


@pytest.mark.parametrize("letter", ["a", "e"])
def test_one_letter_half_way_between_beats_of_one_width_is_the_half(letter: str) -> None:
    words = f"1 {letter} 2 {letter} 3   4   "
    text = counted([[1, 3, 5, 7, 9, 13]] * 2, 17, "4/4", "   " + f"{words}  " * 2)
    assert [m.onsets for m in read(text, "4/4").measures] == [HALVES] * 2


def test_beats_as_narrow_as_their_parts_say_nothing_of_the_letter() -> None:
    text = counted([[1, 3, 5, 7, 9, 11]] * 2, 13, "4/4", "   " + "1 a 2 a 3 4   " * 2)
    assert [m.onsets for m in read(text, "4/4").measures] == [DOTTED] * 2


def test_three_quarters_of_the_way_to_the_next_beat_it_is_no_half() -> None:
    text = counted([[1, 4, 5, 8, 9, 13]] * 2, 17, "4/4", "   " + "1  a2  a3   4     " * 2)
    assert [m.onsets for m in read(text, "4/4").measures] == [DOTTED] * 2


def test_halves_that_have_a_sign_elsewhere_in_the_tune_leave_the_letter_its_place() -> None:
    places = [1, 3, 5, 7, 9, 11, 13, 15]
    counts = "   1 a 2 a 3 a 4 a   1 & 2 & 3 & 4 &"
    first, second = read(counted([places] * 2, 17, "4/4", counts), "4/4").measures
    assert first.onsets == times("0 3/4 1 7/4 2 11/4 3 15/4")
    assert second.onsets == times("0 1/2 1 3/2 2 5/2 3 7/2")
