"""Parentheses around accidentals that only warn, close to them.

Verovio leaves so much room around its own that an eighth before them is half as wide again as the
others; a sign a little smaller with thin parentheses takes the room of any accidental (common
practice, no source). Of grace notes, and of notes after them, the sign keeps its size and the room
that Verovio gave it, and its slur more air. Lengths are in units.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from lxml import etree

from rollstave.patterns import rare
from rollstave.writing.note_ids import STAFF_PREFIX, grace_id, note_id
from rollstave.writing.sheet.context import MarkContext
from rollstave.writing.sheet.drawing import number, shape
from rollstave.writing.sheet.engraving import STAFF_SPACE, SVG
from rollstave.writing.sheet.skyline import Box

_SMALLER, _SMALLEST = 0.78, 0.7  # of the sign; and close after a stem
_HALF = 1.15 * STAFF_SPACE  # the half height of a parenthesis beside a head of full size
_BOW, _THICK = 38.0, 16.0  # how far a parenthesis bends, and how thick it is in its middle
_ASIDE = 30.0  # further from its head than Verovio has the sign
_FULL = 0.72  # the scale of glyphs beside a note of full size
_WITH_PARENTHESES = 3  # signs that Verovio draws
_AIR = 9.0  # between the sign and a parenthesis
_LOW_BOW, _LITTLE = 27.0, 40.0  # after a stem that is nearer than this to a parenthesis
_BEFORE = 30.0  # between a parenthesis and what stands before it
_PLACED = rare(r"translate\((-?[\d.]+),? ?(-?[\d.]+)\) scale\(([\d.]+),? ?([\d.]+)\)")


def draw_cautions(context: MarkContext, layer: etree._Element) -> None:
    """Put the accidentals of a system that only warn in parentheses."""
    names = set(_names(context))
    if not names:
        return
    for group in context.system.element.iter(f"{{{SVG}}}g"):
        if group.get("id") in names:
            for accidental in group.iterfind(f"{{{SVG}}}g[@class='accid']"):
                signs = accidental.findall(f"{{{SVG}}}use")
                if len(signs) == _WITH_PARENTHESES:
                    _instead(context, accidental, signs)
                elif signs:
                    _around(context, layer, signs[0])


def _names(context: MarkContext) -> Iterator[str]:
    for notated in context.notated:
        for symbol in notated.symbols:
            event = notated.measure.index, symbol.event_index
            for which, group in enumerate(symbol.grace):
                for small in group:
                    if small.cautionary:
                        yield grace_id(STAFF_PREFIX, *event, which, small.note.string)
            for head in symbol.heads:
                if head.cautionary:
                    yield note_id(STAFF_PREFIX, *event, symbol.part, head.note.string)


def _box_of(context: MarkContext, at: re.Match[str]) -> Box | None:
    """The ground of the glyph that is placed there."""
    x, y = float(at[1]), float(at[2])
    return next(
        (
            b
            for b in context.system.drawn.boxes
            if abs(b.left - x) < 30 and b.top < y < b.bottom and b.right - b.left < STAFF_SPACE * 2
        ),
        None,
    )


def _instead(context: MarkContext, group: etree._Element, signs: list[etree._Element]) -> None:
    """Thin parentheses near the sign instead of those that Verovio drew. They are part of its
    group, which moves with its head."""
    left, sign, right = (_PLACED.search(use.get("transform", "")) for use in signs)
    if left is None or sign is None or right is None:
        return
    box, drawn = _box_of(context, sign), context.system.drawn
    if box is None:
        return
    for use, at in ((signs[0], left), (signs[2], right)):
        drawn.boxes[:] = [b for b in drawn.boxes if b is not _box_of(context, at)]
        group.remove(use)
    scale = float(sign[3])
    half = (box.right - box.left) / 2 + 2 * _AIR
    middle = (box.left + box.right) / 2
    at_its_place = {"transform": "translate(0, 0)"}
    ground = _parentheses(group, middle, float(sign[2]), half, scale, _BOW, **at_its_place)
    context.system.take(ground)


def _around(context: MarkContext, layer: etree._Element, use: etree._Element) -> None:
    at = _PLACED.search(use.get("transform", ""))
    if at is None or (box := _box_of(context, at)) is None:
        return
    x, y, scale = float(at[1]), float(at[2]), float(at[3])
    middle, wide = (box.left + box.right) / 2, (box.right - box.left) / 2
    tall = _HALF * scale / _FULL
    # Away from its head, as far as what stands before it leaves room.
    before = (
        b.right
        for b in context.system.drawn.boxes
        if b is not box and b.left < box.left - 20 and b.top < y + tall and y - tall < b.bottom
    )
    room = middle - max((r for r in before if r < middle), default=0.0)
    share, bow = _SMALLER, _BOW
    if room - share * wide - bow < _LITTLE:
        share, bow = _SMALLEST, _LOW_BOW
    half = share * wide + _AIR
    shift = max(0.0, min(_ASIDE, room - half - bow - _BEFORE))
    left, small = middle - shift - (middle - x) * share, round(scale * share, 4)
    middle -= shift
    use.set("transform", f"translate({number(left)}, {at[2]}) scale({small:g}, {small:g})")
    context.system.take(_parentheses(layer, middle, y, half, scale, bow))


def _parentheses(
    parent: etree._Element,
    middle: float,
    y: float,
    half: float,
    scale: float,
    bow: float,
    **more: str,
) -> Box:
    """Draw both parentheses around a sign that is so wide; their ground. ``bow`` is how far they
    bend beside a head of full size."""
    tall, bow = _HALF * scale / _FULL, bow * scale / _FULL
    for side in (-1, 1):
        edge = middle + side * half
        out, inner = side * bow * 4 / 3, side * (bow - _THICK) * 4 / 3
        shape(
            parent,
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
            **more,
        )
    return Box(middle - half - bow, y - tall, middle + half + bow, y + tall)
