"""Bends, vibrato, notes that ring on and slides from and to nowhere: what stands beside one digit.

Lengths are in units.
"""

from __future__ import annotations

from lxml import etree

from rollstave.grid.typed import SlideEdge
from rollstave.writing.sheet.arcs import open_arc
from rollstave.writing.sheet.context import MarkContext, half_width
from rollstave.writing.sheet.drawing import number, path, shape, text, text_box
from rollstave.writing.sheet.skyline import Box

_BEND_SIZE = 240.0
_WAVE, _WAVE_AIR = 100.0, 25.0  # of vibrato: the length of a wave, and before the next digit
# Semitones of a bend as players say it, in whole tones. Common practice.
_BEND_NAMES = {1: "½", 2: "1", 3: "1½", 4: "2", 5: "2½", 6: "3"}


def draw_ornaments(context: MarkContext, layer: etree._Element) -> None:
    """Bends, vibrato, notes that ring on, slides from and to nowhere."""
    for _, symbol, note, tied, name in context.heads():
        at = context.system.places.get(name)
        if at is None or symbol.part or context.system.tab is None:
            continue
        x, y = at[0] + half_width(note, tied), at[1]
        if note.bend is not None:
            _bend(context, layer, note.bend, x + 20, y)
        if note.vibrato:
            _vibrato(context, layer, x, y)
        if note.let_ring:
            context.taken.add(open_arc(layer, x + 20, y))
        for edge, side in ((note.slide_from, -1), (note.slide_to, 1)):
            if edge is not None:
                rising = 1 if edge is SlideEdge.UP else -1
                near = at[0] + side * (half_width(note, tied) + 35)
                far = near + side * 170
                # Left of the digit the line ends beside it; right of it the line starts there.
                x1, x2 = (far, near) if side < 0 else (near, far)
                y1, y2 = y + 65 * rising, y - 65 * rising
                path(
                    layer,
                    f"M{number(x1)} {number(y1)} L{number(x2)} {number(y2)}",
                    class_="slide",
                )


def _vibrato(context: MarkContext, layer: etree._Element, x: float, y: float) -> None:
    """A wavy line beside a digit that ends at x: shorter where the next digit of its line is near,
    higher where an arc leads there."""
    near = [b.left for b in context.taken.boxes if b.top < y < b.bottom and b.left > x]
    room = min(near, default=float("inf")) - x - _WAVE_AIR
    start = next((gap for gap in (45.0, 15.0) if room >= gap + _WAVE), 5.0)
    waves = 2 if room >= start + 2 * _WAVE else 1
    long = max(_WAVE / 2, min(_WAVE, room - start))
    quarter = f"{number(long / 4)}"
    for rise in (0.0, 50.0):
        ground = Box(x + start, y - rise - 135, x + start + long * waves, y - rise - 60)
        if context.taken.free(ground):
            break
    line = f" q{quarter} -50 {number(long / 2)} 0 q{quarter} 50 {number(long / 2)} 0" * waves
    at = f"M{number(ground.left)} {number(ground.top + 40)}"
    path(layer, f"{at}{line}", 20.0, class_="vibrato")
    context.taken.add(ground)


def _bend(context: MarkContext, layer: etree._Element, semitones: int, x: float, y: float) -> None:
    """An arrow that leaves the digit to the right and turns up, its size over its point."""
    right, top = x + 110, y - 215
    path(
        layer,
        f"M{number(x)} {number(y - 30)} Q{number(right)} {number(y - 30)} "
        f"{number(right)} {number(top + 55)}",
        18.0,
        class_="bend",
    )
    shape(
        layer,
        "path",
        class_="bend",
        fill="currentColor",
        d=f"M{number(right)} {number(top)} l38 75 h-76 Z",
    )
    words = _BEND_NAMES.get(semitones, f"{semitones / 2:g}")
    # The size stands over the point, or where that is taken beside it or higher up.
    spots = (
        (right, top - 25, "middle"),
        (right + 60, top + 70, "start"),
        (right, top - 190, "middle"),
    )
    sx, sy, anchor = next(
        (
            spot
            for spot in spots
            if context.taken.free(text_box(words, spot[0], spot[1], _BEND_SIZE, spot[2]), 10)
        ),
        spots[0],
    )
    box = text(layer, words, sx, sy, _BEND_SIZE, anchor, class_="bend")
    context.taken.add(box)
    context.taken.add(Box(right - 38, top, right + 38, y - 30))
