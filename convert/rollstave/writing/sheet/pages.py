"""Pages: a title block, systems one under the other, the typist's words, a footer.

Lengths are in units, of which 720 are the height of a staff: a sheet of larger or smaller staves is
laid out on a page that much smaller or larger.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from copy import deepcopy
from typing import cast

from lxml import etree
from msgspec import Struct
from msgspec.structs import replace

from rollstave.score.records import Score
from rollstave.writing.fonts import FAMILY_LIST, Style, face_rules, text_width
from rollstave.writing.mei_under import UNDER_PREFIX
from rollstave.writing.options import SheetOptions
from rollstave.writing.sheet.drawing import number, shape, shortened, text
from rollstave.writing.sheet.engraving import (
    FRET_WEIGHT,
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
from rollstave.writing.sheet.pagination import Placed, Room, distribute, stacked
from rollstave.writing.xml import clean, root_element

# The margins of a page: hundredths of a millimetre, whatever the size of the staff.
_SIDE, TOP, BOTTOM, _BOTTOM_ALONE = 1_200.0, 1_100.0, 1_250.0, 900.0
_BOTTOM_AT_LEAST = 650.0  # where that saves a second page; printers need about 5 mm
_FOOTER = 700.0  # the base line of the footer, from the lower edge; one page has none
_FOOTER_SIZE = 260.0
_FIGURE_EDGE = 60.0  # around a figure: only what keeps a line's thickness from being cut
_UNDER_HEAD = 300.0


def page_size(options: SheetOptions) -> tuple[float, float]:
    """Width and height of the page in the units that it is laid out in."""
    width: float = options.paper.width
    if not options.title_block:
        usual = MUSIC_WIDTH + 2 * _FIGURE_EDGE
        width = usual if options.width is None else options.width * UNITS_PER_MM
    return width / options.zoom, options.paper.height / options.zoom


def side_of(options: SheetOptions) -> float:
    """The margin at the left and at the right, in units."""
    return _SIDE / options.zoom if options.title_block else _FIGURE_EDGE


def music_width(options: SheetOptions) -> float:
    """The width of a system; a whole number of Verovio's page units."""
    return (page_size(options)[0] - 2 * side_of(options)) // 10 * 10


class Frame(Struct):
    """What stands around the systems of a sheet: the head with the height under it, the foot."""

    head: etree._Element
    head_bottom: float
    foot: Foot


class Plan(Struct):
    """A sheet before it is drawn: its frame, and its systems on their pages."""

    frame: Frame
    pages: list[list[Placed]]


def frame_of(
    score: Score, options: SheetOptions, said: Collection[int] = (), paced: bool = False
) -> Frame:
    """The head, with the metronome mark unless the music is ``paced``, and the foot, which has the
    words before all measures but those ``said`` over the music; a figure has neither."""
    head = etree.Element(f"{{{SVG}}}g")
    if not options.title_block:
        return Frame(head, _FIGURE_EDGE, Foot())
    width = page_size(options)[0]
    side, top = side_of(options), TOP / options.zoom
    bottom = draw_head(head, score, options, side, width - side, top, paced) + _UNDER_HEAD
    return Frame(head, bottom, make_foot(score, options, width - 2 * side, said))


