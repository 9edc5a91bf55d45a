"""The row of chord shapes at the head of a sheet, and sheets of shapes."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from types import MappingProxyType

from lxml import etree

from rollstave.deciding.shape_row import leaving_strings, shape_measures, shape_row
from rollstave.deciding.shape_use import Places
from rollstave.deciding.shapes import NamedShape
from rollstave.instruments.instrument import Instrument
from rollstave.score.records import Score
from rollstave.writing.sheet.diagram import (
    FINGERS,
    HEIGHT,
    ON_A_SHEET,
    PLACE_LINE,
    draw_diagram,
    name_width,
    place_lines,
    place_width,
    width_of,
)
from rollstave.writing.sheet.drawing import shape

_GAP, _ROW_GAP, _ABOVE = 150.0, 250.0, 180.0
_MOST = 10  # shapes side by side that the eye still takes in
_BETWEEN_NAMES = 330.0  # from a name to the next
_BETWEEN_LINES = 170.0  # from the line under a shape to that under the next


def draw_shapes(
    parent: etree._Element,
    shapes: Sequence[NamedShape],
    instrument: Instrument,
    left: float,
    right: float,
    top: float,
    places: Mapping[NamedShape, Sequence[str]] = MappingProxyType({}),
    leaving: Mapping[NamedShape, Collection[int]] = MappingProxyType({}),
) -> float:
    """Draw shapes side by side, in as many rows as they need; the height under them. ``places`` are
    lines under some that say where they are held, ``leaving`` strings whose finger comes off."""
    group = shape(parent, "g", class_="chord-row")
    width = width_of(instrument)
    # Lines under narrow shapes are wider than these.
    widest = max((place_width(line) for lines in places.values() for line in lines), default=0.0)
    longest = max((name_width(held.name) for held in shapes), default=0.0)
    step = max(width + _GAP, widest + _BETWEEN_LINES, longest + _BETWEEN_NAMES)
    fitting = max(1, min(_MOST, int((right - left + step - width) // step)))
    rows = max(1, -(-len(shapes) // fitting))
    each = max(1, -(-len(shapes) // rows))  # rows are even: no shape stands alone on the last
    for start in range(0, len(shapes), each):
        row = shapes[start : start + each]
        if start:
            top += _ROW_GAP
        # Where all are open no fingers are told, and what is said under them comes up.
        tall = HEIGHT if any(any(held.frets) for held in row) else HEIGHT - FINGERS
        for column, held in enumerate(row):
            at = left + column * step
            where, strings = places.get(held, ()), leaving.get(held, ())
            draw_diagram(
                group, held, instrument, at, top, places=where, leaving=strings, height=tall
            )
        top += tall + PLACE_LINE * max(len(places.get(held, ())) for held in row)
    return top


def draw_chord_row(
    parent: etree._Element, score: Score, left: float, right: float, top: float
) -> float:
    """Draw each shape that the tune uses once; the height under the row."""
    shapes = shape_row(score)
    if not shapes:
        return top
    instrument = score.setup.instrument
    places, leaving = places_of(score), leaving_strings(score)
    return draw_shapes(parent, shapes, instrument, left, right, top + _ABOVE, places, leaving)


def places_of(score: Score, widest: float = ON_A_SHEET) -> dict[NamedShape, tuple[str, ...]]:
    """The lines under the shapes of chords that a tune holds in several: from which measures on.
    None is ``widest`` times as wide as a shape."""
    return {
        held: place_lines(list(_numbers(score, where)), score.setup.instrument, widest)
        for held, where in shape_measures(score).items()
    }


def _numbers(score: Score, places: Places) -> Iterator[str]:
    """``2``, ``17``: from where on a shape is held, until another of that name is; each with the
    comma before the next, none for measures without numbers."""
    told = [number for first, _ in places if (number := score.measures[first].number)]
    yield from (f"{number}," for number in told[:-1])
    yield from map(str, told[-1:])
