"""A hand-out on pages: SVG, and a PDF of it.

Items are put one under the other; a heading stands on the page of what it heads, an exercise of
few lines on one page. Two exercises of a short line each stand side by side.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lxml import etree
from msgspec.structs import replace

from rollstave.grid.typed import Bar
from rollstave.writing.fonts import FAMILY_LIST
from rollstave.writing.handout.blocks import (
    ABOVE_MUSIC,
    ABOVE_NAME,
    TEXT_SIZE,
    Item,
    chart_items,
    lead_of,
    line_item,
    music_item,
    name_item,
    part_item,
    shape_items,
    side_by_side,
    together,
    words_item,
)
from rollstave.writing.handout.joining import joined
from rollstave.writing.handout.placing import Sizes, placed
from rollstave.writing.handout.records import Block, Chart, Exercise, Handout, Part, Shapes, Words
from rollstave.writing.options import SheetOptions
from rollstave.writing.others import OtherMarks, no_others
from rollstave.writing.paper import pages_pdf
from rollstave.writing.sheet.drawing import shape
from rollstave.writing.sheet.engraving import SVG, System
from rollstave.writing.sheet.foot import make_foot
from rollstave.writing.sheet.head import draw_head
from rollstave.writing.sheet.pages import (
    BOTTOM,
    TOP,
    closed,
    draw_footer,
    music_width,
    page_root,
    page_size,
    side_of,
    used_glyphs,
)
from rollstave.writing.sheet.pagination import gap_between
from rollstave.writing.sheet.svg import engraved
from rollstave.writing.xml import root_element

_PLAIN = SheetOptions()
_TOGETHER = 3  # lines of an exercise that are not parted
_WORDS_APART, _LINES_APART = 0.05, 0.08  # what it costs to part paragraphs, and lines of a tune
_HEADING_APART = 0.3  # and the first paragraph under a heading from what follows
_ENDING_APART = 0.4  # and endings of one strain
_HALF = 0.485  # of the width: what stands beside something else has no more


def handout_options(options: SheetOptions) -> SheetOptions:
    """The options that its music is engraved with."""
    return replace(options, as_typed=True, chord_row=False, rolls=False, measures=None)


def write_svg(
    handout: Handout, options: SheetOptions = _PLAIN, others: OtherMarks = no_others
) -> list[bytes]:
    """The pages as SVG. Raises ValueError for a hand-out without music."""
    return _Pages(handout, handout_options(options), others).svgs()


def write_pdf(
    handout: Handout, options: SheetOptions = _PLAIN, others: OtherMarks = no_others
) -> bytes:
    """The pages as a PDF. Raises ValueError for a hand-out without music."""
    pages = write_svg(handout, replace(options, embed_fonts=False), others)
    return pages_pdf(pages, options.paper, handout.title, handout.score.composer)


class _Pages:
    """The pages of one hand-out. Systems are drawn once, so it is used once."""

    def __init__(self, handout: Handout, options: SheetOptions, others: OtherMarks) -> None:
        self.handout, self.options = handout, options
        found = joined(handout, named=False)
        self.score = found.score
        self.engraving = engraved(found.score, options, others, natural=True, full=found.tunes)
        by_start = [range(a, b) for a, b in found.spans]
        self.systems = [
            [s for s in self.engraving.systems if s.measures[0] in span] for span in by_start
        ]
        self.left = side_of(options)
        self.width = music_width(options)
        self.taken = 0  # exercises that are drawn already

    def svgs(self) -> list[bytes]:
        items = [item for part in self.handout.parts for item in self._part(part)]
        head = _group()
        about = replace(self.handout.score, title=self.handout.title)
        top = TOP / self.options.zoom
        paced = any(system.paced for system in self.engraving.systems)
        right = self.left + self.width
        under = draw_head(head, about, self.options, self.left, right, top, paced)
        foot = make_foot(replace(self.score, notes=()), self.options, self.width)
        bottom = page_size(self.options)[1] - BOTTOM / self.options.zoom
        sizes = Sizes(first=under, top=top, bottom=bottom, tail=foot.height)
        pages = placed(items, sizes)
        made = []
        for position, here in enumerate(pages):
            width, height = page_size(self.options)
            root = page_root(self.score, position, len(pages), width, height, self.options)
            body = _group()
            for item, y in here:
                item.draw(body, y)
            systems = [s for s in self.engraving.systems if _inside(s, body)]
            used_glyphs(root, self.engraving, systems)
            page = shape(root, "g", font_family=FAMILY_LIST, fill="currentColor", class_="page")
            if position == 0:
                page.extend(head)
            page.extend(body)
            if position + 1 == len(pages):
                item, y = here[-1]
                foot.draw(page, self.left, y + item.height)
            if len(pages) > 1:
                draw_footer(page, self.handout.title, position, len(pages), self.options)
            made.append(closed(root, self.score, position, self.options))
        return made

    # Items ------------------------------------------------------------------------------------

    def _part(self, part: Part) -> Iterator[Item]:
        if part.name:
            yield part_item(part.name, self.left, self.width, part.own_page)
        blocks = list(part.blocks)
        headed = bool(part.name)
        while blocks:
            if beside := self._beside(blocks[:4]):
                yield beside
                del blocks[:4]
                continue
            block = blocks.pop(0)
            if not isinstance(block, Exercise):
                items = list(self._block(block))
                # Words stand on the page of what they are about, shapes on that of their exercise.
                about = blocks[0] if blocks else block
                said = isinstance(block, Words) and not isinstance(about, Words)
                held = isinstance(block, Shapes) and isinstance(about, Exercise)
                told = isinstance(block, Shapes) and about is not block and isinstance(about, Words)
                for item in items if held else items[-1:]:
                    item.keep |= said or held or told
                if isinstance(block, Words) and blocks:
                    items[-1].apart = _HEADING_APART if headed else _WORDS_APART
                headed = False
                yield from items
                continue
            headed = False
            following = blocks[0] if blocks else None
            if isinstance(following, Exercise) and self._short(0) and self._short(1):
                blocks.pop(0)
                yield self._pair(block, following)
            else:
                yield from self._exercise(block)

    def _block(self, block: Block) -> Iterator[Item]:
        if isinstance(block, Shapes):
            instrument = self.score.setup.instrument
            yield from shape_items(block, instrument, self.left, self.width)
        elif isinstance(block, Chart):
            yield from chart_items(block, self.left, self.width)
        elif not isinstance(block, Exercise):
            yield words_item(block, self.left, self.width)

    def _beside(self, blocks: Sequence[Block]) -> Item | None:
        """Two short rows of shapes that have a name, each with what is said of it, side by side."""
        match blocks:
            case [Shapes() as a, Words() as of_a, Shapes() as b, Words() as of_b]:
                pass
            case _:
                return None
        wide = _HALF * self.width
        halves = [
            (*shape_items(shapes, self.score.setup.instrument, left, wide), words)
            for shapes, words, left in (
                (a, words_item(of_a, self.left, wide), self.left),
                (b, words_item(of_b, self._middle, wide), self._middle),
            )
        ]
        if not (a.name and b.name) or any(len(half) != 3 for half in halves):
            return None
        return side_by_side(*(together(half) for half in halves))

    @property
    def _middle(self) -> float:
        """Where the second of two things side by side begins."""
        return self.left + (1 - _HALF) * self.width

    def _short(self, ahead: int) -> bool:
        """True if an exercise that comes has one line that leaves room beside it."""
        systems = self.systems[self.taken + ahead]
        return len(systems) == 1 and systems[0].first.right <= _HALF * self.width

    def _pair(self, a: Exercise, b: Exercise) -> Item:
        wide = _HALF * self.width
        beside = self._middle
        words = [self._words(a, self.left, wide), self._words(b, beside, wide)]
        highest = max(item.height for item in words)
        # Both staves stand on one height, whatever stands over them.
        leads = [lead_of(self.systems[self.taken + n][0]) for n in range(2)]
        for item, lead in zip(words, leads, strict=True):
            item.height = highest + max(leads) - lead
        halves = [
            together([item, self._music(left)], ABOVE_NAME)
            for item, left in zip(words, (self.left, beside), strict=True)
        ]
        return side_by_side(*halves)

    def _words(self, exercise: Exercise, left: float, width: float) -> Item:
        items = [name_item(exercise.name, left, width)]
        if exercise.why:
            items.append(line_item(exercise.why, left, width, TEXT_SIZE, above=130.0))
        return together(items)

    def _music(self, left: float) -> Item:
        systems = self.systems[self.taken]
        self.taken += 1
        return music_item(systems, left, ABOVE_MUSIC)

    def _exercise(self, exercise: Exercise) -> Iterator[Item]:
        systems = self.systems[self.taken]
        heading = self._words(exercise, self.left, self.width)
        if len(systems) <= _TOGETHER:
            yield together([heading, self._music(self.left)], ABOVE_NAME)
            return
        self.taken += 1
        heading.keep = True
        yield heading
        for place, system in enumerate(systems):
            above = gap_between(systems[place - 1], system) if place else ABOVE_MUSIC
            item = music_item([system], self.left, above)
            item.line = True
            item.keep = place in (0, len(systems) - 2)  # no line is alone on its page
            item.apart = self._apart(systems[place + 1]) if place + 1 < len(systems) else 0.0
            yield item

    def _apart(self, following: System) -> float:
        """What it costs to turn the page before a line of a tune: nothing where a strain begins,
        much where a strain that is played again is left in its endings."""
        first = self.score.measures[following.measures[0]]
        if first.in_ending is not None:
            return _ENDING_APART
        return 0.0 if first.section or first.left is Bar.REPEAT_START else _LINES_APART


def _group() -> etree._Element:
    return root_element(f"{{{SVG}}}g", {None: SVG})


def _inside(system: System, body: etree._Element) -> bool:
    return any(above is body for above in system.element.iterancestors())
