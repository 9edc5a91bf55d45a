"""Where a passage under ``8va`` begins and ends (Gould, Behind Bars, 2011, from memory: as few
signs as can be, over whole passages, and none that ends for a note or two)."""

from __future__ import annotations

from fractions import Fraction

import pytest

from rollstave.notating.notation import middle_line, notate
from rollstave.notating.octaves import passages
from tests import tunes

E = Fraction(1, 2)
# Fret 20 of the first string of gDGBD is written Bb6: five ledger lines. Fret 15, F6, has three.
# The open fifth string is written G5, over the staff; the open third G4, on its second line.
NEEDED, NEAR, OPEN, LOW = (1, 20), (1, 15), (5, 0), (3, 0)


def found(*measures: list[tuple[int, int]]) -> list[tuple[tuple[int, int], tuple[int, int]]]:
    score = tunes.score([[(E, [note]) for note in measure] for measure in measures])
    instrument = score.setup.instrument
    return [(p.first, p.last) for p in passages(notate(score), middle_line(instrument))]


@pytest.mark.parametrize("between", [[], [OPEN], [OPEN, OPEN]])
def test_a_few_open_strings_do_not_end_a_passage(between: list[tuple[int, int]]) -> None:
    notes = [NEAR, *between, NEEDED, NEAR]
    last = len(notes) - 1
    assert found([*notes, *[LOW] * (8 - len(notes))]) == [((0, 0), (0, last))]


@pytest.mark.parametrize("between", [[LOW], [OPEN] * 3])
def test_low_notes_and_many_notes_do(between: list[tuple[int, int]]) -> None:
    notes = [NEAR, *between, NEEDED, NEAR]
    at = len(between) + 1
    assert found([*notes, *[LOW] * (8 - len(notes))]) == [((0, at), (0, at + 1))]


def test_no_passage_ends_with_what_stands_lower() -> None:
    assert found([NEEDED, NEAR, OPEN, LOW, LOW, LOW, LOW, LOW]) == [((0, 0), (0, 1))]


def test_a_passage_reaches_over_a_bar() -> None:
    row = [NEAR, NEEDED, NEAR, NEEDED, NEAR, NEAR, OPEN, NEEDED]
    assert found(row, [NEAR, OPEN, *[LOW] * 6]) == [((0, 0), (1, 0))]


def test_what_needs_no_sign_has_none() -> None:
    assert found([NEAR, NEAR, OPEN, NEAR, NEAR, NEAR, NEAR, NEAR]) == []
