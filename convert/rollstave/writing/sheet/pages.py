"""Pages: a title block, systems one under the other, the typist's words, a footer.

Lengths are in units; 100 are a millimetre on a sheet of normal size. On a large-print sheet
everything is laid out on a page that much smaller and then drawn larger.
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass
from typing import cast

from lxml import etree

from rollstave.score.model import Score
from rollstave.writing.fonts import FAMILY_LIST, Style, face_rules
from rollstave.writing.options import SheetOptions
from rollstave.writing.sheet.drawing import number, shape, text
from rollstave.writing.sheet.engraving import HREF, SVG, UNITS_PER_MM, XLINK, Engraving, System
from rollstave.writing.sheet.foot import Foot, make_foot
from rollstave.writing.sheet.head import draw_head, tuning_line
from rollstave.writing.xml import clean, root_element

_SIDE = 1_200.0
_TOP, _BOTTOM, _FOOTER = 1_200.0, 1_250.0, 700.0
_NARROW_GAP, _GAP, _WIDEST_GAP = 420.0, 700.0, 1_100.0
_UNDER_HEAD = 350.0
_SMALLER = (0.94, 0.88)  # scales that still read well on a music stand; our choice
_FULL_ENOUGH = 0.8  # a last page filled less than this share keeps its systems together


@dataclass
class _Placed:
    """A system and the height on its page where its top comes."""

    system: System
    y: float

    @property
    def end(self) -> float:
        return self.y + self.system.bottom - self.system.top


def _size(options: SheetOptions) -> tuple[float, float]:
    """Width and height of the page in the units that it is laid out in."""
    return options.paper.width / options.zoom, options.paper.height / options.zoom


def music_width(options: SheetOptions) -> float:
    """The width of a system; a whole number of Verovio's page units."""
    return (_size(options)[0] - 2 * _SIDE) // 10 * 10


def _height(system: System) -> float:
    return system.bottom - system.top


def _distribute(
    systems: Sequence[System], first_top: float, tail: float, page_height: float
) -> list[list[_Placed]]:
    """Put systems on as few pages as hold them, with a narrow gap if that saves a page.

    ``tail`` is the room of what stands under the last system.
    """
    bottom = page_height - _BOTTOM
    wide, narrow = (_filled(systems, first_top, tail, bottom, gap) for gap in (_GAP, _NARROW_GAP))
    pages, least = (wide, _GAP) if len(wide) <= len(narrow) else (narrow, _NARROW_GAP)
    result = []
    for position, page in enumerate(pages):
        top = first_top if position == 0 else _TOP
        last = position + 1 == len(pages)
        used = sum(_height(s) + least for s in page) - least + (tail if last else 0.0)
        gap = _gap(len(page), bottom - top - used, bottom, last, least)
        placed, y = [], top
        for system in page:
            placed.append(_Placed(system, y))
            y += _height(system) + gap
        result.append(placed)
    return result


def _filled(
    systems: Sequence[System], first_top: float, tail: float, bottom: float, gap: float
) -> list[list[System]]:
    """Fill pages from top to bottom; the last one never has one lonely system if the page before
    it can spare another."""
    pages: list[list[System]] = [[]]
    y = first_top
    for index, system in enumerate(systems):
        needed = _height(system) + (tail if index + 1 == len(systems) else 0.0)
        if pages[-1] and y + needed > bottom:
            pages.append([])
            y = _TOP
        pages[-1].append(system)
        y += _height(system) + gap
    if len(pages) > 1 and len(pages[-1]) == 1 and len(pages[-2]) > 2:
        pages[-1].insert(0, pages[-2].pop())
    return pages


def _gap(count: int, free: float, bottom: float, last: bool, least: float) -> float:
    """The gap between the systems of a page: wider where that fills the page to its foot."""
    if count < 2 or free <= 0 or (last and free > (1 - _FULL_ENOUGH) * bottom):
        return least
    return least + min(free / (count - 1), _WIDEST_GAP - least)


@dataclass
class Plan:
    """A sheet before it is drawn: its head, its foot, and its systems on their pages."""

    head: etree._Element
    head_bottom: float
    foot: Foot
    pages: list[list[_Placed]]


def plan_sheet(score: Score, engraving: Engraving, options: SheetOptions) -> Plan:
    """Make the head and the foot, and put the systems on pages."""
    width, page_height = _size(options)
    head = etree.Element(f"{{{SVG}}}g")
    bottom = draw_head(head, score, options, _SIDE, width - _SIDE, _TOP) + _UNDER_HEAD
    foot = make_foot(score, options, width - 2 * _SIDE)
    placed = _distribute(engraving.systems, bottom, foot.height, page_height)
    return Plan(head, bottom, foot, placed)


