"""Running Verovio, and reading from its SVG where each system, staff line and note stands.

Lengths are in the units of Verovio's drawing: tenths of its page units, which are tenths of a
millimetre at the scale we use, so that 100 units are one millimetre.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import cast

from lxml import etree
from msgspec import Struct, field

from rollstave.writing.fonts import CAP_HEIGHT, DESCENT, text_width
from rollstave.writing.mei import STAFF_PREFIX, TAB_PREFIX
from rollstave.writing.options import View
from rollstave.writing.sheet.glyphs import outline_box
from rollstave.writing.sheet.skyline import Box, Skyline
from rollstave.writing.xml import all_text

SVG = "http://www.w3.org/2000/svg"
XLINK = "http://www.w3.org/1999/xlink"
HREF = f"{{{XLINK}}}href"
UNITS_PER_MM = 100
MUSIC_WIDTH = 18_600  # units: the width of a system on an A4 page
_TALLEST_PAGE = 60_000  # Verovio's own limit, in its page units
STAFF_SPACE = 180.0  # units: between two lines of the notation staff at unit 9
DIGIT_SIZE = 310.0  # units: the font size of the frets, a little under the space between lines
GRACE_SIZE = 220.0  # of the frets of grace notes
_VEROVIO_TAB_STEM, _STEM = "31", "18"  # one thickness for the stems of staff and tab
LYRIC_SIZE = 300.0  # units: smaller than the room that Verovio keeps, so words never touch

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
    "scale": 100,
    "spacingStaff": 7,
    "svgFormatRaw": True,
    "svgViewBox": True,
    "unit": 9,
    "xmlIdSeed": 1,
}


class StaffLines(Struct):
    """The lines of one staff in a system: heights from the top line, and the ends."""

    heights: list[float]
    left: float
    right: float


class System(Struct):
    """One system of the engraving. ``top`` and ``bottom`` bound what is drawn in it.

    ``staff`` and ``tab`` are the lines, None where the view lacks them. ``places`` maps the id
    of a note to its middle (x, y); ``texts`` the id of a tab note to the element that holds its
    digits; ``spans`` the index of a measure to its left and right end. ``drawn`` has a box for
    everything that Verovio drew, without staff lines, bar lines and digits. ``endings`` are the
    brackets of endings, with their span; ``lyrics`` the syllables, with the middle of their note.
    """

    element: etree._Element
    staff: StaffLines | None
    tab: StaffLines | None
    top: float
    bottom: float
    places: dict[str, tuple[float, float]] = field(default_factory=dict)
    texts: dict[str, etree._Element] = field(default_factory=dict)
    measures: list[int] = field(default_factory=list)
    spans: dict[int, tuple[float, float]] = field(default_factory=dict)
    drawn: Skyline = field(default_factory=Skyline)
    endings: list[tuple[etree._Element, str, float, float, bool]] = field(default_factory=list)
    lyrics: list[tuple[etree._Element, float]] = field(default_factory=list)

    @property
    def first(self) -> StaffLines:
        """The upper staff."""
        found = self.staff or self.tab
        assert found is not None
        return found

    @property
    def last(self) -> StaffLines:
        """The lower staff."""
        found = self.tab or self.staff
        assert found is not None
        return found

    def take(self, box: Box) -> None:
        """Note that something was drawn here, so that what comes later keeps clear of it."""
        self.drawn.add(box)
        self.top = min(self.top, box.top)
        self.bottom = max(self.bottom, box.bottom)


class Engraving(Struct):
    """All systems of a tune and the glyphs that they use."""

    systems: list[System]
    glyphs: list[etree._Element]

    def add_glyphs(self, more: list[etree._Element]) -> None:
        """Take over the glyphs of another engraving that are not here yet."""
        known = {glyph.get("id") for glyph in self.glyphs}
        self.glyphs.extend(glyph for glyph in more if glyph.get("id") not in known)


@lru_cache(maxsize=1)
def _toolkit() -> object:
    import verovio

    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit()
    toolkit.setOptions(_OPTIONS)
    return toolkit


def engrave(mei: bytes, view: View = View.BOTH, width: float = MUSIC_WIDTH) -> Engraving:
    """Engrave an MEI file in systems ``width`` units wide. Raises ValueError if Verovio refuses
    it."""
    toolkit = _toolkit()
    toolkit.setOptions({"pageWidth": int(width) // 10})  # type: ignore[attr-defined]
    # Ids that Verovio makes up go on from the last tune's; some stay in the sheet as classes.
    toolkit.resetXmlIdSeed(_OPTIONS["xmlIdSeed"])  # type: ignore[attr-defined]
    if not toolkit.loadData(mei.decode()):  # type: ignore[attr-defined]
        raise ValueError("the engraver refused the music")
    systems: list[System] = []
    glyphs: dict[str, etree._Element] = {}
    for page in range(1, toolkit.getPageCount() + 1):  # type: ignore[attr-defined]
        made = _MADE_UP.sub("", toolkit.renderToSVG(page))  # type: ignore[attr-defined]
        root = etree.fromstring(made.encode(), etree.XMLParser(huge_tree=True))
        _collect(root, systems, glyphs, view)
    return Engraving(systems, [glyphs[key] for key in sorted(glyphs)])


# Ids that Verovio makes up: letters and digits without the hyphens that ours have; the class of
# the end of a section or an ending names one too. They differ from one engraving to the next.
_MADE_UP = re.compile(
    r' id="(?!m\d+")[a-z][0-9a-z]{4,9}"|(?<=[mM]ilestoneEnd) [a-z][0-9a-z]{4,9}(?=")'
)
_SUFFIX = re.compile(r"-\w+$")


def _collect(
    root: etree._Element, systems: list[System], glyphs: dict[str, etree._Element], view: View
) -> None:
    """Take the glyphs and systems out of one page of Verovio's SVG."""
    for glyph in root.iterfind(f".//{{{SVG}}}defs/{{{SVG}}}g"):
        name = _SUFFIX.sub("", glyph.get("id", ""))
        glyph.set("id", f"glyph-{name}")
        glyphs.setdefault(name, glyph)
    for use in root.iter(f"{{{SVG}}}use"):
        use.set(HREF, "#glyph-" + _SUFFIX.sub("", use.get(HREF, "").lstrip("#")))
    boxes = {f"#glyph-{name}": _glyph_box(glyph) for name, glyph in glyphs.items()}
    # A list, because systems lose parts while we walk over them.
    for element in list(root.iter(f"{{{SVG}}}g")):
        if element.get("class") == "system":
            _drop_placeholders(element)
            systems.append(_read_system(element, boxes, view))


