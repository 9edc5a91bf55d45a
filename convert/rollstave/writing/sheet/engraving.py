"""Running Verovio, and reading from its SVG where each system, staff line and note stands.

Lengths are in the units of Verovio's drawing: tenths of its page units, which are tenths of a
millimetre at the scale we use, so that 100 units are one millimetre.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import lru_cache

from lxml import etree

from rollstave.writing.mei import STAFF_PREFIX, TAB_PREFIX

SVG = "http://www.w3.org/2000/svg"
XLINK = "http://www.w3.org/1999/xlink"
HREF = f"{{{XLINK}}}href"
UNITS_PER_MM = 100
MUSIC_WIDTH = 18_600  # units: the width of a system
_TALLEST_PAGE = 60_000  # Verovio's own limit, in its page units
STAFF_SPACE = 180.0  # units: between two lines of the notation staff at unit 9

_OPTIONS = {
    "adjustPageHeight": True,
    "breaks": "encoded",
    "footer": "none",
    "header": "none",
    "lyricSize": 4.0,
    "lyricWordSpace": 2.4,
    "minLastJustification": 0.0,
    "pageHeight": _TALLEST_PAGE,
    "pageMarginBottom": 0,
    "pageMarginLeft": 0,
    "pageMarginRight": 0,
    "pageMarginTop": 0,
    "pageWidth": MUSIC_WIDTH // 10,
    "scale": 100,
    "spacingStaff": 10,
    "svgFormatRaw": True,
    "svgViewBox": True,
    "unit": 9,
    "xmlIdSeed": 1,
}


@dataclass
class StaffLines:
    """The lines of one staff in a system: heights from the top line, and the ends."""

    heights: list[float]
    left: float
    right: float


@dataclass
class System:
    """One system of the engraving. ``top`` and ``bottom`` bound what is drawn in it.

    ``staff`` and ``tab`` are the lines. ``places`` maps the id of a note to its middle (x, y);
    ``texts`` the id of a tab note to the element that holds its digits. ``stems`` maps the id of
    a tab group to the top of its stem.
    """

    element: etree._Element
    staff: StaffLines
    tab: StaffLines
    top: float
    bottom: float
    places: dict[str, tuple[float, float]] = field(default_factory=dict)
    texts: dict[str, etree._Element] = field(default_factory=dict)
    measures: list[int] = field(default_factory=list)


@dataclass
class Engraving:
    """All systems of a tune and the glyphs that they use."""

    systems: list[System]
    glyphs: list[etree._Element]
    style: str


@lru_cache(maxsize=1)
def _toolkit() -> object:
    import verovio

    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit()
    toolkit.setOptions(_OPTIONS)
    return toolkit


def engrave(mei: bytes) -> Engraving:
    """Engrave an MEI file. Raises ValueError if Verovio refuses it."""
    toolkit = _toolkit()
    if not toolkit.loadData(mei.decode()):  # type: ignore[attr-defined]
        raise ValueError("the engraver refused the music")
    systems: list[System] = []
    glyphs: dict[str, etree._Element] = {}
    for page in range(1, toolkit.getPageCount() + 1):  # type: ignore[attr-defined]
        root = etree.fromstring(
            toolkit.renderToSVG(page).encode(),  # type: ignore[attr-defined]
            etree.XMLParser(huge_tree=True, remove_blank_text=True),
        )
        _collect(root, systems, glyphs)
    return Engraving(systems, [glyphs[key] for key in sorted(glyphs)], "")


_SUFFIX = re.compile(r"-\w+$")


def _collect(
    root: etree._Element, systems: list[System], glyphs: dict[str, etree._Element]
) -> None:
    """Take the glyphs and systems out of one page of Verovio's SVG."""
    for glyph in root.iterfind(f".//{{{SVG}}}defs/{{{SVG}}}g"):
        name = _SUFFIX.sub("", glyph.get("id", ""))
        glyph.set("id", f"glyph-{name}")
        glyphs.setdefault(name, glyph)
    for use in root.iter(f"{{{SVG}}}use"):
        use.set(HREF, "#glyph-" + _SUFFIX.sub("", use.get(HREF, "").lstrip("#")))
    for element in root.iter(f"{{{SVG}}}g"):
        if element.get("class") == "system":
            _drop_placeholders(element)
            systems.append(_system(element))


def _drop_placeholders(system: etree._Element) -> None:
    """Verovio marks breaks with dots that its own style sheet hides."""
    for group in list(system):
        kinds = group.get("class", "").split()
        if "placeholder" in kinds or any(kind.startswith("systemMilestone") for kind in kinds):
            system.remove(group)


_NUMBER = r"-?\d+(?:\.\d+)?"
_POINT = re.compile(rf"({_NUMBER})[ ,]({_NUMBER})")
_TRANSLATE = re.compile(rf"translate\(({_NUMBER}),? ?({_NUMBER})\)")


def _lines(staff: etree._Element) -> StaffLines:
    heights: list[float] = []
    left = right = 0.0
    for child in staff:
        if child.tag != f"{{{SVG}}}path":
            break
        points = _POINT.findall(child.get("d", ""))
        heights.append(float(points[0][1]))
        left, right = float(points[0][0]), float(points[-1][0])
    return StaffLines(heights, left, right)


def _system(element: etree._Element) -> System:
    staves = [_lines(s) for s in element.iterfind(f"./{{{SVG}}}g/{{{SVG}}}g[@class='staff']")]
    # Tab staves are the ones with the wider lines: their order is staff, tab, staff, tab, ...
    first, tab = staves[0], staves[1]
    first.right, tab.right = staves[-2].right, staves[-1].right
    system = System(element, first, tab, first.heights[0], tab.heights[-1])
    for group in element.iter(f"{{{SVG}}}g"):
        name, kind = group.get("id", ""), group.get("class", "")
        if kind == "measure":
            system.measures.append(int(name.lstrip("m")))
        elif kind.startswith("note") and name[:1] == TAB_PREFIX:
            text = group.find(f"{{{SVG}}}text")
            if text is not None:
                x, y = float(text.get("x", "0")), float(text.get("y", "0"))
                system.places[name] = (x, _nearest(tab.heights, y - 0.35 * 324))
                system.texts[name] = text
        elif kind.startswith("note") and name[:1] == STAFF_PREFIX:
            use = group.find(f".//{{{SVG}}}use")
            match = _TRANSLATE.search(use.get("transform", "")) if use is not None else None
            if match:
                system.places[name] = (float(match[1]), float(match[2]))
    _measure_extent(system)
    return system


def _nearest(heights: list[float], y: float) -> float:
    return min(heights, key=lambda line: abs(line - y))


def _measure_extent(system: System) -> None:
    """Bound what Verovio drew in a system: lines, glyphs, and texts."""
    for item in system.element.iter():
        if item.tag == f"{{{SVG}}}path":
            # Straight lines only: curves of ties stay between the notes that they join.
            data = item.get("d", "")
            heights = [float(y) for _, y in _POINT.findall(data)]
            if heights:
                system.top = min(system.top, *heights)
                system.bottom = max(system.bottom, *heights)
        elif item.tag == f"{{{SVG}}}text" and item.get("y"):
            y = float(item.get("y", "0"))
            system.top = min(system.top, y - 330)
            system.bottom = max(system.bottom, y + 100)
        elif item.tag == f"{{{SVG}}}use":
            match = _TRANSLATE.search(item.get("transform", ""))
            if match:
                y = float(match[2])
                system.top = min(system.top, y - STAFF_SPACE)
                system.bottom = max(system.bottom, y + STAFF_SPACE)
