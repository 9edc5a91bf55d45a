"""Lines of counts and of duration letters that slid along their notes.

Common practice, no source: the typist forgets the labels, or how wide a fret is, and each word
stands a column or two beside its note. What is meant is arithmetic on where the words stood before.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from rollstave.reading.beside.slid import one_for_each, slid_by
from tests.rhythm.test_columns import read, times, typed

pytestmark = pytest.mark.quick

# A jig; in its full measures a beat is counted on which nothing is struck.
JIG = [([1, 5], 6), ([1, 5, 7, 9, 11], 15), ([1, 5, 7, 9, 11], 15)]
BEATS = "  6   &  1 2 3 4 5 6     1 2 3 4 5 6"


@pytest.mark.parametrize("by", [-2, -1, 0, 1, 2])
def test_a_beat_on_which_nothing_is_struck_stays_silent(by: int) -> None:
    line = " " * by + BEATS if by > 0 else BEATS[-by:]
    found = read(typed(JIG, "6/8") + line + "\n", "6/8").measures
    assert [m.onsets for m in found[1:]] == [times("0 1 3/2 2 5/2")] * 2


@pytest.mark.parametrize("by", [-2, -1, 1, 2])
def test_a_letter_that_slid_over_a_bar_is_that_of_its_own_measure(by: int) -> None:
    bars = [([1], 3), ([1, 4, 7, 10], 13), ([1, 4, 7, 10, 13], 16), ([1, 4, 7], 10)]
    line = "   e   q. e  q  q    q. e  q  e  e    q. e  q."
    moved = " " * by + line if by > 0 else line[-by:]
    found = read(typed(bars, "4/4") + moved + "\n", "4/4").measures
    straight = read(typed(bars, "4/4") + line + "\n", "4/4").measures
    assert [m.onsets for m in found] == [m.onsets for m in straight]
    assert found[0].length == Fraction(1, 2)
    assert found[2].onsets == times("0 3/2 2 3 7/2")


def test_a_line_is_moved_only_where_it_is_clearly_beside_its_notes() -> None:
    notes = [2, 5, 8, 11, 14, 20, 23]
    assert slid_by([note - 2 for note in notes], notes) == 2
    assert slid_by(notes, notes) == 0
    evenly = list(range(2, 40, 2))
    assert slid_by([at + 1 for at in evenly], evenly) == 0  # it may be the note on either side
    # Moved by one, a count would stand before the 1 of its measure.
    assert slid_by([1, 4, 7, 10, 13, 19, 22], notes, ones=[4], bars=[0]) == 0


def test_as_many_words_as_notes_go_in_order_if_they_slip_little() -> None:
    notes = [2, 5, 8, 11, 14]
    assert one_for_each([2, 5, 9, 13, 16], notes, 2)
    assert not one_for_each([2, 5, 9, 13, 16], notes[:-1], 2)
    assert not one_for_each([2, 8, 11, 11, 14], notes, 2)  # a note without a word, and a rest
    assert not one_for_each([2, 7, 8, 11, 14], notes, 1)
