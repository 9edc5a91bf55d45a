"""The numbers of tuplets on a tab that stands alone.

Verovio reckons their middle from all that it draws of a digit; here it is that of the stems
and rests, as on
a staff (Gould, Behind Bars, 2011, from memory). Lengths are in units.
"""

from __future__ import annotations

from lxml import etree

from rollstave.patterns import rare
from rollstave.writing.sheet.drawing import number
from rollstave.writing.sheet.engraving import SVG
from rollstave.writing.sheet.skyline import Box

_GROUP, _PATH, _USE = (f"{{{SVG}}}{name}" for name in ("g", "path", "use"))
_POLYLINE = f"{{{SVG}}}polyline"
_OVER = 60.0  # how far a bracket reaches over the outer stems
_HALF_REST = 110.0  # from the left of a rest to its middle
_GAP = 60.0  # between a bracket and the number in it
_NUMBER = rare(r"-?\d+(?:\.\d+)?")
_PLACED = rare(r"translate\(-?[\d.]+,? ?(-?[\d.]+)\) scale\((-?[\d.]+)")
THREE = "E883"  # SMuFL 1.4: tuplet3


def over_stems(group: etree._Element, box: Box) -> None:
    """Put the number of a tuplet over the middle of its stems, and its bracket around that.
    ``box`` is the reach of the number at scale 1."""
    stems = [
        float(_NUMBER.findall(path.get("d", "0"))[0])
        for part in group.iter(_GROUP)
        if part.get("class") == "stem"
        for path in part.iterfind(_PATH)
    ]
    stems += [
        float(_NUMBER.findall(use.get("transform", "0"))[0]) + _HALF_REST
        for part in _of(group, "rest")
        for use in part.iter(_USE)
    ]
    sign = next((u for g in _of(group, "tupletNum") for u in g.iter(_USE)), None)
    placed = _PLACED.match(sign.get("transform", "")) if sign is not None else None
    if not stems or sign is None or placed is None:
        return
    left, right = min(stems), max(stems)
    y, scale = float(placed[1]), float(placed[2])
    at = (left + right) / 2 - scale * (box.left + box.right) / 2
    sign.set("transform", f"translate({number(at)}, {number(y)}) scale({scale:g}, {scale:g})")
    pieces = [line for g in _of(group, "tupletBracket") for line in g.iter(_POLYLINE)]
    if len(pieces) == 2:
        heights = [float(n) for n in _NUMBER.findall(pieces[0].get("points", ""))[1::2]]
        tip, line = heights[0], heights[-1]
        inner = at + scale * box.left - _GAP, at + scale * box.right + _GAP
        for piece, outer, end in zip(pieces, (left - _OVER, right + _OVER), inner, strict=True):
            points = ((outer, tip), (outer, line), (end, line))
            piece.set("points", " ".join(f"{number(a)},{number(b)}" for a, b in points))


def _of(group: etree._Element, kind: str) -> list[etree._Element]:
    return [child for child in group if child.get("class") == kind]
