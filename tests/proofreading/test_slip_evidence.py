"""What speaks for a slip, by the names of the features, on a tune with planted slips.

The short string is a drone: it sounds through whatever is played, so its pitch says nothing of
scale, melody or chord (common practice, no source). The rest is arithmetic of strings and frets.
"""

from __future__ import annotations

from math import log

import pytest

import rollstave
from rollstave.proofreading.slip_evidence import NAMES, Candidate, candidates
from rollstave.proofreading.surroundings import Surroundings
from tests.proofreading.test_checks import CLEAN

OF_THE_MELODY = (
    *("class", "step", "alone_far", "alone", "alone_size", "alone_habit", "alone_to_next"),
    *("alone_from_last", "alone_foreign", "alone_mended", "alone_leaps", "alone_in_order"),
    *("rare", "pitches", "chord", "triad", "allowed", "measure_allowed", "around_allowed"),
    *("measure_triad", "alone_rolls", "alone_held", "alone_triad"),
)


# The same tune with the short string stopped at its seventh fret.
STOPPED = "\n".join(
    line.replace("0", "7") if line.startswith("g|") else line for line in CLEAN.split("\n")
)


def found(old: str, new: str) -> list[Candidate]:
    assert old in STOPPED
    (tune,) = rollstave.read(STOPPED.replace(old, new, 1))
    return list(candidates(Surroundings(tune)))


def told(candidate: Candidate) -> dict[str, float]:
    return dict(zip(NAMES, candidate.features, strict=True))


SLIPS = [
    ("g|-------7", "g|-------8"),  # on the short string
    ("G|-0-------2-----0-|-0-------0-----0-|", "G|-0-------1-----0-|-0-------0-----0-|"),
]


@pytest.mark.parametrize(("old", "new"), SLIPS)
def test_the_drone_says_nothing_of_the_melody(old: str, new: str) -> None:
    seen = set()
    for candidate in found(old, new):
        drone = candidate.note.string == 5
        said = {name for name in OF_THE_MELODY if told(candidate)[name]}
        assert not (drone and said)
        seen.add((drone, "rare" in said))
    # Of a note of the melody it is told how rare it is.
    assert (False, True) in seen
    assert (True, False) in seen or "g|" not in old


@pytest.mark.parametrize(("old", "new"), SLIPS)
def test_where_a_candidate_lies(old: str, new: str) -> None:
    for candidate in found(old, new):
        typed, (string, fret) = candidate.note, candidate.meant
        assert (string == typed.string) != (fret == typed.fret)
        features = told(candidate)
        assert features["other_string"] == (string != typed.string)
        assert features["one_fret"] == (string == typed.string and abs(fret - typed.fret) == 1)


def test_a_note_that_is_alone_is_rarer_than_one_that_comes_often() -> None:
    # Fret 1 of string 3 stands once in the tune, whose other notes are of its scale.
    rare: dict[tuple[int, int | None], float] = {}
    number = 0
    for candidate in found(*SLIPS[1]):
        rare[candidate.note.string, candidate.note.fret] = told(candidate)["rare"]
        number += 1
    assert number
    assert rare[3, 1] == min(rare.values()) < log(0.1)