def _glyph_box(glyph: etree._Element) -> Box:
    """The reach of a glyph at scale 1; Verovio's glyphs have y upwards."""
    left, top, right, bottom = outline_box("".join(p.get("d", "") for p in glyph))
    return Box(left, -bottom, right, -top)


def _drop_placeholders(system: etree._Element) -> None:
    """Verovio marks breaks with dots that its own style sheet hides."""
    for group in list(system):
        kinds = group.get("class", "").split()
        if "placeholder" in kinds:
            system.remove(group)


_NUMBER = r"-?\d+(?:\.\d+)?"
_POINT = re.compile(rf"({_NUMBER})[ ,]({_NUMBER})")
_PLACED = re.compile(
    rf"translate\(({_NUMBER}),? ?({_NUMBER})\)(?: scale\(({_NUMBER}),? ?({_NUMBER})\))?"
)


# Notes have ids of ours; all that Verovio made up are gone.
_OF_INTEREST = etree.XPath(
    ".//s:g[@id and starts-with(@class, 'note')]|.//s:g[@class='voltaBracket']",
    namespaces={"s": SVG},
)


def _read_system(element: etree._Element, boxes: dict[str, Box], view: View) -> System:
    staves: list[list[StaffLines]] = [[], []]
    system = System(element, None, None, 0.0, 0.0)
    for measure in element.iterfind(f".//{{{SVG}}}g[@class='measure']"):
        index = int(measure.get("id", "m0").lstrip("m"))
        system.measures.append(index)
        for number, staff in enumerate(measure.iterfind(f"{{{SVG}}}g[@class='staff']")):
            is_tab = view is View.TAB or (view is View.BOTH and number == 1)
            lines = _take_lines(staff, is_tab)
            staves[int(is_tab)].append(lines)
            system.spans[index] = (lines.left, lines.right)
    system.staff, system.tab = (_joined(s) for s in staves)
    system.top, system.bottom = system.first.heights[0], system.last.heights[-1]
    for group in cast("list[etree._Element]", _OF_INTEREST(element)):
        name, kind = group.get("id", ""), group.get("class", "")
        if kind.startswith("note") and name[:1] == TAB_PREFIX and system.tab:
            _fret(system, system.tab, group, name)
        elif kind.startswith("note") and name[:1] == STAFF_PREFIX:
            use = group.find(f".//{{{SVG}}}use")
            match = _PLACED.search(use.get("transform", "")) if use is not None else None
            if match and use is not None:
                scale = float(match[3] or 1)
                box = boxes.get(use.get(HREF, ""), Box(0, 0, 0, 0))
                middle = float(match[1]) + scale * (box.left + box.right) / 2
                system.places[name] = (middle, float(match[2]))
        elif kind == "voltaBracket":
            _ending(system, group)
    _bound(system, boxes)
    return system


def _take_lines(staff: etree._Element, is_tab: bool) -> StaffLines:
    """Read the lines of a staff; those of a tab are taken out, to be drawn again around what
    really stands on them."""
    heights: list[float] = []
    xs: list[float] = []
    for child in list(staff):
        if child.tag != f"{{{SVG}}}path":
            break
        points = _POINT.findall(child.get("d", ""))
        height = float(points[0][1])
        if height not in heights:
            heights.append(height)
        xs.extend((float(points[0][0]), float(points[-1][0])))
        if is_tab:
            staff.remove(child)
    return StaffLines(heights, min(xs), max(xs))


