"""Crosses, the heads of muted notes: as heavy as other heads, and clear of each other.

Verovio sets the two heads of a second as near as round ones, which touch along a stem; the arms of
crosses would lie over each other there. So the one that stands off its side of the stem is moved
on by what they share (common practice, no source). Lengths are in units.
"""

from __future__ import annotations

from lxml import etree

from rollstave.patterns import rare
from rollstave.writing.sheet.drawing import number
from rollstave.writing.sheet.engraving import HREF, SVG
from rollstave.writing.sheet.skyline import Box

# SMuFL 1.4: noteheadXBlack; what makes it as heavy as other heads, and how tall it is beside its
# width, so that crosses a third apart in a chord do not run into one blot.
MUTED = "#glyph-E0A9"
_STROKE, _TALL = 30.0, 0.8
_RAW = "#E0A9-"  # as Verovio names it
_APART = 12.0  # between two crosses of a second
_GROUP, _USE, _PATH = (f"{{{SVG}}}{name}" for name in ("g", "use", "path"))
_PLACE = rare(r"translate\((-?[\d.]+),? ?(-?[\d.]+)\) scale\(([\d.]+),? ?([\d.]+)\)")
_STEM = rare(r"M(-?[\d.]+) (-?[\d.]+) L-?[\d.]+ (-?[\d.]+)")


def settle_cross(use: etree._Element, x: float, y: float, scale: float) -> float:
    """Make a cross at ``x`` and ``y`` as heavy as other heads. Returns its scale upwards."""
    use.set("stroke", "currentColor")
    use.set("stroke-width", number(_STROKE))
    tall = round(_TALL * scale, 3)
    use.set("transform", f"translate({x:g}, {y:g}) scale({scale:g}, {tall:g})")
    return tall


def part_crosses(chord: etree._Element, box: Box) -> None:
    """Move the heads of a chord with crosses that stand on the other side of its stem off the
    rest. ``box`` is the reach of a cross at scale 1."""
    uses = [
        use
        for head in chord.iter(_GROUP)
        if head.get("class") == "notehead"
        for use in head.iterfind(_USE)
    ]
    placed = [(use, m) for use in uses if (m := _PLACE.fullmatch(use.get("transform", "")))]
    xs = sorted({float(m[1]) for _, m in placed})
    if len(xs) != 2 or not any(use.get(HREF, "").startswith(_RAW) for use in uses):
        return
    stem = next(
        (
            m
            for group in chord.iterfind(f"{_GROUP}[@class='stem']")
            for p in group.iterfind(_PATH)
            if (m := _STEM.match(p.get("d", "")))
        ),
        None,
    )
    middle = sum(float(m[2]) for _, m in placed) / len(placed)
    # A stem that hangs is on the left of its heads, so that the left one is on the other side.
    hangs = stem is not None and float(stem[2]) + float(stem[3]) > 2 * middle
    off, scale = xs[0] if hangs else xs[1], float(placed[0][1][3])
    apart = scale * (box.right - box.left + _STROKE) + _APART
    x = off + (apart - (xs[1] - xs[0])) * (-1 if hangs else 1)
    for use, m in placed:
        if float(m[1]) == off:
            use.set("transform", f"translate({number(x)}, {m[2]}) scale({m[3]}, {m[4]})")
