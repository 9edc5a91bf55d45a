"""Room between an accidental and the beams over or under it.

Verovio makes beamed stems as long as their heads need, so that the upper end of a flat under two
beams touches the inner one. Such beams are moved away with the ends of their stems (Gould, Behind
Bars, 2011, from memory: accidentals are clear of beams). Lengths are in units.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from lxml import etree

from rollstave.writing.sheet.drawing import number
from rollstave.writing.sheet.engraving import HREF, SVG
from rollstave.writing.sheet.skyline import Box

_GROUP, _PATH, _POLYGON = (f"{{{SVG}}}{name}" for name in ("g", "path", "polygon"))
_AIR = 45.0  # between an accidental and a beam
_NUMBERS = re.compile(r"-?\d+(?:\.\d+)?")
_Points = list[tuple[float, float]]


def clear_beams(signs: Sequence[etree._Element], boxes: Mapping[str, Box]) -> None:
    """Move the beams that the accidentals ``signs`` come too near to. ``boxes`` has the reach of
    glyphs at scale 1, by their names with Verovio's suffix taken off. The numbers of tuplets stand
    on their beams, so those of tuplets stay."""
    around: dict[etree._Element, list[Box]] = {}
    for use in signs:
        groups = {group.get("class"): group for group in use.iterancestors(_GROUP)}
        beam, box = groups.get("beam"), _box_of(use, boxes)
        if beam is not None and "tuplet" not in groups and box is not None:
            around.setdefault(beam, []).append(box)
    for beam, found in around.items():
        if not any(group.get("class") == "tuplet" for group in beam.iter(_GROUP)):
            _move_away(beam, found)


def _box_of(use: etree._Element, boxes: Mapping[str, Box]) -> Box | None:
    box = boxes.get(f"{use.get(HREF, '').rpartition('-')[0].replace('#', '#glyph-')}")
    placed = [float(n) for n in _NUMBERS.findall(use.get("transform", ""))]
    if box is None or len(placed) < 3:
        return None
    x, y, scale = placed[:3]
    return Box(*(at + scale * far for at, far in zip((x, y, x, y), box, strict=True)))


def _points(element: etree._Element, key: str) -> _Points:
    found = [float(n) for n in _NUMBERS.findall(element.get(key, ""))]
    return list(zip(found[::2], found[1::2], strict=False))


def _move_away(beam: etree._Element, signs: Sequence[Box]) -> None:
    """Move the lines of a beam, and the ends of its stems, off its accidentals."""
    lines = [(polygon, _points(polygon, "points")) for polygon in beam.iterfind(_POLYGON)]
    stems = [
        (path, _points(path, "d"))
        for group in beam.iter(_GROUP)
        if group.get("class") == "stem"
        for path in group.iterfind(_PATH)
    ]
    if not lines or not stems:
        return
    height = sum(y for _, points in lines for _, y in points) / sum(len(p) for _, p in lines)
    sides = {_side(points, height) for _, points in stems}
    if len(sides) > 1:
        return  # some stems lead up to it and some down
    away = sides.pop()
    more = max((_missing(points, sign, away) for _, points in lines for sign in signs), default=0)
    if more <= 0:
        return
    for polygon, points in lines:
        moved = (f"{number(x)},{number(y + away * more)}" for x, y in points)
        polygon.set("points", " ".join(moved))
    for path, points in stems:
        end = max(points, key=lambda point: away * point[1])
        ends = [(x, y + away * more if (x, y) == end else y) for x, y in points]
        path.set("d", "M" + " L".join(f"{number(x)} {number(y)}" for x, y in ends))


def _side(stem: _Points, height: float) -> int:
    """-1 for a beam over the middle of a stem, 1 for one under it."""
    return -1 if height < sum(y for _, y in stem) / len(stem) else 1


def _missing(line: _Points, sign: Box, away: int) -> float:
    """How much farther away a line of a beam must be from an accidental."""
    left, right = min(x for x, _ in line), max(x for x, _ in line)
    if sign.right < left - _AIR or right + _AIR < sign.left:
        return 0.0
    # The edge of the line that is nearer to its heads, where the accidental is.
    ends = [max((y for x, y in line if x == end), key=lambda y: -away * y) for end in (left, right)]
    shares = (
        (min(max(x, left), right) - left) / (right - left or 1) for x in (sign.left, sign.right)
    )
    near = [ends[0] + share * (ends[1] - ends[0]) for share in shares]
    return _AIR + (max(near) - sign.top if away < 0 else sign.bottom - min(near))
