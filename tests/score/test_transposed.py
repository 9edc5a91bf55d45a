"""By how much one version lies over another: nearly all notes moved alike, and no fewer."""

from __future__ import annotations

from fractions import Fraction

import pytest

from rollstave.score.aligned import transposed

NOTES = (60, 62, 64, 65, 67, 69, 71, 72, 74, 76)  # a scale of C, MIDI numbers


def moved(by: int, odd: int) -> int:
    """What is found where all of ten notes but some are moved by so much, those by one more."""
    old = [frozenset({(Fraction(n), pitch)}) for n, pitch in enumerate(NOTES)]
    new = [frozenset({(Fraction(n), pitch + by + (n < odd))}) for n, pitch in enumerate(NOTES)]
    return transposed(old, new)


@pytest.mark.parametrize("by", [-5, 0, 2, 12])
def test_notes_moved_alike_are_transposed(by: int) -> None:
    assert moved(by, 0) == by


@pytest.mark.parametrize(("odd", "by"), [(1, 7), (2, 7), (3, 0), (5, 0)])
def test_eight_of_ten_are_nearly_all(odd: int, by: int) -> None:
    # The share is our choice.
    assert moved(7, odd) == by


def test_other_measures_or_notes_are_not_compared() -> None:
    one = [frozenset({(Fraction(0), 60)})]
    assert transposed(one, [*one, *one]) == 0
    assert transposed(one, [frozenset({(Fraction(0), 62), (Fraction(1), 62)})]) == 0
    assert transposed([], []) == 0