def plan_sheet(score: Score, engraving: Engraving, options: SheetOptions, frame: Frame) -> Plan:
    """Put the systems on pages; a figure has one page."""
    if not options.title_block:
        return Plan(frame, [stacked(engraving.systems, _FIGURE_EDGE)])
    opens = [score.measures[s.measures[0]].section is not None for s in engraving.systems]
    room = Room(
        first_top=frame.head_bottom,
        top=TOP / options.zoom,
        bottom=page_size(options)[1] - _BOTTOM_ALONE / options.zoom,
        tail=frame.foot.height,
    )
    placed = distribute(engraving.systems, room, opens)
    if len(placed) > 1:
        lower = page_size(options)[1] - _BOTTOM_AT_LEAST / options.zoom
        placed = distribute(engraving.systems, replace(room, bottom=lower), opens)
    if len(placed) > 1:
        # Several pages have a footer.
        room = replace(room, bottom=page_size(options)[1] - BOTTOM / options.zoom)
        placed = distribute(engraving.systems, room, opens)
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
    pages: list[list[Placed]],
    position: int,
) -> bytes:
    width, height = page_size(options)
    side = side_of(options)
    placed, total = pages[position], len(pages)
    end = placed[-1].end
    if not options.title_block:
        height = end + _FIGURE_EDGE
        width = max(p.system.first.right for p in placed) + 2 * _FIGURE_EDGE
    elif total == 1 and not options.whole_pages:
        height = end + foot.height + (BOTTOM - 500) / options.zoom
    root = page_root(score, position, total, width, height, options)
    used_glyphs(root, engraving, [p.system for p in placed])
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
        more = f" · key to the signs on page {total}" if foot.key and position + 1 < total else ""
        draw_footer(body, score.title, position, total, options, more)
    return closed(root, score, position, options)


def draw_footer(
    body: etree._Element,
    title: str,
    position: int,
    total: int,
    options: SheetOptions,
    more: str = "",
) -> None:
    """The title and which page of how many this is, with what ``more`` there is to say, in the
    middle under everything."""
    width, height = page_size(options)
    count = f" · {position + 1} of {total}{more}"
    room = width - 2 * side_of(options) - text_width(count, _FOOTER_SIZE)
    words = shortened(title, room, _FOOTER_SIZE) + count
    text(body, words, width / 2, height - _FOOTER / options.zoom, _FOOTER_SIZE, class_="footer")


def closed(root: etree._Element, score: Score, position: int, options: SheetOptions) -> bytes:
    """A page as a file: its ids are its own, and the font is in it where that is wanted."""
    own_ids(root, options.prefix or prefix_of(score, position))
    if options.embed_fonts:
        shape(root, "style").text = face_rules(styles_of(root))
    return etree.tostring(root, xml_declaration=True, encoding="UTF-8", pretty_print=False)


def page_root(
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


def styles_of(root: etree._Element) -> set[Style]:
    """The styles that a page's texts use."""
    found = {Style.REGULAR}
    for element in root.iter(f"{{{SVG}}}text"):
        if weight := element.get("font-weight"):
            found.add(Style.SEMIBOLD if weight == FRET_WEIGHT else Style.BOLD)
        if element.get("font-style"):
            found.add(Style.ITALIC)
    return found


def used_glyphs(root: etree._Element, engraving: Engraving, systems: Sequence[System]) -> None:
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


def prefix_of(score: Score, position: int) -> str:
    """A prefix for the ids of a page: the title in plain letters, and the page."""
    plain = "".join(c if c.isalnum() and c.isascii() else "-" for c in score.title.lower())
    words = "-".join(part for part in plain.split("-") if part) or "tune"
    return f"rs-{words}-{position + 1}-" if position else f"rs-{words}-"


# Ids that others may hold on to: measures, notes and rests of staff and tab, those of a version
# under the tune, glyphs.
_KEPT = ("m", "n", "t", UNDER_PREFIX, "glyph-")
_WITH_ID = etree.XPath("//*[@id]")


def own_ids(root: etree._Element, prefix: str) -> None:
    """Put the prefix before the ids that are ours, and drop those that Verovio made up."""
    for element in cast("list[etree._Element]", _WITH_ID(root)):
        name = element.get("id", "")
        if name.startswith(_KEPT) and (name[-1].isdigit() or name.startswith("glyph-")):
            element.set("id", prefix + name)
        else:
            del element.attrib["id"]
    for use in root.iter(f"{{{SVG}}}use"):
        use.set(HREF, f"#{prefix}{use.get(HREF, '').lstrip('#')}")
