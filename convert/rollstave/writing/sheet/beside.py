"""Another version of a tune under it: one engraving, so that its notes stand under the tune's.

The lowest staff of Verovio's system is parted from the others and goes through the same hands as
any tab; then it is set under the system again, as near as what stands between them allows.
Lengths are in units.
"""

from __future__ import annotations

import re
from copy import deepcopy

from lxml import etree
from msgspec.structs import replace

from rollstave.score.records import Score
from rollstave.writing.mei_under import UNDER_PREFIX
from rollstave.writing.sheet.drawing import number, shape
from rollstave.writing.sheet.engraving import SVG, StaffLines, System

_APART = 800.0  # between the lines of the two tabs, at least
_AIR = 150.0  # between what is drawn under one and over the other
_GROUP, _PATH, _USE = (f"{{{SVG}}}{name}" for name in ("g", "path", "use"))
_HEIGHT = re.compile(r"M-?[\d.]+ (-?[\d.]+)|translate\(-?[\d.]+,? ?(-?[\d.]+)\)")
_LEFT = re.compile(r"M(-?[\d.]+) ")


def part_lowest(element: etree._Element) -> etree._Element:
    """Take the lowest staff out of a system; a system of that staff alone, its notes named as if
    it had always been alone."""
    lower = deepcopy(element)
    top = 0.0
    for measure in _measures(element):
        lowest = _staves(measure)[-1]
        top = _height(next(lowest.iter(_PATH)))
        measure.remove(lowest)
        _keep_bars(measure, top, above=True)
    for part in list(lower):
        if part.get("class") != "measure":
            lower.remove(part)
            continue
        for inside in list(part):
            if inside.get("class") not in ("staff", "barLine"):
                part.remove(inside)
        for staff in _staves(part)[:-1]:
            part.remove(staff)
        _keep_bars(part, top, above=False)
    for item in lower.iter():
        name = item.get("id", "")
        if name.startswith(UNDER_PREFIX):
            item.set("id", name.removeprefix(UNDER_PREFIX))
    return lower


def _measures(element: etree._Element) -> list[etree._Element]:
    return [group for group in element if group.get("class") == "measure"]


def _staves(measure: etree._Element) -> list[etree._Element]:
    return [group for group in measure if group.get("class") == "staff"]


def _height(item: etree._Element) -> float:
    """The height at which a line begins, or at which a glyph stands."""
    found = _HEIGHT.match(item.get("d", "") or item.get("transform", ""))
    return float(found[1] or found[2]) if found else 0.0


def _left(path: etree._Element) -> str:
    found = _LEFT.match(path.get("d", ""))
    return found[1] if found else "0"


def _keep_bars(measure: etree._Element, top: float, above: bool) -> None:
    """Leave of the bar lines of a measure what begins above a height, or what begins from there."""
    for bar in [group for group in measure if group.get("class") == "barLine"]:
        for item in [*bar.iterfind(_PATH), *bar.iterfind(_USE)]:
            if (_height(item) < top - 1) != above:
                bar.remove(item)


def set_under(system: System) -> None:
    """Set the other version, with all its marks, under its system, and join the two at the left."""
    lower = system.under
    if lower is None or lower.tab is None:
        return
    upper = system.last
    down = max(
        system.bottom + _AIR - lower.top,
        upper.heights[-1] + _APART - lower.tab.heights[0],
    )
    for item in lower.element.iter():
        if name := item.get("id"):
            item.set("id", UNDER_PREFIX + name)
    holder = shape(system.element, "g", class_="beside", transform=f"translate(0 {number(down)})")
    holder.append(lower.element)
    heights = [height + down for height in lower.tab.heights]
    system.foot = StaffLines(heights, lower.tab.left, lower.tab.right)
    system.bottom = max(system.bottom, lower.bottom + down)
    for path in system.element.findall(_PATH):
        path.set("d", f"M{_left(path)} {_height(path):g} L{_left(path)} {heights[-1]:g}")


def plain_under(score: Score, over: Score) -> Score:
    """The version under another, without what already stands over the tune: names of sections,
    jumps and their targets, and the names of the chords where they are the same."""
    same = [c.text for m in score.measures for c in m.chords] == [
        c.text for m in over.measures for c in m.chords
    ]
    measures = tuple(
        replace(
            measure,
            section=None,
            jump=None,
            fine=False,
            segno=False,
            to_coda=False,
            coda=False,
            chords=() if same else measure.chords,
        )
        for measure in score.measures
    )
    return replace(score, measures=measures)


def shorter(says: str) -> str:
    """What a version is, in as few words as tell it on every system: ``in C tuning (gCGBD)``."""
    return says.partition(", ")[0]
