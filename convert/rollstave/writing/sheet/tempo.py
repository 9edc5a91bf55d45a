"""The metronome mark: in the head of a sheet, and over a measure in which the tempo changes.

Lengths are in units.
"""

from __future__ import annotations

from fractions import Fraction

from lxml import etree

from rollstave.rhythm.meter import Meter
from rollstave.writing.fonts import text_width
from rollstave.writing.sheet.context import MarkContext
from rollstave.writing.sheet.drawing import number, shape, text
from rollstave.writing.sheet.skyline import Box

_SIZE = 330.0
_STEM = 345.0  # from the base line to the end of the stem
_WORDS_AT = 240.0  # from the middle of the note's head
_GAP, _LOWEST = 110.0, 190.0  # over whatever stands below, and over the top line at least


def _words(tempo: Fraction, meter: Meter) -> str:
    beats = tempo / meter.beat
    return f"= {int(beats)}" if beats.denominator == 1 else f"= {float(beats):.1f}"


def draw_tempo(block: etree._Element, tempo: Fraction, meter: Meter, left: float, y: float) -> None:
    """Draw how many beats of a meter a minute has. The note is drawn as shapes, so that no music
    font is needed. ``tempo`` is in quarter notes a minute."""
    beat = meter.beat
    x = left + 90
    hollow = beat >= 2
    head = shape(
        block,
        "ellipse",
        cx=x,
        cy=y - 65,
        rx=82.0,
        ry=58.0,
        transform=f"rotate(-24 {number(x)} {number(y - 65)})",
        fill="none" if hollow else "currentColor",
        stroke="currentColor",
    )
    head.set("stroke-width", "30" if hollow else "10")
    shape(
        block,
        "path",
        d=f"M{number(x + 78)} {number(y - 92)} V{number(y - _STEM)}",
        fill="none",
        stroke="currentColor",
        stroke_width=20.0,
    )
    if meter.compound or beat.numerator == 3:
        shape(block, "circle", cx=x + 175, cy=y - 65, r=28.0, fill="currentColor")
    text(block, _words(tempo, meter), x + _WORDS_AT, y, _SIZE, "start")


def draw_changing_tempo(context: MarkContext, layer: etree._Element) -> None:
    """The new tempo over the beginning of each measure in which it changes."""
    system = context.system
    for position, notated in enumerate(context.notated):
        change = notated.measure.change
        if change is None or change.tempo is None:
            continue
        meter = context.score.meters[notated.measure.index]
        words = _words(change.tempo, meter)
        left = system.spans[notated.measure.index][0] + (0.0 if position == 0 else 40.0)
        right = left + 90 + _WORDS_AT + text_width(words, _SIZE)
        lowest = system.first.heights[0] - _LOWEST
        base = system.drawn.ceiling(left - 40, right + 40, lowest) - _GAP
        group = shape(layer, "g", class_="tempo")
        draw_tempo(group, change.tempo, meter, left, base)
        system.take(Box(left, base - _STEM, right, base))
