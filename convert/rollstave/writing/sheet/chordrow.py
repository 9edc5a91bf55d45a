"""The row of chord shapes at the head of a sheet, and sheets of shapes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from lxml import etree

from rollstave.deciding.shape_row import shape_measures, shape_row
from rollstave.deciding.shapes import NamedShape
from rollstave.instruments.instrument import Instrument
from rollstave.score.records import Score
from rollstave.writing.sheet.diagram import HEIGHT, draw_diagram, width_of
from rollstave.writing.sheet.drawing import shape

_GAP, _ROW_GAP, _ABOVE = 150.0, 250.0, 180.0


def draw_shapes(
    parent: etree._Element,
    shapes: Sequence[NamedShape],
    instrument: Instrument,
    left: float,
    right: float,
    top: float,
    places: Mapping[NamedShape, str] = MappingProxyType({}),
) -> float:
    """Draw shapes side by side, in as many rows as they need; the height under them. ``places`` say
    of some where they are held."""
    group = shape(parent, "g", class_="chord-row")
    width = width_of(instrument)
    each = max(1, int((right - left + _GAP) // (width + _GAP)))
    for index, held in enumerate(shapes):
        row, column = divmod(index, each)
        draw_diagram(
            group,
            held,
            instrument,
            left + column * (width + _GAP),
            top + row * (HEIGHT + _ROW_GAP),
            place=places.get(held, ""),
        )
    rows = -(-len(shapes) // each)
    return top + rows * HEIGHT + (rows - 1) * _ROW_GAP


def draw_chord_row(
    parent: etree._Element, score: Score, left: float, right: float, top: float
) -> float:
    """Draw each shape that the tune uses once; the height under the row."""
    shapes = shape_row(score)
    if not shapes:
        return top
    places = {
        held: f"m. {number}"
        for held, index in shape_measures(score).items()
        if (number := score.measures[index].number)
    }
    return draw_shapes(
        parent, shapes, score.setup.instrument, left, right, top + _ABOVE, places=places
    )
