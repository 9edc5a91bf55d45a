"""Slurs told on the line of the striking hand: ``T H T M`` under ``0-2-0-0``.

Common practice, no source: a teacher who writes a letter under every note writes under one that the
left hand sounds how it does so, and types no sign between the frets.
"""

from __future__ import annotations

from msgspec import Struct
from msgspec.structs import replace

from rollstave.grid.typed import GridMeasure, Link
from rollstave.problems import Place, ProblemList
from rollstave.vocabulary import problems as kinds

SLURS = {
    **dict.fromkeys(("h", "ho"), Link.HAMMER_ON),
    **dict.fromkeys(("po",), Link.PULL_OFF),
    **dict.fromkeys(("s", "sl"), Link.SLIDE),
}


class Typed(Struct, frozen=True):
    """The word and where it stands."""

    text: str
    place: Place


def leads(link: Link, before: int, after: int) -> bool:
    """True if a link can lead from one fret to the other: up by a hammer-on, down by a pull-off."""
    if link is Link.HAMMER_ON:
        return after > before
    return after < before if link is Link.PULL_OFF else after != before


def _meant(measure: GridMeasure, column: int, link: Link) -> frozenset[int]:
    """The strings of a column that a slur leads to: those on which it can, or else all."""
    before = {s.string: s.fret for c in measure.columns[:column] for s in c.strokes}
    strokes = measure.columns[column].strokes
    able = [
        s.string
        for s in strokes
        if (fret := before.get(s.string)) is not None
        and s.fret is not None
        and leads(link, fret, s.fret)
    ]
    return frozenset(able or [s.string for s in strokes])


def slurred(
    measure: GridMeasure, column: int, link: Link, typed: Typed, problems: ProblemList
) -> GridMeasure:
    """The measure with the notes of a column reached so from those before them on their strings.
    Where none is before them, that is said and they stay as they are."""
    meant = _meant(measure, column, link)
    before = {string for earlier in measure.columns[:column] for string in earlier.strings}
    strokes = measure.columns[column].strokes
    if all(stroke.link is not None for stroke in strokes):
        return measure  # a sign in the row says it, too
    if not before.issuperset(meant):
        problems.add(
            kinds.STRAY,
            f"{typed.text!r} stands under a note that no note comes before on its string",
            typed.place,
        )
        return measure
    columns = list(measure.columns)
    reached = tuple(
        s if s.link or s.string not in meant else replace(s, link=link) for s in strokes
    )
    columns[column] = replace(columns[column], strokes=reached)
    return replace(measure, columns=tuple(columns))
