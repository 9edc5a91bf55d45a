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


def slurred(
    measure: GridMeasure, column: int, link: Link, typed: Typed, problems: ProblemList
) -> GridMeasure:
    """The measure with the notes of a column reached so from those before them on their strings.
    Where none is before them, that is said and they stay as they are."""
    before = {string for earlier in measure.columns[:column] for string in earlier.strings}
    strokes = measure.columns[column].strokes
    if all(stroke.link is not None for stroke in strokes):
        return measure  # a sign in the row says it, too
    if not before.issuperset(measure.columns[column].strings):
        problems.add(
            kinds.STRAY,
            f"{typed.text!r} stands under a note that no note comes before on its string",
            typed.place,
        )
        return measure
    columns = list(measure.columns)
    reached = tuple(s if s.link else replace(s, link=link) for s in strokes)
    columns[column] = replace(columns[column], strokes=reached)
    return replace(measure, columns=tuple(columns))
