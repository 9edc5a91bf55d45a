"""Notes of thousands of quarter notes, from a program: as many values as it takes, none lost."""

from __future__ import annotations

from fractions import Fraction

import pytest

from rollstave.notating.values import VALUES, written
from rollstave.rhythm.meter import Meter

LENGTHS = dict(VALUES)


@pytest.mark.parametrize("onset", [Fraction(0), Fraction(1, 3), Fraction(1, 4)])
@pytest.mark.parametrize("meter", [Meter(4, 4), Meter(6, 8), Meter(7, 16)], ids=str)
def test_a_very_long_note_is_divided_to_its_end(onset: Fraction, meter: Meter) -> None:
    """The arithmetic of note values: tied pieces, one after another, add up to the note."""
    times = ((Fraction(0), onset, True),) if onset else ()
    pieces = written((*times, (onset, Fraction(9000), False)), meter, Fraction(0))
    long = [p for p in pieces if not p.rest]
    assert sum(p.duration for p in long) == 9000
    ends = [p.onset + p.duration for p in long]
    assert [p.onset for p in long[1:]] == ends[:-1]
    assert (long[-1].last, long[0].last) == (True, False)
