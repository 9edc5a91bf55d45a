"""Parentheses around accidentals that only warn, close to them.

Verovio leaves so much room around its own that an eighth before them is half as wide again as the
others; a sign a little smaller with thin parentheses takes the room of any accidental (common
practice, no source). Grace notes, and notes after them, keep Verovio's. Lengths are in units.
"""

from __future__ import annotations

from collections.abc import Iterator

from lxml import etree

from rollstave.patterns import rare
from rollstave.writing.note_ids import STAFF_PREFIX, note_id
from rollstave.writing.sheet.context import MarkContext
from rollstave.writing.sheet.drawing import number, shape
from rollstave.writing.sheet.engraving import STAFF_SPACE, SVG
from rollstave.writing.sheet.skyline import Box

_SMALLER = 0.84  # of the sign
_HALF = 1.25 * STAFF_SPACE  # the half height of a parenthesis beside a head of full size
_BOW, _THICK = 46.0, 17.0  # how far a parenthesis bends, and how thick it is in its middle
_ASIDE = 38.0  # further from its head than Verovio has the sign
_FULL = 0.72  # the scale of glyphs beside a note of full size
_AIR = 9.0  # between the sign and a parenthesis
_PLACED = rare(r"translate\((-?[\d.]+),? ?(-?[\d.]+)\) scale\(([\d.]+),? ?([\d.]+)\)")


def draw_cautions(context: MarkContext, layer: etree._Element) -> None:
    """Put the accidentals of a system that only warn in parentheses."""
    names = set(_names(context))
    if not names:
        return
    for group in context.system.element.iter(f"{{{SVG}}}g"):
        if group.get("id") in names:
            for accidental in group.iterfind(f"{{{SVG}}}g[@class='accid']/{{{SVG}}}use"):
                _around(context, layer, accidental)


def _names(context: MarkContext) -> Iterator[str]:
    for notated in context.notated:
        for symbol in notated.symbols:
            for head in symbol.heads:
                if head.cautionary and not symbol.grace:
                    at = notated.measure.index, symbol.event_index, symbol.part
                    yield note_id(STAFF_PREFIX, *at, head.note.string)


def _around(context: MarkContext, layer: etree._Element, use: etree._Element) -> None:
    at = _PLACED.search(use.get("transform", ""))
    if at is None:
        return
    x, y, scale = float(at[1]), float(at[2]), float(at[3])
    box = next(
        (
            b
            for b in context.system.drawn.boxes
            if abs(b.left - x) < 30 and b.top < y < b.bottom and b.right - b.left < STAFF_SPACE * 2
        ),
        None,
    )
    if box is None:
        return
    middle, small = (box.left + box.right) / 2, scale * _SMALLER
    half = (box.right - box.left) / 2 * _SMALLER + _AIR
    tall = _HALF * scale / _FULL
    # Away from its head, as far as what stands before it leaves room.
    before = (
        b.right
        for b in context.system.drawn.boxes
        if b is not box and b.left < box.left - 20 and b.top < y + tall and y - tall < b.bottom
    )
    room = middle - half - _BOW - _AIR - max((r for r in before if r < middle), default=0.0)
    shift = max(0.0, min(_ASIDE, room))
    left = middle - shift - (middle - x) * _SMALLER
    middle -= shift
    use.set("transform", f"translate({number(left)}, {at[2]}) scale({small:g}, {small:g})")
    for side in (-1, 1):
        edge = middle + side * half
        out, inner = side * _BOW * 4 / 3, side * (_BOW - _THICK) * 4 / 3
        shape(
            layer,
            "path",
            class_="caution",
            fill="currentColor",
            stroke="currentColor",
            stroke_width=6.0,
            stroke_linejoin="round",
            d=(
                f"M{number(edge)} {number(y - tall)}"
                f"C{number(edge + out)} {number(y - tall / 2)} "
                f"{number(edge + out)} {number(y + tall / 2)} {number(edge)} {number(y + tall)}"
                f"C{number(edge + inner)} {number(y + tall / 2)} "
                f"{number(edge + inner)} {number(y - tall / 2)} {number(edge)} "
                f"{number(y - tall)}Z"
            ),
        )
    context.system.take(Box(middle - half - _BOW, y - tall, middle + half + _BOW, y + tall))
