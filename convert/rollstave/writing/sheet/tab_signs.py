"""Signs that Verovio sets for a staff of five lines, on a staff of any number of lines: the dots of
repeats, the letters of the tab's clef, the figures of a time signature, the bar line at the end;
and the line after 8va.

Dots of repeats are two, around the middle, as large on the tab as on the staff. A staff of an even
number of lines has its middle in a space, so they stand in the spaces beside that one (Gould,
Behind Bars, 2011, from memory). Lengths are in units.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from lxml import etree

from rollstave.patterns import rare
from rollstave.writing.sheet.drawing import number
from rollstave.writing.sheet.engraving import HREF, STAFF_SPACE, SVG, StaffLines
from rollstave.writing.sheet.skyline import Box

DOT = "E044"  # SMuFL 1.4: repeatDot
CLEF = "E06D"  # SMuFL 1.4: 6stringTabClef
SCALE = 0.72  # of signs on a staff at the size that Verovio engraves in
_CLEF_SHARE = 0.92  # of the height of a tab that its letters may fill
_METER_APART = 36.0  # half of what is between the figures of a time signature on the tab
_AFTER_OCTAVE = 80.0  # from the letters of 8va to their line, more than Verovio leaves
_PAST = 100.0  # farther than a last bar line of any kind is from the end of the lines
_BAR = rare(r"M(-?[\d.]+) -?[\d.]+ L(-?[\d.]+) -?[\d.]+")
_X = rare(r"([ML])(-?[\d.]+)")
_PLACED = re.compile(r"translate\((-?[\d.]+),? ?(-?[\d.]+)\) scale\((-?[\d.]+)")


def settle_dots(bar: etree._Element, staves: Sequence[StaffLines], box: Box) -> None:
    """Put the dots of a bar line where they belong. ``box`` is the reach of one at scale 1."""
    lines = [float(p.get("d", "M0")[1:].split()[0]) for p in bar.iterfind(f"{{{SVG}}}path")]
    found: dict[tuple[int, bool], list[tuple[etree._Element, float, float]]] = {}
    for use in bar.iterfind(f"{{{SVG}}}use"):
        placed = _PLACED.match(use.get("transform", ""))
        if placed is None or DOT not in use.get(HREF, ""):
            continue
        x, y, scale = (float(n) for n in placed.groups())
        staff = min(range(len(staves)), key=lambda i: _from(staves[i], y))
        found.setdefault((staff, x > min(lines)), []).append((use, x, scale))
    for (staff, after), dots in found.items():
        heights = staves[staff].heights
        middle = (heights[0] + heights[-1]) / 2
        space = heights[1] - heights[0] if len(heights) > 1 else STAFF_SPACE
        # In the spaces next to the middle. Two lines have one space, which holds both.
        away = space / 2 if len(heights) % 2 else min(space, (heights[-1] - heights[0]) / 3)
        for use, _, _ in dots[2:]:
            bar.remove(use)  # Verovio sets three on a staff of an even number of lines
        for (use, x, scale), side in zip(dots, (-1, 1), strict=False):
            # The edge that is next to the bar line stays.
            left = x if after else x + (scale - SCALE) * box.right
            y = middle + side * away
            at = f"translate({number(left)}, {number(y)}) scale({SCALE:g}, {SCALE:g})"
            use.set("transform", at)


def _from(staff: StaffLines, y: float) -> float:
    """How far a height is from the middle of a staff."""
    return abs((staff.heights[0] + staff.heights[-1]) / 2 - y)


def close_lines(system: etree._Element, right: float) -> None:
    """Put the last bar line of a system where the lines of its staves end, at ``right``: Verovio
    lets them run past it where the last measure was widened for what stands over it."""
    bars = [g for g in system.iter(f"{{{SVG}}}g") if g.get("class") == "barLine"]
    last = [p for p in (bars[-1] if bars else ()) if _BAR.fullmatch(p.get("d", ""))]
    places = [float(m[1]) for p in last if (m := _BAR.fullmatch(p.get("d", "")))]
    if not places or right - max(places) < _PAST:
        return
    more = right - max(places) - float(last[0].get("stroke-width", "0")) / 2
    for path in last:
        d = path.get("d", "")
        path.set("d", _X.sub(lambda m: f"{m[1]}{number(float(m[2]) + more)}", d))


def settle_clef(use: etree._Element, tab: StaffLines, box: Box) -> None:
    """Keep the letters of the clef within the lines of their tab. ``box`` is the clef's reach at
    scale 1."""
    placed = _PLACED.match(use.get("transform", ""))
    if placed is None or CLEF not in use.get(HREF, ""):
        return
    top, bottom = tab.heights[0], tab.heights[-1]
    scale = min(SCALE, _CLEF_SHARE * (bottom - top) / (box.bottom - box.top))
    x = float(placed[1]) + (SCALE - scale) * (box.left + box.right) / 2
    y = (top + bottom) / 2 - scale * (box.top + box.bottom) / 2
    at = f"translate({number(x)}, {number(y)}) scale({scale:.3g}, {scale:.3g})"
    use.set("transform", at)


def part_figures(signature: etree._Element, tab: StaffLines) -> None:
    """Part the figures of a time signature that stands on the tab: no line runs between them there
    as on the staff, so that they would touch. A sign for common or cut time stays."""
    middle = (tab.heights[0] + tab.heights[-1]) / 2
    placed = [(use, m) for use in signature if (m := _PLACED.match(use.get("transform", "")))]
    if len({m[2] for _, m in placed}) < 2:
        return
    for use, match in placed:
        y = float(match[2])
        y += _METER_APART if y > middle else -_METER_APART
        use.set("transform", use.get("transform", "").replace(match[2], number(y), 1))


def part_octave(group: etree._Element) -> None:
    """Let the dashed line of 8va, which touched the letters, begin half a space after them."""
    for path in group.iterfind(f"{{{SVG}}}path"):
        at = _BAR.fullmatch(path.get("d", ""))
        if at is not None and float(at[2]) - float(at[1]) > 2 * _AFTER_OCTAVE:
            after = f"M{number(float(at[1]) + _AFTER_OCTAVE)}"
            path.set("d", path.get("d", "").replace(f"M{at[1]}", after, 1))
