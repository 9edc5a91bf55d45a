"""The phrases of a tune: where they begin, and which are alike.

Phrases have two to four measures (common practice). Within each strain that the tab shows all ways
to divide it are weighed at once: what speaks for each boundary (``boundaries.py``), how long a
phrase is in measures and in notes, and whether it is as long as the one before. The weights for
melodies are fitted (``phrase_weights.py``), those for tunes that go on in even strokes are ours.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from msgspec import Struct

from rollstave import Measure, Score
from rollstave_teaching.boundaries import Boundaries, shared, sounds
from rollstave_teaching.held import strains
from rollstave_teaching.phrase_weights import MELODY, NOTES_EACH, PLAYED, Weights

LONGEST = 4  # measures
_EVEN = (
    6  # strokes in most measures: a tune that is played so has nothing that a singer breathes at
)


class Phrase(Struct, frozen=True):
    """The indices of a phrase's first measure and of the one after its last; its number, from 1,
    and the name of its strain."""

    begin: int
    end: int
    number: int = 0
    strain: str = ""


def phrases_of(score: Score) -> tuple[Phrase, ...]:
    """All phrases in order. A pickup belongs to the first."""
    boundaries = Boundaries(score)
    weights = PLAYED if boundaries.strokes_in_most >= _EVEN else MELODY
    found: list[Phrase] = []
    for strain in strains(score):
        pickup = int(score.measures[strain.begin].number == 0)
        begin = strain.begin + pickup
        starts = divided(boundaries, begin, strain.end, weights)
        for place, (start, end) in enumerate(pairwise([*starts, strain.end])):
            first = strain.begin if place == 0 else start
            found.append(Phrase(begin=first, end=end, number=len(found) + 1, strain=strain.name))
    return tuple(found)


_State = tuple[int, int]  # where a phrase ends, and how many measures it has


def divided(boundaries: Boundaries, begin: int, end: int, weights: Weights) -> list[int]:
    """Where the phrases of a strain begin: the best way to divide it, by dynamic programming over
    the ends of phrases and their lengths."""
    here = {at: _boundary(boundaries, at, begin, weights) for at in range(begin + 1, end)}
    best: dict[_State, tuple[float, _State]] = {(begin, 0): (0.0, (begin, 0))}
    for stop in range(begin + 1, end + 1):
        for length in range(1, min(LONGEST, stop - begin) + 1):
            start = stop - length
            own = _length(boundaries, start, stop, weights) + here.get(start, 0.0)
            ways = [
                (best[state][0] + own + weights.same * (state[1] == length), state)
                for state in _ending(best, start)
            ]
            if ways:
                best[stop, length] = max(ways)
    if end <= begin:
        return []
    at = max(_ending(best, end), key=lambda state: best[state][0])
    starts: list[int] = []
    while at[1]:
        at = best[at][1]
        starts.append(at[0])
    return starts[::-1]


def _ending(best: dict[_State, tuple[float, _State]], at: int) -> Iterator[_State]:
    """The ways in which a phrase can end at a measure."""
    return ((at, length) for length in range(LONGEST + 1) if (at, length) in best)


def _boundary(boundaries: Boundaries, at: int, begin: int, weights: Weights) -> float:
    signs = boundaries.signs(at, begin)
    return sum(weight * sign for weight, sign in zip(weights.signs, signs, strict=True))


def _length(boundaries: Boundaries, start: int, stop: int, weights: Weights) -> float:
    """How well a phrase of these measures is liked for its length alone."""
    notes = sum(boundaries.strokes[start:stop]) // NOTES_EACH
    of_notes = weights.notes[min(notes, len(weights.notes) - 1)] if weights.notes else 0.0
    return weights.measures[stop - start - 1] + of_notes


# Likeness -----------------------------------------------------------------------------------------


def alike(a: Measure, b: Measure) -> float:
    """What share of two measures' notes they have in common; 1 for the same."""
    return shared(sounds(a), sounds(b))


class Likeness(Struct, frozen=True):
    """An earlier phrase that a phrase is like, and the pairs of measures in which they differ:
    the earlier one's, its own."""

    like: Phrase
    differs: tuple[tuple[Measure, Measure], ...]


def likeness(score: Score, phrase: Phrase, earlier: Sequence[Phrase]) -> Likeness | None:
    """The earlier phrase that differs least, if at least half of its measures are the same."""
    mine = _full(score, phrase)
    found: list[tuple[float, Likeness]] = []
    for other in earlier:
        theirs = _full(score, other)
        if len(theirs) != len(mine):
            continue
        pairs = [(a, b) for a, b in zip(theirs, mine, strict=True) if not _same(a, b)]
        if len(pairs) <= len(mine) / 2:
            far = sum(1 - alike(a, b) for a, b in pairs)
            found.append((far, Likeness(like=other, differs=tuple(pairs))))
    return min(found, key=lambda item: item[0])[1] if found else None


def _full(score: Score, phrase: Phrase) -> tuple[Measure, ...]:
    return tuple(m for m in score.measures[phrase.begin : phrase.end] if m.number)


def _same(a: Measure, b: Measure) -> bool:
    """The same notes, lasting as long, reached in the same way."""

    def of(measure: Measure) -> list[object]:
        return [
            (e.onset, e.duration, sorted((n.string, n.fret, str(n.link)) for n in e.notes))
            for e in measure.events
            if e.notes
        ]

    return of(a) == of(b)
