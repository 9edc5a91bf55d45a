"""Ties join two strokes of one fret: a sign behind a fret that leads to another is its own.

Common practice, no source: a tied note is the same note held on, so ``1=`` before another fret
says of the 1 that it is held from before. What joins two frets is no tie, and is said.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from rollstave.grid.typed import Column, GridMeasure, Link, Stroke
from rollstave.problems import Severity
from rollstave.reading.state import ReadingState
from rollstave.vocabulary import problems as kinds

_Place = tuple[int, int, int]  # of a measure, a column in it, a stroke in that


def ties_of_one_fret(
    state: ReadingState, measures: Sequence[GridMeasure]
) -> list[GridMeasure] | None:
    """Give a tie that leads to another fret to the note before, if that has the fret of the one
    before it; say of the others that they join two frets."""
    changed: dict[_Place, Link | None] = {}
    last: dict[int, list[tuple[_Place, Stroke]]] = {}
    for m, measure in enumerate(measures):
        for c, column in enumerate(measure.columns):
            for s, stroke in enumerate(column.strokes):
                before = last.setdefault(stroke.string, [])
                if stroke.link is Link.TIE and before and _apart(before[-1][1], stroke):
                    place, held = before[-1]
                    own = len(before) > 1 and not _apart(before[-2][1], held) and held.link is None
                    if own:
                        changed[place], changed[m, c, s] = Link.TIE, None
                    state.problems.add(
                        kinds.TIED_FRETS,
                        f"a tie stands between fret {held.fret} and fret {stroke.fret} of string "
                        f"{stroke.string}; "
                        + (
                            f"fret {held.fret} is read as held from before" if own else "it is kept"
                        ),
                        stroke.place,
                        Severity.NOTICE if own else None,
                    )
                last[stroke.string] = [*before[-1:], ((m, c, s), stroke)]
    if not changed:
        return None
    return [
        replace(
            measure,
            columns=tuple(_with(c, m, column, changed) for c, column in enumerate(measure.columns)),
        )
        if any(place[0] == m for place in changed)
        else measure
        for m, measure in enumerate(measures)
    ]


def _apart(one: Stroke, other: Stroke) -> bool:
    """True for strokes of two different frets."""
    return None not in (one.fret, other.fret) and one.fret != other.fret and one.bend is None


def _with(c: int, m: int, column: Column, changed: dict[_Place, Link | None]) -> Column:
    strokes = tuple(
        replace(stroke, link=changed[m, c, s]) if (m, c, s) in changed else stroke
        for s, stroke in enumerate(column.strokes)
    )
    return replace(column, strokes=strokes)
