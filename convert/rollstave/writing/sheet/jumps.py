"""Segno and coda over the measures that jumps lead to; words and signs where they are made.

The signs are outlines of the carried music font (SMuFL 1.4, repeats: U+E047, U+E048), drawn as
paths, so that no font has to be found for them. Lengths are in units.
"""

from __future__ import annotations

import json
from functools import lru_cache

from lxml import etree

from rollstave.score.records import Measure
from rollstave.writing.fonts import CAP_HEIGHT, Style, font_folder, text_width
from rollstave.writing.sheet.context import MarkContext
from rollstave.writing.sheet.drawing import number, shape, text
from rollstave.writing.sheet.engraving import STAFF_SPACE
from rollstave.writing.sheet.glyphs import outline_box
from rollstave.writing.sheet.skyline import Box

_DIRECTION_SIZE, _NAME_SIZE = 300.0, 400.0
_EM_SPACE = 250.0  # of the outlines
_SCALE = 0.85 * STAFF_SPACE / _EM_SPACE  # a little smaller than in an orchestral part
_SMALL = 0.62  # of the sign after To Coda, as a share of the sign that it leads to
_GAP = 110.0  # over whatever stands below
_LOWEST = 190.0  # over the top line at least


@lru_cache(maxsize=1)
def _outlines() -> dict[str, str]:
    signs: dict[str, str] = json.loads((font_folder() / "jump-signs.json").read_text("utf-8"))
    return signs


def _width(sign: str, scale: float) -> float:
    left, _, right, _ = outline_box(_outlines()[sign])
    return (right - left) * scale


def _draw(layer: etree._Element, sign: str, left: float, base: float, scale: float) -> Box:
    """Draw a sign with its left edge and its foot at a point. Returns its ground."""
    x, low, right, high = outline_box(_outlines()[sign])
    shift = f"translate({number(left - x * scale)},{number(base + low * scale)})"
    shape(
        layer,
        "path",
        class_=f"jump {sign}",
        fill="currentColor",
        transform=f"{shift} scale({scale:.4f},{-scale:.4f})",
        d=_outlines()[sign],
    )
    return Box(left, base - (high - low) * scale, left + (right - x) * scale, base)


def draw_targets(context: MarkContext, layer: etree._Element) -> None:
    """Segno and coda at the left end of the measures that jumps lead to."""
    system = context.system
    for position, notated in enumerate(context.notated):
        measure = notated.measure
        left = system.spans[measure.index][0] + (0.0 if position == 0 else 40.0)
        for sign, is_here in (("segno", measure.segno), ("coda", measure.coda)):
            if is_here:
                lowest = system.first.heights[0] - _LOWEST
                right = left + _width(sign, _SCALE)
                if sign == "coda" and names_coda(measure):
                    right += 100 + text_width(measure.section or "", _NAME_SIZE, Style.BOLD)
                base = system.drawn.ceiling(left - 40, right + 60, lowest) - _GAP
                box = _draw(layer, sign, left, base, _SCALE)
                system.take(box)
                if sign == "coda" and names_coda(measure):
                    foot = (box.top + box.bottom) / 2 + CAP_HEIGHT / 2 * _NAME_SIZE
                    words = measure.section or ""
                    name = (layer, words, box.right + 100, foot, _NAME_SIZE, "start", Style.BOLD)
                    system.take(text(*name, class_="section"))
                left = right + 120


def names_coda(measure: Measure) -> bool:
    """True if the name of a section says the same as the sign of its first measure."""
    return measure.coda and (measure.section or "").strip().lower() == "coda"


def draw_directions(context: MarkContext, layer: etree._Element) -> None:
    """How often to play, where to end, where to go back to and where to leave for the coda: at
    the right end of a measure."""
    system = context.system
    for notated in context.notated:
        measure = notated.measure
        line = _words(measure)
        if not line:
            continue
        right = system.spans[measure.index][1]
        scale = _SCALE * _SMALL
        sign = _width("coda", scale) + 70 if measure.to_coda else 0.0
        width = text_width(line, _DIRECTION_SIZE, Style.BOLD) + sign
        lowest = system.first.heights[0] - _LOWEST
        base = system.drawn.ceiling(right - width - 60, right, lowest) - _GAP
        if measure.to_coda:
            _, low, _, high = outline_box(_outlines()["coda"])
            # Its middle at that of the capitals.
            foot = base - CAP_HEIGHT / 2 * _DIRECTION_SIZE + (high - low) / 2 * scale
            if foot > base:
                base -= foot - base
                foot = base - CAP_HEIGHT / 2 * _DIRECTION_SIZE + (high - low) / 2 * scale
            system.take(_draw(layer, "coda", right - sign + 70, foot, scale))
        system.take(
            text(
                layer,
                line,
                right - sign,
                base,
                _DIRECTION_SIZE,
                "end",
                Style.BOLD,
                class_="direction",
            )
        )


def _words(measure: Measure) -> str:
    """To Coda comes last, so that its sign can follow it."""
    words = [
        f"play {measure.times} times" if measure.times else "",
        "Fine" if measure.fine else "",
        measure.jump or "",
        "To Coda" if measure.to_coda else "",
    ]
    return ", ".join(word for word in words if word)