def scale_for_one_page(plan: Plan, options: SheetOptions) -> float | None:
    """The scale at which a sheet of two pages should fit on one, or None if there is none that
    still reads well, or no need."""
    if options.large or options.scale != 1.0:
        return None
    if len(plan.pages) != 2:
        return None
    systems = [placed.system for page in plan.pages for placed in page]
    needed = plan.head_bottom + sum(_height(s) + _NARROW_GAP for s in systems) - _NARROW_GAP
    needed += plan.foot.height + _BOTTOM
    page_height = _size(options)[1]
    return next((scale for scale in _SMALLER if needed <= page_height / scale), None)


def lay_out(score: Score, engraving: Engraving, options: SheetOptions, plan: Plan) -> list[bytes]:
    """The finished pages as SVG files."""
    draft, foot, placed = plan.head, plan.foot, plan.pages
    return [
        _finish(score, engraving, options, draft, foot, placed, position)
        for position in range(len(placed))
    ]


def _finish(
    score: Score,
    engraving: Engraving,
    options: SheetOptions,
    draft: etree._Element,
    foot: Foot,
    pages: list[list[_Placed]],
    position: int,
) -> bytes:
    width, height = _size(options)
    placed, total = pages[position], len(pages)
    end = placed[-1].end
    if total == 1 and not options.whole_pages:
        height = end + foot.height + _BOTTOM - 500
    root = _page(score, position, total, width, height, options)
    _glyphs(root, engraving, [p.system for p in placed])
    body = shape(root, "g", font_family=FAMILY_LIST, fill="currentColor", class_="page")
    if position == 0:
        body.extend(deepcopy(item) for item in draft)
    for item in placed:
        holder = shape(
            body,
            "g",
            class_="music",
            stroke="currentColor",
            stroke_width=0,
            transform=f"translate({number(_SIDE)} {number(item.y - item.system.top)})",
        )
        holder.append(item.system.element)
    if position + 1 == total:
        foot.draw(body, _SIDE, end)
    if total > 1:
        words = f"{score.title} · {position + 1} of {total}"
        text(body, words, width / 2, height - _FOOTER, 260.0, class_="footer")
    _own_ids(root, options.prefix or _prefix(score, position))
    if options.embed_fonts:
        shape(root, "style").text = face_rules(_styles(root))
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8", pretty_print=False)


def _page(
    score: Score, position: int, total: int, width: float, height: float, options: SheetOptions
) -> etree._Element:
    root = root_element(f"{{{SVG}}}svg", {None: SVG, "xlink": XLINK})
    scale = options.zoom / UNITS_PER_MM
    root.set("width", f"{width * scale:.1f}mm")
    root.set("height", f"{height * scale:.1f}mm")
    root.set("viewBox", f"0 0 {number(width)} {number(height)}")
    root.set("role", "img")
    root.set("class", "rollstave-sheet")
    where = f", page {position + 1} of {total}" if total > 1 else ""
    shape(root, "title").text = clean(score.title + where)
    shape(root, "desc").text = clean(
        f"{score.title}: {_CONTENT[options.view.value]} for {score.setup.instrument.name}, "
        f"{tuning_line(score)}{where}"
    )
    return root


_CONTENT = {"both": "staff and tablature", "tab": "tablature", "staff": "staff notation"}


def _styles(root: etree._Element) -> set[Style]:
    """The styles that a page's texts use."""
    found = {Style.REGULAR}
    for element in root.iter(f"{{{SVG}}}text"):
        if element.get("font-weight"):
            found.add(Style.BOLD)
        if element.get("font-style"):
            found.add(Style.ITALIC)
    return found


def _glyphs(root: etree._Element, engraving: Engraving, systems: Sequence[System]) -> None:
    """The outlines of the music glyphs that a page uses."""
    used = {
        use.get(HREF, "").lstrip("#")
        for system in systems
        for use in system.element.iter(f"{{{SVG}}}use")
    }
    defs = shape(root, "defs")
    for glyph in engraving.glyphs:
        if glyph.get("id") in used:
            defs.append(deepcopy(glyph))


def _prefix(score: Score, position: int) -> str:
    """A prefix for the ids of a page: the title in plain letters, and the page."""
    plain = "".join(c if c.isalnum() and c.isascii() else "-" for c in score.title.lower())
    words = "-".join(part for part in plain.split("-") if part) or "tune"
    return f"rs-{words}-{position + 1}-" if position else f"rs-{words}-"


# Ids that others may hold on to: measures, notes and rests of staff and tab, glyphs.
_KEPT = ("m", "n", "t", "glyph-")
_WITH_ID = etree.XPath("//*[@id]")


def _own_ids(root: etree._Element, prefix: str) -> None:
    """Put the prefix before the ids that are ours, and drop those that Verovio made up."""
    for element in cast("list[etree._Element]", _WITH_ID(root)):
        name = element.get("id", "")
        if name.startswith(_KEPT) and (name[-1].isdigit() or name.startswith("glyph-")):
            element.set("id", prefix + name)
        else:
            del element.attrib["id"]
    for use in root.iter(f"{{{SVG}}}use"):
        use.set(HREF, f"#{prefix}{use.get(HREF, '').lstrip('#')}")