def _joined(parts: list[StaffLines]) -> StaffLines | None:
    if not parts:
        return None
    return StaffLines(parts[0].heights, parts[0].left, parts[-1].right)


def _fret(system: System, tab: StaffLines, group: etree._Element, name: str) -> None:
    """Put one plain text in place of Verovio's nested one, its middle exactly on the line."""
    old = group.find(f"{{{SVG}}}text")
    if old is None:
        return
    x, y = float(old.get("x", "0")), float(old.get("y", "0"))
    line = min(tab.heights, key=lambda height: abs(height - (y - 95)))
    small = "-g" in name
    if small:
        # Verovio puts a grace note on a line of its own choice.
        line = tab.heights[int(name.rpartition("-")[2]) - 1]
    size = GRACE_SIZE if small else DIGIT_SIZE
    text, words = old, all_text(old)
    old.clear()
    text.text = words
    text.set("class", "fret")
    text.set("x", f"{x:g}")
    text.set("y", f"{line + CAP_HEIGHT / 2 * size:.0f}")
    text.set("font-size", f"{size:g}")
    text.set("text-anchor", "middle")
    system.places[name] = (x, line)
    system.texts[name] = text


def _ending(system: System, group: etree._Element) -> None:
    """Take an ending's bracket out; it is drawn again above the chord names."""
    number = all_text(group)
    points = [
        (float(x), float(y))
        for line in group.iterfind(f"{{{SVG}}}path")
        for x, y in _POINT.findall(line.get("d", ""))
    ]
    closed = len(group.findall(f"{{{SVG}}}path")) > 2
    xs = [x for x, _ in points]
    for child in list(group):
        group.remove(child)
    if xs:
        system.endings.append((group, number, min(xs), max(xs), closed))


_PATH, _POLYGON, _ELLIPSE, _USE, _TEXT = _DRAWN = tuple(
    f"{{{SVG}}}{name}" for name in ("path", "polygon", "ellipse", "use", "text")
)
_NO_OBSTACLES = {"staff", "barLine", "system", "grpSym"}


def _bound(system: System, boxes: dict[str, Box]) -> None:
    """Note the box of everything that Verovio drew: lines, beams, curves, glyphs, texts."""
    # A list, because texts lose their spans while we walk over them.
    for item in list(system.element.iter(*_DRAWN)):
        tag = item.tag
        parent = item.getparent()
        kind = parent.get("class", "") if parent is not None else ""
        if tag == _PATH and kind in _NO_OBSTACLES:
            continue
        if kind == "stem" and item.get("stroke-width") == _VEROVIO_TAB_STEM:
            item.set("stroke-width", _STEM)
        if tag in (_PATH, _POLYGON):
            points = _POINT.findall(item.get("d", "") or item.get("points", ""))
            xs = [float(x) for x, _ in points]
            ys = [float(y) for _, y in points]
            if not xs:
                continue
            if "C" in item.get("d", ""):
                # A curve bends three quarters of the way to its control points.
                ends = float(points[0][1])
                ys = [ends + 0.75 * (y - ends) for y in ys]
            system.take(Box(min(xs) - 10, min(ys) - 8, max(xs) + 10, max(ys) + 8))
        elif tag == _ELLIPSE:
            x, y, r = (float(item.get(key, "0")) for key in ("cx", "cy", "rx"))
            system.take(Box(x - r, y - r, x + r, y + r))
        elif tag == _USE:
            match = _PLACED.search(item.get("transform", ""))
            box = boxes.get(item.get(HREF, ""))
            if match and box:
                x, y, scale = float(match[1]), float(match[2]), float(match[3] or 1)
                system.take(
                    Box(
                        x + scale * box.left,
                        y + scale * box.top,
                        x + scale * box.right,
                        y + scale * box.bottom,
                    )
                )
        elif tag == _TEXT and item.get("class") != "fret":
            _lay_text_flat(system, item)


def _lay_text_flat(system: System, text: etree._Element) -> None:
    """Lyrics come as nested spans with sizes of their own: make each one plain text."""
    words = all_text(text)
    if not words:
        return
    parent = text.getparent()
    size = DIGIT_SIZE if parent is not None and "tuplet" in parent.get("class", "") else LYRIC_SIZE
    for child in list(text):
        text.remove(child)
    text.text = words
    text.set("font-size", f"{size:g}")
    x, y = float(text.get("x", "0")), float(text.get("y", "0"))
    width = text_width(words, size)
    if size == LYRIC_SIZE and (middle := _middle_of_owner(system, text)) is not None:
        system.lyrics.append((text, middle))
        return
    left = {"middle": x - width / 2, "end": x - width}.get(text.get("text-anchor", ""), x)
    system.take(Box(left, y - CAP_HEIGHT * size, left + width, y + DESCENT * size))


def _middle_of_owner(system: System, text: etree._Element) -> float | None:
    """The middle of the note that a syllable belongs to: one over it in the tree, or the first
    of a chord over it."""
    for ancestor in text.iterancestors():
        for element in (ancestor, *ancestor):
            if (place := system.places.get(element.get("id", ""))) is not None:
                return place[0]
        if ancestor is system.element:
            break
    return None
