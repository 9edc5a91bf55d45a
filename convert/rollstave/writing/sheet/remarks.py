"""The typist's sentences over the music: before the measure where they were typed, not at the foot.

A sentence stands on the line of the heading of its part where it fits there, else in lines of its
own: over the beginning of its measure, or over the whole system with the number of its measure.
What stood before the tune, or after it, belongs to all of it and is at the foot, but for the
heading of its first strain. Headings of strains look as those of parts do. Lengths are in units.
"""

from __future__ import annotations

from lxml import etree

from rollstave.score.memo import once_for_a_score
from rollstave.score.records import Score
from rollstave.writing.fonts import CAP_HEIGHT, DESCENT, Style, text_width
from rollstave.writing.sheet.context import MarkContext
from rollstave.writing.sheet.drawing import number, path, text, wrapped
from rollstave.writing.sheet.foot import (
    WORDS_LINE,
    WORDS_SIZE,
    first_heading,
    later_headings,
    said_before,
)
from rollstave.writing.sheet.skyline import Box

SECTION_SIZE = 360.0  # of the heading of a part
SECTION_AIR = 65.0  # between a heading and its frame
_MOST_LINES = 3  # over a system; what is longer is at the foot
_OVER = 210.0  # between the lowest line and what stands under it
_BESIDE = 260.0  # between the heading of a part and a sentence right of it


@once_for_a_score
def _remarks(score: Score) -> dict[int, str]:
    """Sentences by the index of the measure before which they stood in the midst of a tune, and the
    heading of its first strain."""
    found: dict[int, list[str]] = {}
    if score.notes and (heading := first_heading(score)) is not None:
        found[0] = [heading]
    for place, line in said_before(score):
        if 0 < place < len(score.measures):
            found.setdefault(place, []).append(line)
    return {place: " ".join(lines) for place, lines in found.items()}


@once_for_a_score
def _headings(score: Score) -> frozenset[str]:
    """The sentences that head strains, the first one and the later ones."""
    return later_headings(score) | {first_heading(score) or ""}


def draw_remarks(context: MarkContext, layer: etree._Element, lowest: float) -> None:
    """Draw the sentences of a system that do not fit beside a heading, over everything that is
    drawn up to now; ``lowest`` is where one may stand where there is nothing. A figure has none."""
    if not context.options.title_block or context.label:
        return
    system = context.system
    remarks = _remarks(context.score)
    headings = _headings(context.score) if remarks else ()
    for position, notated in enumerate(context.notated):
        measure = notated.measure
        words = remarks.get(measure.index)
        if words is None:
            continue
        left = system.spans[measure.index][0] if position else 0.0
        if measure.section and _room_beside(context, measure.section, left, words) is not None:
            continue
        room = system.first.right - left
        if words in headings and wide_as_heading(words) <= room:
            right = left + wide_as_heading(words)
            base = system.drawn.ceiling(left, right, lowest) - _OVER - SECTION_AIR
            system.take(framed(layer, words, left, base, "remark"))
            system.said.add(measure.index)
            continue
        lines = wrapped(words, room, WORDS_SIZE)
        if position and len(lines) > 1:
            left = 0.0
            lines = wrapped(f"Measure {measure.number}: {words}", system.first.right, WORDS_SIZE)
        if len(lines) > _MOST_LINES:
            continue
        right = left + max(text_width(line, WORDS_SIZE) for line in lines)
        base = system.drawn.ceiling(left, right, lowest) - _OVER
        for row, line in enumerate(reversed(lines)):
            y = base - row * WORDS_LINE
            system.take(text(layer, line, left, y, WORDS_SIZE, "start", class_="remark"))
        system.said.add(measure.index)


def wide_as_heading(words: str) -> float:
    """How wide a heading is with its frame."""
    return text_width(words, SECTION_SIZE, Style.BOLD) + 2 * SECTION_AIR


def framed(
    layer: etree._Element, words: str, left: float, base: float, kind: str = "section"
) -> Box:
    """Write a heading in a frame, by which it is told from a tempo (Gould, Behind Bars, 2011, from
    memory: rehearsal marks are framed); its ground."""
    x = left + SECTION_AIR
    box = text(layer, words, x, base, SECTION_SIZE, "start", Style.BOLD, class_=kind)
    top = base - CAP_HEIGHT * SECTION_SIZE - SECTION_AIR
    bottom = base + DESCENT * SECTION_SIZE + 10.0
    right = left + wide_as_heading(words)
    path(
        layer,
        f"M{number(left)} {number(top)}H{number(right)}V{number(bottom)}H{number(left)}Z",
        14.0,
        class_="frame",
    )
    return box._replace(left=left, right=right, top=top, bottom=bottom)


def remark_beside(context: MarkContext, position: int, left: float) -> tuple[float, str] | None:
    """The sentence of a measure and where it begins right of its heading, which begins at ``left``;
    None where there is none, or no room for it."""
    measure = context.notated[position].measure
    if measure.index in context.system.said or not context.options.title_block or context.label:
        return None
    words = _remarks(context.score).get(measure.index)
    if words is None or not measure.section:
        return None
    x = _room_beside(context, measure.section, left, words)
    return None if x is None else (x, words)


def _room_beside(context: MarkContext, heading: str, left: float, words: str) -> float | None:
    """Where a sentence begins that fits on the line of a heading; None where it does not."""
    x = left + wide_as_heading(heading) + _BESIDE
    return x if x + text_width(words, WORDS_SIZE) <= context.system.first.right else None
