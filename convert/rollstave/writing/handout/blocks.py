"""The blocks of a hand-out as items that are drawn from the top of a page downwards.

Lengths are in units, as on a sheet. Words are larger than those under a sheet: a lesson is read
from a music stand.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from lxml import etree
from msgspec import Struct

from rollstave.instruments.instrument import Instrument
from rollstave.writing.fonts import CAP_HEIGHT, Style, text_width
from rollstave.writing.handout.records import Chart, ChartBar, Shapes, Words
from rollstave.writing.sheet.diagram import HEIGHT, draw_diagram, width_of
from rollstave.writing.sheet.drawing import number, path, shape, text, with_signs, wrapped
from rollstave.writing.sheet.engraving import System
from rollstave.writing.sheet.pagination import gaps_of, height_of

PART_SIZE, NAME_SIZE, TEXT_SIZE, SMALL = 560.0, 420.0, 390.0, 330.0
_LEADING = 1.34
_DEEP = 0.26  # of the size: what letters reach under their base line
ABOVE_PART, ABOVE_NAME, ABOVE_WORDS, ABOVE_MUSIC = 620.0, 520.0, 220.0, 150.0
_DIAGRAM = 1.25  # times the size that shapes have at the head of a sheet
_SHAPE_GAP = 260.0
_CELL, _CELL_HEIGHT, _CELL_SHORT = 4_400.0, 1_150.0, 800.0
_UNDER_MUSIC = 240.0
_ROWS_APART = 0.4  # what it costs to part a chart
_NUMBER = 300.0  # of a measure, over the chart
_BAR, _THICK, _DOT = 16.0, 60.0, 34.0
Draw = Callable[[etree._Element, float], None]


class Item(Struct):
    """Something that stands on one page as a whole: its height, the room over it, and a function
    that draws it under a height. With ``keep`` it stands on the page of the item after it;
    ``apart`` is what it costs to begin a page after it, where a page left empty costs 1. ``opens``
    is True for the heading of a part, ``line`` for a line of a tune."""

    height: float
    above: float
    draw: Draw
    keep: bool = False
    new_page: bool = False
    apart: float = 0.0
    opens: bool = False
    line: bool = False


def line_item(
    words: str,
    left: float,
    width: float,
    size: float,
    *,
    style: Style = Style.REGULAR,
    above: float = ABOVE_WORDS,
    keep: bool = False,
    name: str = "words",
) -> Item:
    """Words in as many lines as they need."""
    lines = wrapped(with_signs(words), width, size, style)
    step = size * _LEADING

    def draw(parent: etree._Element, y: float) -> None:
        group = shape(parent, "g", class_=name)
        for row, line in enumerate(lines):
            text(group, line, left, y + CAP_HEIGHT * size + row * step, size, "start", style)

    height = (len(lines) - 1) * step + (CAP_HEIGHT + _DEEP) * size
    return Item(height=height, above=above, draw=draw, keep=keep)


def part_item(name: str, left: float, width: float, new_page: bool) -> Item:
    """The heading of a part, a line over it."""
    size = PART_SIZE
    lines = wrapped(name, width, size)
    drop = 240.0

    def draw(parent: etree._Element, y: float) -> None:
        group = shape(parent, "g", class_="part")
        path(group, f"M{number(left)} {number(y)}H{number(left + width)}", 14.0)
        for row, line in enumerate(lines):
            base = y + drop + CAP_HEIGHT * size + row * size * 1.2
            text(group, line, left, base, size, "start", Style.BOLD, class_="part-name")

    height = drop + CAP_HEIGHT * size + (len(lines) - 1) * size * 1.2 + 90.0
    item = Item(height=height, above=ABOVE_PART, draw=draw, keep=True)
    item.new_page, item.opens = new_page, True
    return item


def words_item(words: Words, left: float, width: float) -> Item:
    """A paragraph; the teacher's own stands in from a line at its side."""
    style = Style.ITALIC if words.inferred else Style.REGULAR
    aside = 320.0 if words.teacher else 0.0
    item = line_item(words.text, left + aside, width - aside, TEXT_SIZE, style=style)
    if not words.teacher:
        return item
    inner = item.draw

    def draw(parent: etree._Element, y: float) -> None:
        x = number(left + 110)
        path(parent, f"M{x} {number(y)}V{number(y + item.height - 60)}", 36.0, class_="teacher")
        inner(parent, y)

    return Item(height=item.height, above=item.above, draw=draw)


# Chord shapes -----------------------------------------------------------------------------------


