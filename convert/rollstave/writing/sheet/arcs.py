"""Hammer-ons, pull-offs, slides and ties on the tab.

An arc lies between two digits in the strip over their line: it starts and ends beside them, so it
stays under the stems of string 1 and under the line above, and its letter stands over it.
"""

from __future__ import annotations

from lxml import etree

from rollstave.grid.typed import Link
from rollstave.score.links import LinkPair
from rollstave.writing.fonts import CAP_HEIGHT, text_width
from rollstave.writing.sheet.context import MarkContext, digits, half_width, tab_id
from rollstave.writing.sheet.drawing import number, path, shape, text, text_box
from rollstave.writing.sheet.skyline import Box, Skyline

_LETTERS = {Link.HAMMER_ON: "H", Link.PULL_OFF: "P", Link.TAP: "t"}  # T is the thumb
_LETTER_SIZE = 265.0  # as large as fits between an arc and the next line
_LIFT = 36.0  # the ends of an arc over the line of its string
_RISE = 62.0  # its control points over its ends; its top is at three quarters of that

_NARROW = 110.0  # digits nearer than this leave no room for an arc between them
_HIGH_LIFT, _LOW_RISE = 112.0, 44.0  # then it lies over the digits, still under the stems
_BRACKET_LIFT = 186.0  # and over a parenthesis, beside the stems
_BESIDE = 130.0  # how far beside its arc a letter may stand, if the ground over it is taken
_UNDER = 75.0  # under the ends of its arc
_OPEN = 190.0  # the length of an arc to nowhere
_SLIDE_SQUEEZE = 22.0  # how much of its air a slide gives up on either side
_LEAST = 60.0  # the shortest arc of a tie
_HALF_BAR = 20.0  # of a bar line


def _arc(
    layer: etree._Element,
    left: float,
    right: float,
    y: float,
    kind: str,
    lift: float = _LIFT,
    rise: float = _RISE,
) -> Box:
    """A flat arc, thicker in its middle; its ground."""
    top = y - lift
    inner = rise - 24
    part = min(120.0, (right - left) / 4)
    shape(
        layer,
        "path",
        class_=kind,
        fill="currentColor",
        d=(
            f"M{number(left)} {number(top)}C{number(left + part)} {number(top - rise)} "
            f"{number(right - part)} {number(top - rise)} {number(right)} {number(top)}"
            f"C{number(right - part)} {number(top - inner)} {number(left + part)} "
            f"{number(top - inner)} {number(left)} {number(top)}Z"
        ),
    )
    return Box(left, top - 0.75 * rise, right, top)


def draw_links(context: MarkContext, layer: etree._Element) -> None:
    """Arcs with a letter; slides as lines between digits. A link over the end of a system is
    drawn in two halves."""
    tab = context.system.tab
    if tab is None:
        return
    for pair in context.links:
        start, end = context.place(pair.start, last=True), context.place(pair.end, last=False)
        if start is None and end is None:
            continue
        y = (start or end or (0.0, 0.0))[1]
        left, right = tab.left + 650, tab.right - 60
        if start:
            left = start[0] + context.right_edge(pair.start) + 24
        if end:
            right = end[0] - context.left_edge(pair.end) - 24
        if not start:
            left = max(left, right - 500)
        if pair.kind is Link.SLIDE:
            _slide(context, layer, pair, (left, right, y))
            continue
        if right - left < _NARROW and start and end:
            # Digits that nearly touch: a lower arc over their inner edges.
            middle = (left + right) / 2
            reach = max(40.0, (right - left) / 2 + 44)
            tied = context.right_edge(pair.start) > half_width(context.note(pair.start))
            bracketed = tied or any(
                digits(context.note(at), False).startswith("(") for at in (pair.start, pair.end)
            )
            lift = _BRACKET_LIFT if bracketed else _HIGH_LIFT
            box = _arc(layer, middle - reach, middle + reach, y, "arc", lift, _LOW_RISE)
        else:
            box = _arc(layer, left, max(right, left + 60), y, "arc")
        context.taken.add(box)
        if letter := _LETTERS.get(pair.kind):
            _letter(context, layer, letter, box)


def _bar_lines(context: MarkContext) -> Skyline:
    """The bar lines of a system, which run from its first staff through its last."""
    system = context.system
    top, bottom = system.first.heights[0], system.last.heights[-1]
    ends = [right for _, right in system.spans.values()]
    return Skyline([Box(x - _HALF_BAR, top, x + _HALF_BAR, bottom) for x in ends])


def _letter(context: MarkContext, layer: etree._Element, letter: str, arc: Box) -> None:
    """The letter over the middle of its arc, or as near to it as nothing else stands; under the
    line where all of that ground is taken."""
    middle = (arc.left + arc.right) / 2
    reach = max(0.0, (arc.right - arc.left) / 2 - text_width(letter, _LETTER_SIZE) / 2)
    near = int(reach + _BESIDE)
    steps = [0.0] + [side * d for d in range(40, near + 1, 40) for side in (1, -1)]
    over, under = arc.top - 20, arc.bottom + _UNDER + CAP_HEIGHT * _LETTER_SIZE
    drawn = (context.taken, context.system.drawn)
    # Clear of the bar lines too, where that can be.
    x, base = next(
        (
            (middle + step, base)
            for obstacles in ((*drawn, _bar_lines(context)), drawn)
            for base in (over, under)
            for step in steps
            if all(
                o.free(text_box(letter, middle + step, base, _LETTER_SIZE), 12) for o in obstacles
            )
        ),
        (middle, over),
    )
    context.taken.add(text(layer, letter, x, base, _LETTER_SIZE, class_="link"))


def _slide(
    context: MarkContext, layer: etree._Element, pair: LinkPair, span: tuple[float, float, float]
) -> None:
    left, right, y = span
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


def open_arc(layer: etree._Element, left: float, y: float) -> Box:
    """A short arc that leads to nothing: the note rings on. Its ground."""
    return _arc(layer, left, left + _OPEN, y, "ring")


def draw_ties(context: MarkContext, layer: etree._Element) -> None:
    """An arc from each digit to its tied repetition in the same event."""
    for notated in context.notated:
        ends = {(s.event_index, s.part): s for s in notated.symbols}
        for symbol in notated.symbols:
            following = ends.get((symbol.event_index, symbol.part + 1))
            if following is None:
                continue
            for head in symbol.heads:
                a = context.system.places.get(tab_id(notated, symbol, head.note))
                b = context.system.places.get(tab_id(notated, following, head.note))
                if a is None or b is None or context.system.tab is None:
                    continue
                left = a[0] + half_width(head.note, head.tie_from) + 24
                right = b[0] - half_width(head.note, True) - 10
                # Where there is no room the parentheses alone say that the note is held.
                if right - left >= _LEAST:
                    context.taken.add(_arc(layer, left, right, a[1], "tie"))
