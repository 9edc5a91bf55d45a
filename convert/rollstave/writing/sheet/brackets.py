"""Square brackets around the heads of ghost notes, as around their frets on the tab: round ones
there are those of ties, and a sign means one thing on both staves.

Verovio puts a pair of parentheses around each head; in a chord they lie over each other and over
the heads. Where every head has a pair, one pair goes around them all (common practice, no source).
"""

from __future__ import annotations

from lxml import etree
from msgspec import Struct

from rollstave.patterns import rare
from rollstave.writing.sheet.drawing import number, shape
from rollstave.writing.sheet.engraving import HREF, STAFF_SPACE, SVG, StaffLines

# SMuFL: noteheadParenthesisLeft is U+E0F5 and accidentalParensLeft U+E26A, of which Verovio uses
# the second; the right ones follow them. Those of a cautionary accidental stay as they are.
_LEFT, _RIGHT = "#E26A-", "#E26B-"
_HIGH, _WIDE = (
    375.0,
    160.0,
)  # of ours, that its ends are on no line; and of that glyph, in its units
_HALF = 25.0  # of the width of a bracket
# Further from its head than the middle of the parenthesis, clear of the ledger lines of its head;
# where that has none, nearer, clear of those of the note before it.
_OUT, _NEAR = 25.0, -12.0
_GROUP, _USE = (f"{{{SVG}}}{name}" for name in ("g", "use"))
_PLACE = rare(r"translate\((-?[\d.]+),? ?(-?[\d.]+)\) scale\(([\d.]+),? ?([\d.]+)\)")
_STROKE = 22.0
PARENTHESIS = "#glyph-E26A"  # under our name
GHOST = "ghost"  # the class of a bracket


class _Sign(Struct, frozen=True):
    """A parenthesis that Verovio set: its use, the left edge, the height and scale."""

    use: etree._Element
    x: float
    y: float
    scale: float


def square_brackets(group: etree._Element, staff: StaffLines | None) -> None:
    """Put square brackets around the heads of a note or chord that Verovio has parentheses for."""
    high, low = (staff.heights[0], staff.heights[-1]) if staff else (0.0, 0.0)

    def out(ys: list[float]) -> float:
        within = high - STAFF_SPACE < min(ys) and max(ys) < low + STAFF_SPACE
        return _NEAR if within else _OUT

    heads = [g for g in group.iter(_GROUP) if g.get("class") == "notehead"]
    for side, outer, sign in ((_LEFT, min, 1.0), (_RIGHT, max, -1.0)):
        found = [each for head in heads for each in _signs(head, side)]
        if len(found) == len(heads) > 1:
            ys = [each.y for each in found]
            x, scale = outer(each.x for each in found), found[0].scale
            _bracket(heads[0], x - sign * out(ys), (min(ys), max(ys)), scale, sign)
        else:
            for each in found:
                x = each.x - sign * out([each.y])
                _bracket(_parent(each.use), x, (each.y, each.y), each.scale, sign)
        for each in found:
            _parent(each.use).remove(each.use)


def _signs(head: etree._Element, side: str) -> list[_Sign]:
    found = []
    for use in head.iterfind(_USE):
        place = _PLACE.fullmatch(use.get("transform", ""))
        if place is not None and use.get(HREF, "").startswith(side):
            found.append(_Sign(use, *(float(n) for n in place.groups()[:3])))
    return found


def _parent(element: etree._Element) -> etree._Element:
    parent = element.getparent()
    assert parent is not None  # what Verovio draws is below a group
    return parent


def _bracket(
    parent: etree._Element, x: float, heights: tuple[float, float], scale: float, sign: float
) -> None:
    """A bracket in the place of a parenthesis with its left edge at ``x``, around heads at two
    heights; ``sign`` is 1 for one that opens."""
    middle = x + scale * _WIDE / 2
    upright, end = middle - sign * _HALF, middle + sign * _HALF
    top, bottom = (y + side * scale * _HIGH / 2 for y, side in zip(heights, (-1, 1), strict=True))
    points = ((end, top), (upright, top), (upright, bottom), (end, bottom))
    path = "L".join(f"{number(px)} {number(py)}" for px, py in points)
    shape(
        parent,
        "path",
        class_=GHOST,
        d=f"M{path}",
        fill="none",
        stroke="currentColor",
        stroke_width=_STROKE,
    )
