"""Slides from and to nowhere: a short slanted line before or after the digit on the tab, and before
or after the head on the staff, clear of accidentals and dots.

A slide away starts where the note ends: at the last of the heads that it is tied over (Gould,
Behind Bars, 2011, from memory, of falls and scoops). Lengths are in units.
"""

from __future__ import annotations

from lxml import etree

from rollstave.grid.typed import SlideEdge
from rollstave.notating.notation import NotatedMeasure, Symbol
from rollstave.vocabulary.signs import techniques_of
from rollstave.vocabulary.technique import Technique
from rollstave.writing.note_ids import STAFF_PREFIX, note_id
from rollstave.writing.sheet.context import MarkContext
from rollstave.writing.sheet.drawing import number, path
from rollstave.writing.sheet.engraving import STAFF_SPACE
from rollstave.writing.sheet.skyline import Box

_LONG, _HALF = 170.0, 65.0  # of the line on the tab: its length, and half of its rise
_GAP = 35.0  # between a digit and its line
_HEAD = 135.0  # from the middle of a head to its line
_REACH, _RISE = 205.0, 0.8 * STAFF_SPACE  # of the line on the staff
_STEPS = (0.0, 60.0, 120.0, 180.0, 240.0, 300.0)  # how far it may stand off for what is there
_LINE = 20.0
_OPENS = 30.0  # how far over or under the middle of the head it starts


def is_here(context: MarkContext, row: Technique, notated: NotatedMeasure, symbol: Symbol) -> bool:
    """True if a mark of a note belongs at this part of it, where it is tied over several."""
    if row.field != "slide_to":
        return symbol.part == 0
    last = context.last_part.get((notated.measure.index, symbol.event_index, symbol.only_string), 0)
    return symbol.part == last


def edge_on_tab(
    context: MarkContext, layer: etree._Element, row: Technique, x: float, y: float, half: float
) -> None:
    """The line of a slide from or to nowhere beside its digit, ``half`` as wide as it is."""
    rising = 1 if row.value is SlideEdge.UP else -1
    side = -1 if row.field == "slide_from" else 1
    near = x + side * (half + _GAP)
    left, right = sorted((near, near + side * _LONG))
    y1, y2 = y + _HALF * rising, y - _HALF * rising
    d = f"M{number(left)} {number(y1)} L{number(right)} {number(y2)}"
    path(layer, d, _LINE, class_="slide")
    context.taken.add(Box(left, y - _HALF, right, y + _HALF))


def draw_staff_edges(context: MarkContext, layer: etree._Element) -> None:
    """The slides from and to nowhere of the staff."""
    system = context.system
    if system.staff is None:
        return
    for notated, symbol, note, _, _ in context.heads():
        for row in techniques_of(note):
            if row.what != "edge" or not is_here(context, row, notated, symbol):
                continue
            name = note_id(
                STAFF_PREFIX, notated.measure.index, symbol.event_index, symbol.part, note.string
            )
            if (at := system.places.get(name)) is not None:
                _beside_head(context, layer, row, at)


def _beside_head(
    context: MarkContext, layer: etree._Element, row: Technique, at: tuple[float, float]
) -> None:
    x, y = at
    side = -1 if row.field == "slide_from" else 1
    # From below and to below, the far end is the lower one.
    away = 1 if (row.value is SlideEdge.UP) == (side < 0) else -1
    for step in _STEPS:
        near = x + side * (_HEAD + step)
        far = near + side * _REACH
        y1, y2 = y + away * _OPENS, y + away * (_OPENS + _RISE)
        box = Box(min(near, far), min(y1, y2), max(near, far), max(y1, y2))
        if context.system.drawn.free(box):
            break
    (x1, y1), (x2, y2) = sorted(((near, y1), (far, y2)))
    d = f"M{number(x1)} {number(y1)} L{number(x2)} {number(y2)}"
    path(layer, d, _LINE, class_="slide")
    context.system.take(box)
