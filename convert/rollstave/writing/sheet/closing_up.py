"""Staff and tab brought near each other: short stems on the tab, and no more room between the two
than what hangs under the staff needs.

Verovio leaves the tab long stems and wide air, so that the two staves of a system stood as far from
each other as from the next system, and the eye had nothing to tell them by. Lengths are in units.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from lxml import etree

from rollstave.writing.fonts import text_width
from rollstave.writing.sheet.drawing import number
from rollstave.writing.sheet.engraving import LYRIC_SIZE, STAFF_SPACE, SVG, StaffLines
from rollstave.writing.sheet.skyline import Box

TALL = 785.0  # how far Verovio's stems reach over the top line of the tab
STEM = 530.0  # how far ours do
_FOOT, _FOOT_HERE = 157.0, 190.0  # where Verovio's stems begin over the line, and where ours do
_FLAG_WIDE, _FLAG_TALL = 0.52, 0.42  # the scales of a flag that fits them
_BEAM = 0.77  # the scale of beams and of what is between them
_FULL = 700.0  # a stem that reaches so far is as long as stems are; that of a half note is not
_LEAST_GAP = 4 * STAFF_SPACE  # between the staff and the tab: the height of a staff
_AIR = 150.0  # between what stands lowest and what stands highest
_OVER_WORDS, _TALL = 100.0, 0.76  # over syllables; how tall their letters are, as a share
_UNDER_WORDS = 60.0  # from the base line of syllables to the lowest letter
MARK_WIDE = 400.0  # how far beside its digit a mark over the tab may reach
FIGURE = 120.0  # how far a figure reaches over its line and beside its middle
_BIN = 100.0
_STEM_PATH = re.compile(r"M(\S+) (\S+) L\S+ (\S+)")
_POINT = re.compile(r"(-?[\d.]+),(-?[\d.]+)")
_PLACED = re.compile(r"translate\((-?[\d.]+),? ?(-?[\d.]+)\)")
_PATH, _POLYGON, _USE = (f"{{{SVG}}}{name}" for name in ("path", "polygon", "use"))


def shorten(item: etree._Element, kind: str, outer: tuple[float, float], down: float) -> bool:
    """Make a stem, a beam or a flag of the tab as short as ours, and move it down; whether it was
    one of those. ``kind`` is the class of its group, ``outer`` where Verovio put the top and the
    bottom line. Under the bottom line are the stems of a second voice."""
    if kind == "stem" and item.tag == _PATH:
        match = _STEM_PATH.match(item.get("d", ""))
        if match is None:
            return False
        x = match[1]
        line, away = _side(float(match[2]), outer)
        foot, top = sorted(away * (float(match[n]) - line) for n in (2, 3))
        reach = _shorter(top)
        if foot < _FOOT - 1:
            reach, new_foot = top, foot
        else:
            new_foot = _FOOT_HERE
        ends = (number(line + down + away * high) for high in (new_foot, reach))
        item.set("d", f"M{x} {next(ends)} L{x} {next(ends)}")
        return True
    if kind == "beam" and item.tag == _POLYGON:
        points = _POINT.findall(item.get("points", ""))
        line, away = _side(float(points[0][1]), outer)
        # Thinner than on the staff, so that two of them leave room under them.
        reaches = ((x, STEM - (TALL - away * (float(y) - line)) * _BEAM) for x, y in points)
        item.set(
            "points", " ".join(f"{x},{number(line + down + away * high)}" for x, high in reaches)
        )
        return True
    if kind == "flag" and item.tag == _USE:
        match = _PLACED.match(item.get("transform", ""))
        if match is None:
            return False
        y = float(match[2])
        y += down - _side(y, outer)[1] * (TALL - STEM)
        at = f"translate({match[1]}, {number(y)}) scale({_FLAG_WIDE}, {_FLAG_TALL})"
        item.set("transform", at)
        return True
    return False


def _side(y: float, outer: tuple[float, float]) -> tuple[float, int]:
    """The line that a height belongs to, and which way leads away from it: -1 is up."""
    return (outer[1], 1) if y > outer[1] else (outer[0], -1)


def _shorter(top: float) -> float:
    """How far from the line the end of a stem is that Verovio drew so far from it: that of a half
    note is half as long as others (common practice, no source; the key says so)."""
    if top >= _FULL:
        return STEM
    return (_FOOT_HERE + STEM) / 2


def reach_of(item: etree._Element, kind: str, top_line: float) -> tuple[float, float, float] | None:
    """The left and the right end of a stem, a beam or a flag of the tab, and how high over the
    line it will stand: less than nothing for one under it. None for anything else."""
    if kind == "stem" and item.tag == _PATH:
        if match := _STEM_PATH.match(item.get("d", "")):
            x, high = float(match[1]), top_line - min(float(match[2]), float(match[3]))
            return x, x, _shorter(high) if high > 0 else high
    elif kind == "beam" and item.tag == _POLYGON:
        if points := _POINT.findall(item.get("points", "")):
            over = float(points[0][1]) < top_line
            return float(points[0][0]), float(points[1][0]), STEM if over else 0.0
    elif kind == "flag" and (match := _PLACED.match(item.get("transform", ""))):
        x = float(match[1])
        return x, x + 2 * _BIN, STEM if float(match[2]) < top_line else 0.0
    return None


def words_down(words: Sequence[tuple[etree._Element, float]], drawn: Sequence[Box]) -> float:
    """How far the lines of syllables must go down so that none of the first line touches what is
    ``drawn`` over it; ``words`` have the middles of their notes (common practice, no source)."""
    heights = {element: float(element.get("y", "0")) for element, _ in words}
    first = min(heights.values(), default=0.0)
    lower = 0.0
    for element, middle in words:
        half = text_width(element.text or "", LYRIC_SIZE) / 2
        over = (
            b.bottom
            for b in drawn
            if b.left < middle + half and middle - half < b.right and b.top < first
        )
        if heights[element] == first:
            lower = max(lower, max(over, default=0.0) + _OVER_WORDS - (first - _TALL * LYRIC_SIZE))
    return lower


def needed_gap(
    staff: StaffLines,
    under: Iterable[Box],
    over: Iterable[tuple[float, float, float]],
    words: Sequence[float],
) -> float:
    """How far apart the last line of the staff and the first of the tab must be. ``under`` are the
    boxes of what is drawn on the staff, ``over`` what stands on the tab, ``words`` the base lines
    of syllables."""
    bottom = staff.heights[-1]
    low: dict[int, float] = {}
    for box in under:
        if (depth := box.bottom - bottom) > 0:
            for place in range(int(box.left / _BIN) - 1, int(box.right / _BIN) + 2):
                low[place] = max(low.get(place, 0.0), depth)
    floor = max((y + _UNDER_WORDS - bottom for y in words), default=0.0)
    gap = max(_LEAST_GAP, floor + 2 * _FOOT)
    for left, right, high in over:
        for place in range(int(left / _BIN), int(right / _BIN) + 1):
            gap = max(gap, max(low.get(place, 0.0), floor) + high + _AIR)
    return gap
