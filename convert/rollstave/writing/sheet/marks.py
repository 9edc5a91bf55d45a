"""What a tab needs and Verovio does not draw: letters, links between digits, signs on digits.

``MARKS`` is the table: each entry draws one kind of mark on one system. Lengths are in units of
the engraving; a staff space is 180 of them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from lxml import etree

from rollstave.grid.model import Link, SlideEdge
from rollstave.score.links import LinkPair, NoteAddress
from rollstave.score.model import Note, Score
from rollstave.score.notation import NotatedMeasure, Symbol
from rollstave.writing.mei import TAB_PREFIX, note_id
from rollstave.writing.sheet.drawing import number, path, shape, text
from rollstave.writing.sheet.engraving import SVG, System

LETTER_SIZE = 300.0
LETTER_DROP = 560.0  # from the bottom line of the tab to the base line of the letters
_SIGN_SIZE = 230.0
_DIGIT_SIZE = 324.0
_DIGIT_WIDTH = 0.5 * _DIGIT_SIZE


@dataclass
class MarkContext:
    """What the marks of one system are drawn from."""

    score: Score
    system: System
    notated: list[NotatedMeasure]
    links: list[LinkPair]
    last_part: dict[tuple[int, int], int]

    def place(self, address: NoteAddress, last: bool) -> tuple[float, float] | None:
        """The middle of a tab digit: of the first or the last tied part of its event."""
        part = self.last_part.get((address.measure, address.event), 0) if last else 0
        return self.system.places.get(
            note_id(TAB_PREFIX, address.measure, address.event, part, address.string)
        )

    def note(self, address: NoteAddress) -> Note:
        event = self.score.measures[address.measure].events[address.event]
        return next(n for n in event.notes if n.string == address.string)


def _letters(context: MarkContext, layer: etree._Element) -> None:
    """Picking letters on one line under the tab, inferred ones in italics and lighter."""
    system = context.system
    base = system.tab.heights[-1] + LETTER_DROP
    drawn = False
    for notated in context.notated:
        for symbol in notated.symbols:
            fingers = [h.note for h in symbol.heads if h.note.finger and symbol.part == 0]
            if not fingers:
                continue
            at = system.places.get(_tab_id(notated, symbol, symbol.heads[0].note))
            if at is None:
                continue
            # One letter under a brush; a pinch has its letters one under the other, thumb last.
            names = list(dict.fromkeys(n.finger.value for n in fingers if n.finger))
            inferred = all(n.inferred_finger for n in fingers)
            for row, name in enumerate(names):
                text(
                    layer,
                    name,
                    at[0],
                    base + row * LETTER_SIZE,
                    LETTER_SIZE,
                    class_="finger inferred" if inferred else "finger",
                    font_style="italic" if inferred else None,
                    fill="#555" if inferred else None,
                )
                system.bottom = max(system.bottom, base + row * LETTER_SIZE + 60)
            drawn = True
    if drawn:
        system.bottom = max(system.bottom, base + 60)


def _tab_id(notated: NotatedMeasure, symbol: Symbol, note: Note) -> str:
    return note_id(TAB_PREFIX, notated.measure.index, symbol.event_index, symbol.part, note.string)


def _half_width(note: Note) -> float:
    """Half the width of a digit with its brackets, with a little air."""
    characters = len(_digits(note, False))
    return characters * _DIGIT_WIDTH / 2 + 40


def _digits(note: Note, tied: bool) -> str:
    """What stands on the line for a note: the fret with its sign; a tied one in parentheses."""
    shown = "x" if note.muted else str(note.fret if note.fret is not None else 0)
    if note.harmonic:
        return f"‹{shown}›"
    return f"({shown})" if note.ghost or tied else shown


def _signs(context: MarkContext, layer: etree._Element) -> None:
    """Digits that are more than a number: x, parentheses, harmonics; bends and vibrato."""
    for notated in context.notated:
        for symbol in notated.symbols:
            for head in symbol.heads:
                name = _tab_id(notated, symbol, head.note)
                element = context.system.texts.get(name)
                at = context.system.places.get(name)
                if element is None or at is None:
                    continue
                shown = _digits(head.note, head.tie_from)
                span = element.find(f"{{{SVG}}}tspan")
                if span is not None and span.text != shown:
                    span.text = shown
                if symbol.part == 0:
                    _ornament(layer, head.note, at, context.system)


def _ornament(layer: etree._Element, note: Note, at: tuple[float, float], system: System) -> None:
    x, y = at
    half = _half_width(note)
    if note.bend is not None:
        rise = y - 330
        path(
            layer,
            f"M{number(x + half)} {number(y - 40)} Q{number(x + half + 150)} {number(y - 40)} "
            f"{number(x + half + 150)} {number(rise)}",
            class_="bend",
        )
        path(
            layer,
            f"M{number(x + half + 95)} {number(rise + 80)} L{number(x + half + 150)} "
            f"{number(rise - 10)} L{number(x + half + 205)} {number(rise + 80)}",
            class_="bend",
        )
    if note.vibrato:
        start = x + half
        waves = "".join(" q25 -55 50 0 q25 55 50 0" for _ in range(3))
        path(layer, f"M{number(start)} {number(y - 60)}{waves}", class_="vibrato")
    for edge, side in ((note.slide_from, -1), (note.slide_to, 1)):
        if edge is not None:
            rising = 1 if edge is SlideEdge.UP else -1
            near, far = x + side * half, x + side * (half + 190)
            tilt = 70 * rising * side
            path(
                layer,
                f"M{number(near)} {number(y + (tilt if side < 0 else -tilt) * 0)} "
                f"L{number(far)} {number(y - tilt)}",
                class_="slide",
            )


def _links(context: MarkContext, layer: etree._Element) -> None:
    """Hammer-ons and pull-offs as flat arcs with a letter; slides as lines between digits."""
    for pair in context.links:
        start, end = context.place(pair.start, last=True), context.place(pair.end, last=False)
        if start is None and end is None:
            continue
        system = context.system
        y = (start or end or (0.0, 0.0))[1]
        # A link over the end of a system is drawn in two halves.
        left = start[0] if start else system.tab.left + 700
        right = end[0] if end else system.tab.right - 60
        from_half = _half_width(context.note(pair.start)) if start else 0.0
        to_half = _half_width(context.note(pair.end)) if end else 0.0
        if pair.kind is Link.SLIDE:
            _slide(context, layer, pair, (left + from_half, right - to_half, y))
        else:
            _arc(layer, pair.kind, left, right, y)


def _slide(
    context: MarkContext, layer: etree._Element, pair: LinkPair, span: tuple[float, float, float]
) -> None:
    left, right, y = span
    start, end = context.note(pair.start), context.note(pair.end)
    rising = (end.fret or 0) >= (start.fret or 0)
    tilt = 60.0 if rising else -60.0
    if right - left < 90:
        middle = (left + right) / 2
        left, right = middle - 45, middle + 45
    path(
        layer,
        f"M{number(left)} {number(y + tilt)} L{number(right)} {number(y - tilt)}",
        class_="slide",
    )


_ARC_LETTERS = {Link.HAMMER_ON: "H", Link.PULL_OFF: "P", Link.TAP: "T", Link.TIE: ""}


def _arc(layer: etree._Element, kind: Link, left: float, right: float, y: float) -> None:
    """A flat arc over two digits, its ends above them, and its letter on top."""
    top = y - 0.42 * _DIGIT_SIZE
    rise = 95.0
    inner = rise - 28
    third = (right - left) / 4
    shape(
        layer,
        "path",
        class_="arc",
        fill="currentColor",
        stroke="currentColor",
        stroke_width=8.0,
        d=(
            f"M{number(left)} {number(top)} C{number(left + third)} {number(top - rise)} "
            f"{number(right - third)} {number(top - rise)} {number(right)} {number(top)} "
            f"C{number(right - third)} {number(top - inner)} {number(left + third)} "
            f"{number(top - inner)} {number(left)} {number(top)} Z"
        ),
    )
    if letter := _ARC_LETTERS[kind]:
        text(layer, letter, (left + right) / 2, top - rise - 5, _SIGN_SIZE, class_="link")


def _brushes(context: MarkContext, layer: etree._Element) -> None:
    """A brush: an arrow beside the digits, from the lowest line struck to the highest."""
    for notated in context.notated:
        for symbol in notated.symbols:
            event = notated.measure.events[symbol.event_index]
            if not event.brush or symbol.part or not symbol.heads:
                continue
            places = [
                context.system.places.get(_tab_id(notated, symbol, h.note)) for h in symbol.heads
            ]
            found = [p for p in places if p is not None]
            if not found:
                continue
            x = found[0][0] - _DIGIT_WIDTH - 75
            low, high = max(p[1] for p in found) + 60, min(p[1] for p in found) - 60
            path(
                layer,
                f"M{number(x)} {number(low)} L{number(x)} {number(high)}",
                20.0,
                class_="brush",
            )
            path(
                layer,
                f"M{number(x - 45)} {number(high + 75)} L{number(x)} {number(high)} "
                f"L{number(x + 45)} {number(high + 75)}",
                20.0,
                class_="brush",
            )


Mark = Callable[[MarkContext, etree._Element], None]
MARKS: tuple[tuple[str, Mark], ...] = (
    ("signs", _signs),
    ("links", _links),
    ("brushes", _brushes),
    ("letters", _letters),
)


def draw_marks(context: MarkContext) -> None:
    """Draw every kind of mark onto one system, each kind in a layer of its own."""
    for name, mark in MARKS:
        layer = shape(context.system.element, "g", class_=f"marks {name}")
        mark(context, layer)
        if len(layer) == 0:
            context.system.element.remove(layer)
