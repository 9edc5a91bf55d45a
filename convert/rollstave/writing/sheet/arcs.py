"""Hammer-ons, pull-offs, slides and ties on the tab.

An arc lies between two digits in the strip over their line: it starts and ends beside them, so it
stays under the line above, and its letter stands over it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

from lxml import etree
from msgspec.structs import replace

from rollstave.score.links import LinkPair, NoteAddress
from rollstave.vocabulary.signs import LINKS
from rollstave.vocabulary.technique import Technique
from rollstave.writing.fonts import CAP_HEIGHT, text_width
from rollstave.writing.frets import DIGIT_SIZE, digits
from rollstave.writing.sheet.bends import BEND_WIDE, BENT_ALIKE, held_as_one
from rollstave.writing.sheet.context import MarkContext, half_width, tab_id
from rollstave.writing.sheet.drawing import number, path, shape, text, text_box
from rollstave.writing.sheet.skyline import Box

_LETTER_SIZES = 250.0, 236.0  # as large as fits between an arc and the next line; in a crowd
_LIFT = 52.0  # the ends of an arc over the line of its string
# Its control points over its ends; its top is at three quarters of that. A flat arc would lie on
# the line like a second one.
_RISE = 72.0
_THICK = 34.0  # between the control points of its two edges: three quarters of that in its middle
_EDGE = 9.0  # of the line around it, so that its ends are no hairs

_NARROW = 110.0  # digits nearer than this leave little room for an arc between them
_TOUCHING, _SQUEEZE = 30.0, 14.0  # and none at all; what an arc may take of the air beside them
_HIGH_LIFT, _LOW_RISE = 118.0, 54.0  # then it lies over the digits
_HIGHEST = 116.0  # over the line; an arc over that leaves no room for a letter
_BRACKET_LIFT = 186.0  # and over a parenthesis
_BESIDE = 130.0  # how far beside its arc a letter may stand, if the ground over it is taken
_OVER_ARC = 18.0  # between an arc and the letter over it
_SMALL_LETTER = 1.18  # how much larger one is that is no capital, to be as tall
_OVER_FIGURE = 22.0  # more between a digit of the first string and its letter
_OVER_DIGITS = 132.0  # from the line of a string to a letter clear of the digits beside it
_UNDER, _UNDER_DIGITS = 42.0, 118.0  # under the line of its string, and under digits there
_SPACE = 315.0  # between two lines of the tab
_OPEN = 190.0  # the length of an arc to nowhere
_SLIDE_SQUEEZE = 22.0  # how much of its air a slide gives up on either side
_SHORT_SLIDE = 400.0  # what is between the digits of a slide that has no line behind it
_LEAST = 130.0  # the shortest arc of a tie
_STEEPEST = 0.75  # how high the control points of an arc are, as a share of its length, at most


def _arc(
    layer: etree._Element,
    left: float,
    right: float,
    y: float,
    kind: str,
    lift: float = _LIFT,
    rise: float = _RISE,
) -> Box:
    """Draw a flat arc that is thicker in its middle. Returns its ground."""
    top = y - lift
    rise = min(rise, _STEEPEST * (right - left))
    inner = rise - _THICK
    part = min(120.0, (right - left) / 4)
    shape(
        layer,
        "path",
        class_=kind,
        fill="currentColor",
        stroke="currentColor",
        stroke_width=_EDGE,
        stroke_linejoin="round",
        d=(
            f"M{number(left)} {number(top)}C{number(left + part)} {number(top - rise)} "
            f"{number(right - part)} {number(top - rise)} {number(right)} {number(top)}"
            f"C{number(right - part)} {number(top - inner)} {number(left + part)} "
            f"{number(top - inner)} {number(left)} {number(top)}Z"
        ),
    )
    return Box(left, top - 0.75 * rise - _EDGE / 2, right, top + _EDGE / 2)


def draw_links(context: MarkContext, layer: etree._Element) -> None:
    """What leads from digit to digit, as the table of techniques has it: an arc with a letter, or
    a line. A link over the end of a system is drawn in two halves; a note that is reached from
    nowhere has the letter over it."""
    tab = context.system.tab
    if tab is None:
        return
    pairs = [p for p in context.links if not (LINKS[p.kind].from_nowhere and _is_far(p))]
    lettered = set()
    for pair in sorted(pairs, key=lambda pair: pair.start.string):
        span = _span(context, pair, tab.left + 650, tab.right - 60)
        if span is not None:
            start, end = (replace(at, string=0) for at in (pair.start, pair.end))
            said = (pair.kind, start, end) in lettered
            DRAWINGS[LINKS[pair.kind].drawing](context, layer, pair, span, said)
            lettered.add((pair.kind, start, end))
    led = {pair.end for pair in pairs}
    for notated, symbol, note, tied, name in context.heads():
        here = NoteAddress(notated.measure.index, symbol.event_index, note.string)
        at = context.system.places.get(name)
        if note.link is None or symbol.part or here in led or at is None:
            continue
        letter_over(context, layer, LINKS[note.link], at, half_width(note, tied))


def _is_far(pair: LinkPair) -> bool:
    """True if something else is struck between the two notes of a link, or a bar line stands there:
    a note that may come from nowhere, as one that is tapped, then has its letter alone."""
    if pair.start.measure != pair.end.measure:
        return True
    return pair.end.event - pair.start.event > 1


class _Span(NamedTuple):
    """Where a link begins and ends beside its digits, the line of its string, and whether both
    digits are in the system."""

    left: float
    right: float
    y: float
    whole: bool


def _span(context: MarkContext, pair: LinkPair, first: float, last: float) -> _Span | None:
    """The room of a link between its digits, or to the ends of the system; None where neither of
    them stands in it."""
    start, end = context.place(pair.start, last=True), context.place(pair.end, last=False)
    if start is None and end is None:
        return None
    left, right = first, last
    if start:
        left = start[0] + context.right_edge(pair.start) + 24
    if end:
        right = end[0] - context.left_edge(pair.end) - 24
    if not start:
        left = max(left, right - 500)
    return _Span(left, right, (start or end or (0.0, 0.0))[1], bool(start and end))


def _lettered_arc(
    context: MarkContext, layer: etree._Element, pair: LinkPair, span: _Span, said: bool
) -> None:
    """An arc and its letter, which the strings of a chord have once, over the highest (common
    practice, no source)."""
    if span.whole and _TOUCHING <= span.right - span.left < _NARROW:
        # Into the air beside the digits; the letter stands over them.
        more = min(_NARROW - (span.right - span.left), 2 * _SQUEEZE) / 2
        box = _arc(layer, span.left - more, span.right + more, span.y, "arc")
    elif span.whole and span.right - span.left < _TOUCHING:
        # Digits that nearly touch: a lower arc over their inner edges.
        middle = (span.left + span.right) / 2
        reach = max(40.0, (span.right - span.left) / 2 + 44)
        tied = context.right_edge(pair.start) > half_width(context.note(pair.start))
        bracketed = tied or any(
            digits(context.note(at), False).startswith(("(", "[")) for at in (pair.start, pair.end)
        )
        lift = _BRACKET_LIFT if bracketed else _HIGH_LIFT
        box = _arc(layer, middle - reach, middle + reach, span.y, "arc", lift, _LOW_RISE)
    else:
        box = _arc(layer, span.left, max(span.right, span.left + 60), span.y, "arc")
    context.taken.add(box)
    if (letter := LINKS[pair.kind].letter) and not said:
        _letter(context, layer, letter, box, span.y)


def letter_over(
    context: MarkContext,
    layer: etree._Element,
    row: Technique,
    at: tuple[float, float],
    half: float,
) -> None:
    """The letter of a technique over the digit that has it, if it has one."""
    if row.letter:
        x, y = at
        tall = CAP_HEIGHT / 2 * DIGIT_SIZE
        tab = context.system.tab
        more = _OVER_FIGURE if tab is not None and y <= tab.heights[0] else 0.0
        ground = Box(x - half, y - tall - _OVER_ARC - more, x + half, y + tall)
        _letter(context, layer, row.letter, ground, y)


def _letter(
    context: MarkContext, layer: etree._Element, letter: str, arc: Box, line: float
) -> None:
    """The letter over the middle of its arc, or as near to it as nothing else stands; under the
    line where all of that ground is taken."""
    drawn = (context.taken, context.system.drawn)
    # Clear of the bar lines too, where that can be.
    clear = (*drawn, context.bar_lines())
    tab = context.system.tab
    # Between two lines it is smaller, so that it touches neither.
    highest = tab is None or line <= tab.heights[0]
    largest = _LETTER_SIZES[not highest]
    for size, air, obstacles in (
        (largest, 12.0, clear),
        (largest, 12.0, drawn),
        (_LETTER_SIZES[1], 12.0, drawn),
        (_LETTER_SIZES[1], 0.0, (context.taken,)),
        (_LETTER_SIZES[1], 0.0, (context.figures,)),
    ):
        for x, base in _places(letter, arc, size, line, highest):
            if all(o.free(text_box(letter, x, base, size), air) for o in obstacles):
                _set_letter(context, layer, letter, x, base, size)
                return
    x, base = next(_places(letter, arc, size, line, highest))
    _set_letter(context, layer, letter, x, base, size)


def _set_letter(
    context: MarkContext, layer: etree._Element, letter: str, x: float, base: float, size: float
) -> None:
    """Set a letter that is as tall as a capital of a size."""
    tall = size * _SMALL_LETTER if letter.islower() else size
    text(layer, letter, x, base, tall, class_="link")
    context.taken.add(text_box(letter, x, base, size))


def _places(
    letter: str, arc: Box, size: float, line: float, highest: bool
) -> Iterator[tuple[float, float]]:
    """Where a letter may stand, the best place first: over the middle of its arc or near it, or
    under it where it would stand on the line over that, if it is not on the ``highest``."""
    middle = (arc.left + arc.right) / 2
    reach = max(0.0, (arc.right - arc.left) / 2 - text_width(letter, size) / 2)
    near = int(reach + _BESIDE)
    steps = [0.0] + [side * d for d in range(40, near + 1, 40) for side in (1, -1)]
    over = min(arc.top - _OVER_ARC, line - _OVER_DIGITS)
    # Between digits that nearly touch, and under a digit, it stands under them.
    narrow = line - arc.bottom > _HIGHEST or arc.bottom > line
    under, low = (line + gap + CAP_HEIGHT * size for gap in (_UNDER, _UNDER_DIGITS))
    if narrow:
        under = low
    crosses = not highest and over - CAP_HEIGHT * size < line - _SPACE + _OVER_ARC / 2
    for base in (under, over, low) if crosses else (over, under, low):
        for step in steps:
            yield middle + step, base


def _slide(
    context: MarkContext, layer: etree._Element, pair: LinkPair, span: _Span, _said: bool
) -> None:
    left, right, y, _ = span
    start, end = context.note(pair.start), context.note(pair.end)
    tilt = 62.0 if (end.fret or 0) >= (start.fret or 0) else -62.0
    left, right = left + 10, right - 10
    if right - left < 60:
        # Digits that nearly touch: a steep line in what room there is, clear of both.
        middle = (left + right) / 2
        half = max(8.0, min(30.0, (right - left) / 2 + _SLIDE_SQUEEZE))
        left, right = middle - half, middle + half
    path(
        layer,
        f"M{number(left)} {number(y + tilt)} L{number(right)} {number(y - tilt)}",
        20.0,
        class_="slide",
    )
    context.taken.add(Box(left, y - 62, right, y + 62))


def short_slides(context: MarkContext) -> Iterator[tuple[float, float, float]]:
    """From where to where the line of a string is left out for a slide, and its height: a short
    slide with a stub of that line across it reads as a dash struck through."""
    for pair in context.links:
        start, end = context.place(pair.start, last=True), context.place(pair.end, last=False)
        if DRAWINGS[LINKS[pair.kind].drawing] is not _slide or start is None or end is None:
            continue
        left = start[0] + context.right_edge(pair.start)
        right = end[0] - context.left_edge(pair.end)
        if right - left < _SHORT_SLIDE:
            yield left, right, start[1]


DrawLink = Callable[[MarkContext, etree._Element, LinkPair, _Span, bool], None]
# The drawings of links, by the names that the table of techniques has for them; the last argument
# is True where the same is said of a higher string of the chord.
DRAWINGS: dict[str, DrawLink] = {"arc": _lettered_arc, "line": _slide}


def open_arc(layer: etree._Element, left: float, y: float) -> Box:
    """Draw a short arc that leads to nothing: the note rings on. Returns its ground."""
    return _arc(layer, left, left + _OPEN, y, "ring")


def draw_ties(context: MarkContext, layer: etree._Element) -> None:
    """An arc from each digit to its tied repetition in the same event."""
    for notated in context.notated:
        ends = {(s.event_index, s.voice, s.part): s for s in notated.symbols}
        for symbol in notated.symbols:
            following = ends.get((symbol.event_index, symbol.voice, symbol.part + 1))
            if following is None:
                continue
            for head in symbol.heads:
                a = context.system.places.get(tab_id(notated, symbol, head.note))
                b = context.system.places.get(tab_id(notated, following, head.note))
                if a is None or b is None or context.system.tab is None:
                    continue
                left = a[0] + half_width(head.note, head.tie_from) + 24
                bent = [h for h in symbol.heads if h.note.bend is not None]
                if bent and symbol.part == 0 and not held_as_one(notated, symbol):
                    # Past the arrows that rise from this string and from those under it.
                    under = [h for h in bent if h.note.string >= head.note.string]
                    alike = len({h.note.bend for h in bent}) < len(bent)
                    left += (BENT_ALIKE if alike else BEND_WIDE) if under else 0.0
                right = b[0] - half_width(head.note, True) - 10
                # Where there is no room the parentheses alone say that the note is held.
                if right - left >= _LEAST:
                    context.taken.add(_arc(layer, left, right, a[1], "tie"))
