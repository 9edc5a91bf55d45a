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
    last = min(len(notes) - 1, 3)  # no beam with lower notes is begun for a note that needs none
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
    assert found(row, [NEAR, NEEDED, *[LOW] * 6]) == [((0, 0), (1, 1))]


def test_what_needs_no_sign_has_none() -> None:
    assert found([NEAR, NEAR, OPEN, NEAR, NEAR, NEAR, NEAR, NEAR]) == []


def test_no_beam_stands_in_two_heights() -> None:
    # Common practice, no source. Fret 17 of the first string is G6 and needs the sign; fret 12 of
    # the third, G5, stands over the staff, and fret 10 of the second, A5, has one ledger line.
    high, over, one = (1, 17), (3, 12), (2, 10)
    assert found([high, NEAR, over, over, LOW, LOW, LOW, LOW]) == [((0, 0), (0, 3))]
    assert found([high] * 8, [NEAR, one, LOW, LOW, *[LOW] * 4]) == [((0, 0), (0, 7))]
