"""Pages: a title block, systems one under the other, the typist's words, a footer.

Lengths are in units; 100 are a millimetre on a sheet of normal size. On a large-print sheet
everything is laid out on a page that much smaller and then drawn larger.
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import deepcopy
from typing import cast

from lxml import etree
from msgspec import Struct

from rollstave.score.records import Score
from rollstave.writing.fonts import FAMILY_LIST, Style, face_rules
from rollstave.writing.options import SheetOptions
from rollstave.writing.sheet.drawing import number, shape, text
from rollstave.writing.sheet.engraving import (
    HREF,
    MUSIC_WIDTH,
    SVG,
    UNITS_PER_MM,
    XLINK,
    Engraving,
    System,
)
from rollstave.writing.sheet.foot import Foot, make_foot
from rollstave.writing.sheet.head import draw_head, tuning_line
from rollstave.writing.xml import clean, root_element

_SIDE = 1_200.0
_FIGURE_EDGE = 60.0  # around a figure: only what keeps a line's thickness from being cut
TOP, BOTTOM, _FOOTER = 1_100.0, 1_250.0, 700.0
BOTTOM_ALONE = 900.0  # a sheet of one page has no footer
NARROW_GAP, _GAP = 260.0, 700.0
_WIDEST_GAP, _WIDEST_OF_MANY = 1_000.0, 1_500.0  # on one page, and where a tune takes several
_UNDER_HEAD = 300.0
_LONELY = 1.0  # what it costs a page to hold one system alone
_INSIDE = 0.02  # and to begin in the middle of a section


class _Placed(Struct):
    """A system and the height on its page where its top comes."""

    system: System
    y: float

    @property
    def end(self) -> float:
        return self.y + self.system.bottom - self.system.top


def page_size(options: SheetOptions) -> tuple[float, float]:
    """Width and height of the page in the units that it is laid out in."""
    width: float = options.paper.width
    if not options.title_block:
        usual = MUSIC_WIDTH + 2 * _FIGURE_EDGE
        width = usual if options.width is None else options.width * UNITS_PER_MM
    return width / options.zoom, options.paper.height / options.zoom


def _side(options: SheetOptions) -> float:
    """The margin at the left and at the right."""
    return _SIDE if options.title_block else _FIGURE_EDGE


def music_width(options: SheetOptions) -> float:
    """The width of a system; a whole number of Verovio's page units."""
    return (page_size(options)[0] - 2 * _side(options)) // 10 * 10


def height_of(system: System) -> float:
    return system.bottom - system.top


def _distribute(
    systems: Sequence[System],
    first_top: float,
    tail: float,
    page_height: float,
    opens: Sequence[bool],
) -> list[list[_Placed]]:
    """Put systems on as few pages as hold them, and about as much on each.

    ``tail`` is the room of what stands under the last system; ``opens`` says of each system
    whether a section begins with it.
    """
    heights = [height_of(system) for system in systems]
    alone = first_top + sum(heights) + (len(heights) - 1) * NARROW_GAP + tail
    fits = alone <= page_height - BOTTOM_ALONE
    bottom = page_height - (BOTTOM_ALONE if fits else BOTTOM)
    sizes = _balanced(heights, first_top, tail, bottom, opens)
    result: list[list[_Placed]] = []
    widest = _WIDEST_GAP if len(sizes) == 1 else _WIDEST_OF_MANY
    begin, gap = 0, widest
    for position, size in enumerate(sizes):
        page = systems[begin : begin + size]
        top = first_top if position == 0 else TOP
        last = position + 1 == len(sizes)
        used = sum(heights[begin : begin + size]) + (tail if last else 0.0)
        gap = _gap(size, bottom - top - used, gap if last else widest)
        placed, y = [], top
        for system in page:
            placed.append(_Placed(system, y))
            y += height_of(system) + gap
        result.append(placed)
        begin += size
    return result


