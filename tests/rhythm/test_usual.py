"""Which chains of note values a measure may have (common practice of notation, no source)."""

from __future__ import annotations

from fractions import Fraction
from itertools import accumulate

import pytest

from rollstave.rhythm.usual import is_usual, is_whole

TICKS = 24  # in a quarter note


def chain(durations: str) -> tuple[int, tuple[int, ...]]:
    """The length and the onsets of notes that last so many quarter notes each."""
    ticks = [Fraction(part) * TICKS for part in durations.split()]
    assert all(t.denominator == 1 for t in ticks)
    ends = [int(t) for t in accumulate(ticks)]
    return ends[-1], (0, *ends[:-1])


WHOLE = (
    "1/2 1/2 1/2 1/2",
    "1/4 1/4 1/4 1/4 1",
    "3/4 1/4 1/4 3/4",
    "1/4 1/2 1/4 1",
    "3/2 1/2",
    "1/3 1/3 1/3 1/2 1/2",  # a triplet beside plain eighths, each in a beat of its own
)
THIRTY_SECONDS = ("1/8 1/8 1/8 1/8 1/2", "3/8 1/8 1/2", "1/8 3/8 1/2")
PARTS_OF_TRIPLETS = ("2/3 1/3 1", "1/3 2/3 1", "1/6 1/6 1/6 1/2")
NEVER = (
    "1/3 5/12 1/4",  # a third and the last sixteenth of one beat
    "1/4 5/12 1/3",
    "11/12 13/12",  # a twelfth before the beat, and no run of thirds
    "5/8 11/8",  # a thirty-second after the half of a beat that no short note leads to
    "7/8 9/8",
)


@pytest.mark.parametrize("durations", WHOLE)
def test_what_every_hand_plays(durations: str) -> None:
    assert is_whole(*chain(durations))
    assert is_usual(*chain(durations))


@pytest.mark.parametrize("durations", THIRTY_SECONDS)
def test_thirty_seconds_with_what_goes_with_them(durations: str) -> None:
    assert is_usual(*chain(durations))


@pytest.mark.parametrize("durations", PARTS_OF_TRIPLETS)
def test_what_may_be_but_is_no_whole_triplet(durations: str) -> None:
    assert is_usual(*chain(durations))
    assert not is_whole(*chain(durations))


@pytest.mark.parametrize("durations", NEVER)
def test_what_nobody_writes(durations: str) -> None:
    assert not is_usual(*chain(durations))
    assert not is_whole(*chain(durations))
