"""Measures whose rhythm is not sure, marked on the sheet for the teacher's pencil.

A pale ground behind the staves and a question mark over the tab; shape and sign say it, so that
nothing depends on colour.
"""

from __future__ import annotations

from lxml import etree

from rollstave.writing.sheet.context import MarkContext
from rollstave.writing.sheet.drawing import shape, text

_SIZE = 330.0
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
        text(tip, "?", left + 140, bottom - 0.35 * _SIZE - (bottom - top) / 2 + 120, _SIZE * 1.2)
