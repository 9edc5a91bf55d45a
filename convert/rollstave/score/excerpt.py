"""A few measures of a score as a score of its own."""

from __future__ import annotations

from fractions import Fraction

from msgspec.structs import replace

from rollstave.score.holding import with_what_holds
from rollstave.score.records import Measure, Score


def excerpt(score: Score, first: int, last: int | None = None) -> Score:
    """The measures whose printed numbers run from ``first`` to ``last`` (None: to the end).

    A chord that began before still stands over the first measure, and an ending that the excerpt
    cuts keeps its number. Raises ValueError, saying which measures there are, if there is none.
    """
    numbers = [m.number for m in score.measures]
    end = numbers[-1] if last is None else last
    wanted = [m for m in score.measures if first <= m.number <= end]
    if not wanted or first < numbers[0] or end > numbers[-1]:
        asked = f"measures {first} to {end}" if end != first else f"measure {first}"
        raise ValueError(f"no {asked}: this tune has measures {numbers[0]} to {numbers[-1]}")
    start = wanted[0].index
    opening = _opening(score, wanted[0])
    measures = [replace(m, index=m.index - start) for m in (opening, *wanted[1:])]
    if measures[-1].in_ending is not None:
        measures[-1] = replace(measures[-1], ending_stop=True)
    places = score.note_measures or (0,) * len(score.notes)
    inside = [
        (note, max(0, place - start))
        for note, place in zip(score.notes, places, strict=True)
        if start <= place <= wanted[-1].index
    ]
    beside = score.beside
    if beside is not None:
        beside = replace(beside, score=excerpt(beside.score, first, last))
    return replace(
        with_what_holds(score, start),
        beside=beside,
        measures=tuple(measures),
        notes=tuple(note for note, _ in inside),
        note_measures=tuple(place for _, place in inside),
    )


def _opening(score: Score, measure: Measure) -> Measure:
    """The first measure of an excerpt, with what began before it and still holds."""
    chords = measure.chords
    if measure.index and not any(c.onset == 0 for c in chords):
        earlier = [c for m in score.measures[: measure.index] for c in m.chords]
        if earlier:
            chords = (replace(earlier[-1], onset=Fraction(0)), *chords)
    ending = measure.in_ending if measure.ending is None else measure.ending
    return replace(measure, chords=chords, ending=ending, change=None)