def shape_items(block: Shapes, instrument: Instrument, left: float, width: float) -> list[Item]:
    """Rows of shapes, with their captions under them."""
    items: list[Item] = []
    if block.name:
        items.append(name_item(block.name, left, width))
    wide = width_of(instrument) * _DIAGRAM
    widest = max((text_width(w, SMALL) for c in block.captions for w in c.split("\n")), default=0.0)
    column = max(wide, widest) + _SHAPE_GAP
    most = max(1, int((width + _SHAPE_GAP) // column))
    rows = max(1, -(-len(block.shapes) // most))
    each = -(-len(block.shapes) // rows)  # rows are even: no shape stands alone on the last
    for start in range(0, len(block.shapes), each):
        end = start + each
        items.append(_shape_row(block, start, end, instrument, left, column))
    for item in items[1:] if block.name else items:
        item.above = ABOVE_WORDS + 60
    return items


def _shape_row(
    block: Shapes, start: int, end: int, instrument: Instrument, left: float, column: float
) -> Item:
    shapes, captions = block.shapes[start:end], block.captions[start:end]
    rows = max((c.count("\n") + 1 for c in captions), default=0)
    tall = HEIGHT * _DIAGRAM
    step = SMALL * _LEADING
    wide = width_of(instrument) * _DIAGRAM

    def draw(parent: etree._Element, y: float) -> None:
        for place, held in enumerate(shapes):
            x = left + place * column
            # The number of a fret stands in the room at the left of the strings.
            moved = f"translate({number(x)} {number(y)}) scale({_DIAGRAM})"
            group = shape(parent, "g", transform=moved)
            draw_diagram(group, held, instrument, 0.0, 0.0)
        for place, words in enumerate(captions):
            x = left + place * column + wide / 2
            for row, line in enumerate(words.split("\n")):
                base = y + tall + 130 + (row + CAP_HEIGHT) * step
                text(parent, with_signs(line), x, base, SMALL, class_="caption")

    return Item(height=tall + (130 + rows * step if rows else 0.0), above=ABOVE_WORDS, draw=draw)


def name_item(name: str, left: float, width: float, above: float = ABOVE_NAME) -> Item:
    """The heading of an exercise, a chart or a row of shapes."""
    return line_item(
        name,
        left,
        width,
        NAME_SIZE,
        style=Style.BOLD,
        above=above,
        keep=True,
        name="exercise-name",
    )


# Charts -----------------------------------------------------------------------------------------


def chart_items(chart: Chart, left: float, width: float) -> list[Item]:
    """Lines of a chart."""
    items: list[Item] = [name_item(chart.name, left, width)] if chart.name else []
    cell = min(_CELL, width / chart.per_line)
    under = any(bar.under for bar in chart.bars)
    lines = chart.lines
    for place, row in enumerate(lines):
        items.append(_chart_row(row, left, min(cell, width / len(row)), under))
        items[-1].keep = len(lines) > 1 and place in (0, len(lines) - 2)  # none is alone
        items[-1].apart = _ROWS_APART * (place + 1 < len(lines))
    return items


def _chart_row(bars: Sequence[ChartBar], left: float, cell: float, under: bool) -> Item:
    height = _CELL_HEIGHT if under else _CELL_SHORT

    def draw(parent: etree._Element, y: float) -> None:
        group = shape(parent, "g", class_="chart")
        bottom = y + height
        end = number(left + len(bars) * cell)
        path(group, f"M{number(left)} {number(bottom)}H{end}", 8.0)
        _bar(group, left, y, bottom, begins=bars[0].left, ends=False)
        for place, bar in enumerate(bars):
            x = left + place * cell
            begins = place + 1 < len(bars) and bars[place + 1].left
            _bar(group, x + cell, y, bottom, begins=begins, ends=bar.right)
            _cell(group, bar, x, y, cell, first=place == 0)

    return Item(height=height, above=340.0, draw=draw)


def _bar(
    group: etree._Element, x: float, top: float, bottom: float, *, begins: bool, ends: bool
) -> None:
    """A bar line of a chart, with the dots of the repeats that begin or end at it."""
    thick = begins or ends
    path(group, f"M{number(x)} {number(top)}V{number(bottom)}", _THICK if thick else _BAR)
    for side, wanted in ((-1, ends), (1, begins)):
        for share in (0.36, 0.64) if wanted else ():
            at = top + share * (bottom - top)
            shape(group, "circle", cx=x + side * 150.0, cy=at, r=_DOT, fill="currentColor")


def _cell(
    group: etree._Element, bar: ChartBar, x: float, y: float, cell: float, *, first: bool
) -> None:
    inner = x + (330.0 if bar.ending or bar.left else 250.0)
    if bar.number and first:
        text(group, str(bar.number), x - 20, y - 60, _NUMBER, "start", Style.ITALIC)
    if bar.ending:
        text(group, f"{bar.ending}.", x + 90, y + 230, 290.0, "start", Style.BOLD)
    share = (cell - 320.0) / max(1, len(bar.chords))
    for place, name in enumerate(bar.chords):
        words = with_signs(name)
        size = min(470.0, 470.0 * (share - 80) / max(1.0, text_width(words, 470.0)))
        text(group, words, inner + place * share, y + 560, size, "start", class_="chord")
    if bar.under:
        room = cell - 330.0
        size = min(SMALL, SMALL * room / text_width(bar.under, SMALL))
        text(group, with_signs(bar.under), inner, y + 985, size, "start", class_="under")


# Music ------------------------------------------------------------------------------------------


def lead_of(system: System) -> float:
    """How far what is drawn of a system reaches over its first line."""
    return system.first.heights[0] - system.top


def music_item(systems: Sequence[System], left: float, above: float) -> Item:
    """Systems one under the other."""
    gaps = gaps_of(systems)
    height = sum(gaps) + sum(height_of(s) for s in systems) + _UNDER_MUSIC

    def draw(parent: etree._Element, y: float) -> None:
        for system, gap in zip(systems, gaps, strict=True):
            y += gap
            holder = shape(
                parent,
                "g",
                class_="music",
                stroke="currentColor",
                stroke_width=0,
                transform=f"translate({number(left)} {number(y - system.top)})",
            )
            holder.append(system.element)
            y += height_of(system)

    return Item(height=height, above=above, draw=draw)


def together(items: Sequence[Item], above: float | None = None) -> Item:
    """Items that stand on one page, as one."""
    height = sum(i.height for i in items) + sum(i.above for i in items[1:])

    def draw(parent: etree._Element, y: float) -> None:
        for place, item in enumerate(items):
            y += item.above if place else 0.0
            item.draw(parent, y)
            y += item.height

    return Item(height=height, above=items[0].above if above is None else above, draw=draw)


def side_by_side(a: Item, b: Item) -> Item:
    """Two items on one height; each was made for its own side."""

    def draw(parent: etree._Element, y: float) -> None:
        a.draw(parent, y)
        b.draw(parent, y)

    return Item(height=max(a.height, b.height), above=max(a.above, b.above), draw=draw)
