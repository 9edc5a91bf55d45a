"""The metronome mark, in the head of a sheet and where the tempo changes; and in words how the
instrument is set up anew.

Lengths are in units.
"""

from __future__ import annotations

from fractions import Fraction

from lxml import etree

from rollstave.instruments.setup import Setup
from rollstave.pitch import spell
from rollstave.rhythm.meter import Meter
from rollstave.writing.fonts import Style, text_width
from rollstave.writing.sheet.context import MarkContext
from rollstave.writing.sheet.drawing import number, shape, text
from rollstave.writing.sheet.skyline import Box

_SIZE = 330.0
TEMPO_TALL = _STEM = 345.0  # from the base line to the end of the stem
_WORDS_AT = 240.0  # from the middle of the note's head
_DOTTED = 75.0  # more, after the dot of a head
_GAP, _LOWEST = 110.0, 190.0  # over whatever stands below, and over the top line at least


def _words(tempo: Fraction, meter: Meter) -> str:
    beats = tempo / meter.beat
    return f"= {int(beats)}" if beats.denominator == 1 else f"= {float(beats):.1f}"


def tempo_width(tempo: Fraction, meter: Meter) -> float:
    """How wide a metronome mark is, in units."""
    return 90 + _words_at(meter) + text_width(_words(tempo, meter), _SIZE)


def _dotted(meter: Meter) -> bool:
    return meter.compound or meter.beat.numerator == 3


def _words_at(meter: Meter) -> float:
    return _WORDS_AT + _DOTTED * _dotted(meter)


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
    if _dotted(meter):
        shape(block, "circle", cx=x + 175, cy=y - 65, r=28.0, fill="currentColor")
    text(block, _words(tempo, meter), x + _words_at(meter), y, _SIZE, "start")


def draw_changes(context: MarkContext, layer: etree._Element) -> None:
    """The new tempo over the beginning of each measure in which it changes, and over it how the
    instrument is set up anew."""
    system = context.system
    for position, notated in enumerate(context.notated):
        change = notated.measure.change
        if change is None:
            continue
        index = notated.measure.index
        left = system.spans[index][0] + (0.0 if position == 0 else 40.0)
        if change.tempo is not None:
            _new_tempo(context, layer, change.tempo, index, left)
        if change.setup is not None:
            words = _set_up(change.setup, context.score.setups[index - 1])
            width = text_width(words, _SIZE, Style.ITALIC)
            lowest = system.first.heights[0] - _LOWEST
            base = system.drawn.ceiling(left - 40, left + width + 40, lowest) - _GAP
            line = text(layer, words, left, base, _SIZE, "start", Style.ITALIC, class_="setup")
            system.take(line)


def _set_up(setup: Setup, before: Setup) -> str:
    """What a player does before a measure: ``Tune to gCGCD, capo 2``."""
    found = []
    if setup.tuning != before.tuning:
        found.append(f"tune to {setup.tuning.written}")
    if setup.capo != before.capo:
        found.append(f"capo {setup.capo}" if setup.capo else "no capo")
    short = setup.instrument.short_string
    if short is not None and setup.short_raise not in (setup.capo, before.short_raise):
        found.append(f"fifth string to {spell(setup.open_midi(short.string), 0).letter}")
    words = ", ".join(found) or "short string as the capo has it"
    return words[0].upper() + words[1:]


def _new_tempo(
    context: MarkContext, layer: etree._Element, tempo: Fraction, index: int, left: float
) -> None:
    system, meter = context.system, context.score.meters[index]
    right = left + tempo_width(tempo, meter)
    lowest = system.first.heights[0] - _LOWEST
    base = system.drawn.ceiling(left - 40, right + 40, lowest) - _GAP
    group = shape(layer, "g", class_="tempo")
    draw_tempo(group, tempo, meter, left, base)
    system.take(Box(left, base - _STEM, right, base))
