"""Parentheses around the noteheads of a chord.

Verovio puts a pair around each head; in a chord they lie over each other and over the heads. Where
every head has a pair, one pair goes around them all (common practice, no source).
"""

from __future__ import annotations

from lxml import etree

from rollstave.patterns import rare
from rollstave.writing.sheet.drawing import number
from rollstave.writing.sheet.engraving import HREF, SVG

# SMuFL: noteheadParenthesisLeft is U+E0F5 and accidentalParensLeft U+E26A, of which Verovio uses
# the second; the right ones follow them.
_LEFT, _RIGHT = "#E26A-", "#E26B-"
PARENTHESIS = "#glyph-E26A"  # under our name
_HIGH = 500.0  # of that glyph, in its own units
_USE = f"{{{SVG}}}use"
_PLACE = rare(r"translate\((-?[\d.]+),? ?(-?[\d.]+)\) scale\(([\d.]+),? ?([\d.]+)\)")


def join_brackets(chord: etree._Element) -> None:
    """Put one pair of parentheses around a chord, in place of the pairs around all its heads."""
    heads = [g for g in chord.iter(f"{{{SVG}}}g") if g.get("class") == "notehead"]
    for side, outer in ((_LEFT, min), (_RIGHT, max)):
        found = [
            use
            for use in chord.iter(_USE)
            if use.get(HREF, "").startswith(side) and not _of_accidental(use)
        ]
        places = [_PLACE.fullmatch(use.get("transform", "")) for use in found]
        if len(found) < 2 or len(found) != len(heads) or not all(places):
            return
        at = [tuple(map(float, place.groups())) for place in places if place]
        x = outer(p[0] for p in at)
        ys = [p[1] for p in at]
        scale = at[0][2]
        tall = scale + (max(ys) - min(ys)) / _HIGH
        found[0].set(
            "transform",
            f"translate({number(x)}, {number((min(ys) + max(ys)) / 2)}) scale({scale:g}, {tall:g})",
        )
        for use in found[1:]:
            parent = use.getparent()
            if parent is not None:
                parent.remove(use)


def _of_accidental(use: etree._Element) -> bool:
    """Whether a parenthesis is that of a cautionary accidental."""
    parent = use.getparent()
    return parent is not None and parent.get("class") == "accid"