def _balanced(
    heights: Sequence[float],
    first_top: float,
    tail: float,
    bottom: float,
    opens: Sequence[bool],
) -> list[int]:
    """How many systems each page takes: as few pages as possible, then the most even filling,
    by dynamic programming. A system that is higher than a page has one of its own."""
    count = len(heights)
    # best[end]: pages, unevenness, and where the last of these pages begins.
    best: list[tuple[int, float, int]] = [(0, 0.0, 0)]
    for end in range(1, count + 1):
        found: tuple[int, float, int] | None = None
        load = -NARROW_GAP + (tail if end == count else 0.0)
        for begin in range(end - 1, -1, -1):
            load += heights[begin] + NARROW_GAP
            room = bottom - (first_top if begin == 0 else TOP)
            if load > room and end - begin > 1:
                break
            free = max(0.0, (room - load) / bottom)
            cost = best[begin][1] + free**2
            if end - begin == 1:
                cost += _LONELY
            if begin and not opens[begin]:
                cost += _INSIDE
            candidate = (best[begin][0] + 1, cost, begin)
            if found is None or candidate < found:
                found = candidate
        assert found is not None
        best.append(found)
    sizes: list[int] = []
    end = count
    while end > 0:
        sizes.append(end - best[end][2])
        end = best[end][2]
    return sizes[::-1]


def _gap(count: int, free: float, widest: float) -> float:
    """The gap between the systems of a page: as wide as the page allows, within reason."""
    if count < 2:
        return min(widest, _GAP)
    return max(NARROW_GAP, min(free / (count - 1), widest))


class Frame(Struct):
    """What stands around the systems of a sheet: the head with the height under it, the foot."""

    head: etree._Element
    head_bottom: float
    foot: Foot


class Plan(Struct):
    """A sheet before it is drawn: its frame, and its systems on their pages."""

    frame: Frame
    pages: list[list[_Placed]]


def _stacked(systems: Sequence[System]) -> list[_Placed]:
    """The systems of a figure one under the other."""
    placed, y = [], _FIGURE_EDGE
    for system in systems:
        placed.append(_Placed(system, y))
        y += height_of(system) + _GAP
    return placed


def frame_of(score: Score, options: SheetOptions) -> Frame:
    """The head and the foot; a figure has neither."""
    head = etree.Element(f"{{{SVG}}}g")
    if not options.title_block:
        return Frame(head, _FIGURE_EDGE, Foot())
    width = page_size(options)[0]
    bottom = draw_head(head, score, options, _SIDE, width - _SIDE, TOP) + _UNDER_HEAD
    return Frame(head, bottom, make_foot(score, options, width - 2 * _SIDE))


def plan_sheet(score: Score, engraving: Engraving, options: SheetOptions, frame: Frame) -> Plan:
    """Put the systems on pages; a figure has one page."""
    if not options.title_block:
        return Plan(frame, [_stacked(engraving.systems)])
    opens = [score.measures[s.measures[0]].section is not None for s in engraving.systems]
    height = page_size(options)[1]
    placed = _distribute(engraving.systems, frame.head_bottom, frame.foot.height, height, opens)
    return Plan(frame, placed)


def lay_out(score: Score, engraving: Engraving, options: SheetOptions, plan: Plan) -> list[bytes]:
    """The finished pages as SVG files."""
    draft, foot, placed = plan.frame.head, plan.frame.foot, plan.pages
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
    width, height = page_size(options)
    side = _side(options)
    placed, total = pages[position], len(pages)
    end = placed[-1].end
    if not options.title_block:
        height = end + _FIGURE_EDGE
        width = max(p.system.first.right for p in placed) + 2 * _FIGURE_EDGE
    elif total == 1 and not options.whole_pages:
        height = end + foot.height + BOTTOM - 500
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
            transform=f"translate({number(side)} {number(item.y - item.system.top)})",
        )
        holder.append(item.system.element)
    if position + 1 == total:
        foot.draw(body, side, end)
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
