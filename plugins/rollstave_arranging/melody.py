"""The melody of a tune: which notes carry it, and which are drone and filling.

Each note is weighed by what is about it (``cues.py``), and twice more by what the tune, as far as
that is known by then, does at its place and on its string, by how it fits among the notes that fill
in, and by its distance from the notes around it that are melody already (``habits.py``): so an
arranger's habit is found in the tune itself. In a
roll the chord has the same notes as the tune, so a measure where the chances say that something is
likely to be wrong is doubtful. The weights, in ``data/melody.json``, are fitted
(``python -m tests.benchmarks.arranging.fit_melody``) on arrangements whose melody is known, by
people of as different habits as could be thought of.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from functools import cache
from itertools import pairwise
from operator import mul
from pathlib import Path

from msgspec import Struct, json

from rollstave import Score
from rollstave_arranging.cues import Row, Tune
from rollstave_arranging.flow import Moment, NoteAt, moments
from rollstave_arranging.habits import habit_rows

_ENOUGH = 0.35  # a note that is likelier than this is taken; tried as _WRONG and _MISSED are
_UNSUNG = 0.8  # and beside notes that have syllables
# The share of the notes taken in a measure that may be none, and that may be missed beside them,
# before it is doubtful.
_WRONG, _MISSED = 0.05, 0.08  # tried on arrangers that were left out of the fit

WEIGHTS = Path(__file__).with_name("data") / "melody.json"


class Net(Struct, frozen=True):
    """A small net: sums of a row's features, what is over zero in each of them, and the odds of
    these and of the features themselves. Each sum's first number is its constant."""

    sums: tuple[Row, ...]
    out: Row
    direct: Row

    def chance(self, row: Row) -> float:
        """The probability that a note with these features is of the melody."""
        odds = self.direct[0] + sum(map(mul, self.direct[1:], row))
        for weights, counts in zip(self.sums, self.out, strict=True):
            over = weights[0] + sum(map(mul, weights[1:], row))
            if over > 0.0:
                odds += counts * over
        return 1.0 / (1.0 + math.exp(-max(-30.0, min(30.0, odds))))


class Weights(Struct, frozen=True):
    """What the features count: of a note by itself, and in each further net beside the habits that
    the opinion before it shows."""

    nets: tuple[Net, ...]


@cache
def _weights() -> Weights:
    return json.decode(WEIGHTS.read_bytes(), type=Weights)


class Melody(Struct, frozen=True):
    """The notes of the melody, at most one of each event, and the indices of the measures in which
    it cannot be told surely from the filling."""

    notes: frozenset[NoteAt]
    doubtful: frozenset[int]


def melody_of(score: Score, weights: Weights | None = None) -> Melody:
    """The melody of a tune; by other weights than the plugin's, to try them. What has a syllable
    under it is sung, so it is melody."""
    struck = list(moments(score))
    sung = {m.at[0] for m in struck if m.event.sung}
    likeliest: dict[int, list[tuple[float, float, NoteAt]]] = {}
    for moment, row in zip(struck, chances(score, struck, weights or _weights()), strict=True):
        best = max(range(len(row)), key=row.__getitem__)
        chance = 1.0 if moment.event.sung else row[best]
        enough = _UNSUNG if moment.at[0] in sung else _ENOUGH
        of_measure = likeliest.setdefault(moment.at[0], [])
        of_measure.append((chance, enough, (*moment.at, best)))
    doubtful = {
        measure
        for measure, notes in likeliest.items()
        if _is_doubtful([chance for chance, _, _ in notes])
    }
    every = [one for notes in likeliest.values() for one in notes]
    found = {at for chance, enough, at in every if chance > enough}
    found |= _begun(struck, score.meter.beat, found)
    return Melody(notes=frozenset(found), doubtful=frozenset(doubtful))


def chances(score: Score, struck: Sequence[Moment], weights: Weights) -> list[list[float]]:
    """Of each note of each event how likely it is to be of the melody."""
    if not struck:
        return []
    tune = Tune(score, struck)
    rows = tune.rows()
    found = [[weights.nets[0].chance(row) for row in of_event] for of_event in rows]
    for net in weights.nets[1:]:
        more = habit_rows(tune, found)
        found = [
            [net.chance((*row, *habit)) for row, habit in zip(*pair, strict=True)]
            for pair in zip(rows, more, strict=True)
        ]
    return found


def _begun(struck: Sequence[Moment], beat: Fraction, found: set[NoteAt]) -> set[NoteAt]:
    """The notes on a beat from which the left hand goes down, off it, to a note of the melody: what
    is struck there is of the tune as well. From below it is on the way to it (common practice, no
    source)."""
    more = set()
    for before, after in pairwise(struck):
        if before.at[0] != after.at[0] or before.beat % beat or not after.beat % beat:
            continue
        goes_on = {
            note.string: note.pitch.midi
            for index, note in enumerate(after.event.notes)
            if note.link is not None and (*after.at, index) in found
        }
        for index, note in enumerate(before.event.notes):
            if note.pitch.midi > goes_on.get(note.string, note.pitch.midi):
                more.add((*before.at, index))
    return more


def _is_doubtful(chances: Sequence[float]) -> bool:
    """True where of the likeliest notes of a measure's events too many may be wrong."""
    taken = [chance for chance in chances if chance > _ENOUGH]
    wrong = sum(1.0 - chance for chance in taken)
    missed = sum(chances) - sum(taken)
    return not taken or wrong > _WRONG * len(taken) or missed > _MISSED * len(taken)
