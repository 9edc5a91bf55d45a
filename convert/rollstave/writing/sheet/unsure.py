"""Measures whose rhythm is not sure, marked on the sheet for the teacher's pencil.

A pale ground behind the staves and a question mark over them; shape and sign say it, so that
nothing depends on colour.
"""

from __future__ import annotations

from lxml import etree

from rollstave.score.records import Measure
from rollstave.writing.fonts import text_width
from rollstave.writing.note_ids import STAFF_PREFIX, TAB_PREFIX
from rollstave.writing.sheet.context import MarkContext
from rollstave.writing.sheet.drawing import shape, text

_SIZE = 396.0
_BEFORE = 390.0  # from the question mark to the first note
_ABOVE = 80.0
_GROUND = "#8a6d1d"


def draw_unsure(context: MarkContext, layer: etree._Element) -> None:
    """Mark the measures of a system that are not sure, if the options ask for it."""
    if not context.options.mark_unsure:
        return
    system = context.system
    top, bottom = system.first.heights[0], system.last.heights[-1]
    for notated in context.notated:
        measure = notated.measure
        span = system.spans.get(measure.index)
        if measure.rhythm.sure or span is None:
            continue
        left, right = span
        shape(
            layer,
            "rect",
            x=float(left + 40),
            y=float(top),
            width=float(right - left - 80),
            height=float(bottom - top),
            fill=_GROUND,
            fill_opacity="0.13",
            stroke="none",
            class_="unsure",
        )
        tip = shape(layer, "g", class_="unsure-sign")
        shape(tip, "title").text = (
            f"Measure {measure.number}: {measure.rhythm.confidence:.0%} sure. "
            + "; ".join(measure.rhythm.reasons)
        )
        x = max(left + 60, _first_note(context, measure) - _BEFORE)
        wide = text_width("?", _SIZE)
        base = system.drawn.ceiling(x - 30, x + wide + 30, top - _ABOVE) - _ABOVE
        system.take(text(tip, "?", x, base, _SIZE, "start", class_="unsure"))


def _first_note(context: MarkContext, measure: Measure) -> float:
    """Where the first note of a measure stands, after clef and signature."""
    starts = (f"{STAFF_PREFIX}{measure.index}-", f"{TAB_PREFIX}{measure.index}-")
    places = context.system.places.items()
    return min((x for name, (x, _) in places if name.startswith(starts)), default=0.0)
