"""One chord shape as a small picture of the neck.

Strings run from 5 on the left to 1 on the right, as the player sees the neck held upright. The
short string starts at its peg. Lengths are in units.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from lxml import etree
from msgspec import Struct

from rollstave.deciding.shapes import NamedShape, suggest_fingers
from rollstave.instruments.instrument import Instrument
from rollstave.writing.fonts import CAP_HEIGHT, Style, text_width
from rollstave.writing.sheet.drawing import number, path, shape, text, with_signs

_STRING_GAP, _FRET_GAP = 180.0, 200.0
_ROWS = 5
_DOT = 72.0
_NAME_SIZE, _SMALL = 360.0, 265.0
_PLACE, PLACE_LINE = 256.0, 280.0  # the words that say where a shape is held; a line of them
_OPEN_ROOM = 150.0  # between the nut and the signs of open and silent strings, with the signs
_OVER = 75.0  # from the end of a string to the middle of its sign
_RING, _CROSS = 44.0, 38.0
_HOLLOW = 20.0  # the line of a dot whose finger comes off
_THUMB = "T"  # of the left hand, on the short string
_STUB = 60.0  # the strings go on under the last fret drawn, the short one from its peg
# How wide numbers of measures may be under a shape, in widths of it: three of two digits in a line
# of a sheet, which makes room for them; the page has its shapes close together.
ON_A_SHEET, ON_A_PAGE = 1.4, 1.0
SIDE = 230.0  # room for a fret number at the right, as much at the left
NAME_HEIGHT = CAP_HEIGHT * _NAME_SIZE + 100
FINGERS = 50 + CAP_HEIGHT * _SMALL  # the height of the row of fingers
HEIGHT = NAME_HEIGHT + _OPEN_ROOM + _ROWS * _FRET_GAP + _STUB + FINGERS


def width_of(instrument: Instrument) -> float:
    """The width that a shape takes: its strings with room for a fret number."""
    return (instrument.strings - 1) * _STRING_GAP + 2 * SIDE


def place_lines(
    numbers: Sequence[str], instrument: Instrument, widest: float = ON_A_SHEET
) -> tuple[str, ...]:
    """``from m. 4``, ``from mm. 1, 15`` in as many lines as fit under a shape, none wider than so
    many of its widths; "mm." stays with the first number, and begins a line of its own where the
    whole is too wide."""
    first = f"{'m.' if len(numbers) == 1 else 'mm.'} {' '.join(numbers[:1])}"
    whole = " ".join(("from", first, *numbers[1:]))
    if len(numbers) == 1 or text_width(whole, _PLACE) <= width_of(instrument):
        return (whole,)
    lines = ["from", first]
    for number_ in numbers[1:]:
        longer = f"{lines[-1]} {number_}"
        if text_width(longer, _PLACE) > widest * width_of(instrument):
            lines.append(number_)
        else:
            lines[-1] = longer
    return tuple(lines)


def name_width(name: str) -> float:
    """The width of a name over a shape, in units, where it is not shrunk."""
    return text_width(with_signs(name), _NAME_SIZE)


def place_width(line: str) -> float:
    """The width of a line under a shape, in units."""
    return text_width(line, _PLACE)


class _Neck(Struct, frozen=True):
    """Where the strings and frets of a shape are: the line of string 1, the nut, the end of the
    strings, and the first fret that is drawn."""

    grid_right: float
    nut: float
    bottom: float
    first: int

    def x_of(self, string: int) -> float:
        return self.grid_right - (string - 1) * _STRING_GAP

    def y_of(self, fret: int) -> float:
        """The fret wire."""
        return self.nut + (fret - self.first + 1) * _FRET_GAP


def draw_diagram(
    parent: etree._Element,
    held: NamedShape,
    instrument: Instrument,
    left: float,
    top: float,
    named: bool = True,
    places: Sequence[str] = (),
    leaving: Collection[int] = (),
    height: float = HEIGHT,
) -> None:
    """Draw a shape with its name; its ground is :func:`width_of` by HEIGHT from the corner
    given, and NAME_HEIGHT of that is the name, which may be left out. The name of a suggested
    shape is in italics; ``places`` are lines in small letters under it that say where the shape is
    held (:func:`place_lines`), each PLACE_LINE more, from ``height`` on. The dots of the strings
    ``leaving`` are hollow: their fingers come off for melody notes (our sign; the key says so)."""
    group = shape(parent, "g", class_="chord-shape")
    strings = instrument.strings
    highest = max((f for f in held.frets if f), default=0)
    first = 1 if highest <= _ROWS else held.lowest
    grid_left = left + SIDE
    grid_right = grid_left + (strings - 1) * _STRING_GAP
    name = with_signs(held.label)
    style = Style.ITALIC if held.suggested else Style.REGULAR
    widest = width_of(instrument)
    size = min(_NAME_SIZE, _NAME_SIZE * widest / max(1.0, text_width(name, _NAME_SIZE, style)))
    base = top + CAP_HEIGHT * _NAME_SIZE
    if named:
        middle = (grid_left + grid_right) / 2
        text(group, name, middle, base, size, style=style, class_="shape-name")
    nut = base + 100 + _OPEN_ROOM
    bottom = nut + _ROWS * _FRET_GAP
    short = instrument.short_string
    neck = _Neck(grid_right=grid_right, nut=nut, bottom=bottom, first=first)
    _draw_neck(group, instrument, neck)
    if first > 1:
        at = neck.y_of(first) - _FRET_GAP / 2 + CAP_HEIGHT * _SMALL / 2
        # Right of the neck: at the left it would read as one number with the short string's ring.
        text(group, str(first), grid_right + 125, at, _SMALL, "start", class_="fret-number")
    # An open string is struck above its own end: the nut, or the peg of the short string.
    ends = dict.fromkeys(range(1, strings + 1), nut)
    if short is not None:
        ends[short.string] = max(nut, neck.y_of(short.peg_fret))
    _fingers(group, held, neck, ends, short.string if short is not None else None, leaving)
    for line, words in enumerate(places, start=1):
        at = top + height + line * PLACE_LINE
        text(group, words, (grid_left + grid_right) / 2, at, _PLACE, class_="shape-place")


def _draw_neck(group: etree._Element, instrument: Instrument, neck: _Neck) -> None:
    """The strings, the short one from its peg, and the wires."""
    strings, short = instrument.strings, instrument.short_string
    for string in range(1, strings + 1):
        start = neck.nut
        if short is not None and string == short.string:
            peg = neck.y_of(short.peg_fret)
            if peg > neck.bottom:
                continue
            if peg >= neck.nut:
                shape(group, "circle", cx=neck.x_of(string), cy=peg, r=26.0, fill="currentColor")
                start = peg
        path(
            group,
            f"M{number(neck.x_of(string))} {number(start)}V{number(neck.bottom + _STUB)}",
            11.0,
        )
    for row in range(_ROWS + 1):
        # Wires reach the short string only where it lies over them.
        fret = neck.first + row - 1
        reaches = short is None or fret > short.peg_fret or (fret == short.peg_fret and row > 0)
        from_x = neck.x_of(strings) if reaches else neck.x_of(strings - 1)
        width = 36.0 if fret == 0 else 11.0
        path(group, f"M{number(from_x)} {number(neck.y_of(fret))}H{number(neck.grid_right)}", width)


def _fingers(
    group: etree._Element,
    held: NamedShape,
    neck: _Neck,
    ends: dict[int, float],
    short: int | None,
    leaving: Collection[int],
) -> None:
    fingering = suggest_fingers(held.frets, short)
    barred: Collection[int] = ()
    if fingering.barre:
        near, far = fingering.barre
        barred = range(near, far + 1)
        _barre(group, neck, held.lowest, near, far, any(n in leaving for n in barred))
    for string, (fret, finger) in enumerate(
        zip(held.frets, fingering.fingers, strict=True), start=1
    ):
        x = neck.x_of(string)
        if fret == 0:
            shape(
                group,
                "circle",
                cx=x,
                cy=ends[string] - _OVER,
                r=_RING,
                fill="none",
                stroke="currentColor",
                stroke_width=12.0,
                class_="open-string",
            )
        elif fret is None and not held.partial:
            y = ends[string] - _OVER
            path(
                group,
                f"M{number(x - _CROSS)} {number(y - _CROSS)}l{number(2 * _CROSS)} "
                f"{number(2 * _CROSS)}m0 {number(-2 * _CROSS)}l{number(-2 * _CROSS)} "
                f"{number(2 * _CROSS)}",
                12.0,
                class_="silent-string",
            )
        elif fret:
            y = neck.y_of(fret) - _FRET_GAP / 2
            if string not in barred or fret != held.lowest:
                dot(group, x, y, hollow=string in leaving)
            at = neck.bottom + _STUB + 45 + CAP_HEIGHT * _SMALL
            text(group, str(finger or _THUMB), x, at, _SMALL, class_="left-finger")


def dot(group: etree._Element, x: float, y: float, hollow: bool = False) -> None:
    """A finger on a string; hollow, the string runs through it."""
    if not hollow:
        shape(group, "circle", cx=x, cy=y, r=_DOT, fill="currentColor")
        return
    shape(
        group,
        "circle",
        cx=x,
        cy=y,
        r=_DOT - _HOLLOW / 2,
        fill="none",
        stroke="currentColor",
        stroke_width=_HOLLOW,
        class_="leaving",
    )


def _barre(
    group: etree._Element, neck: _Neck, fret: int, near: int, far: int, hollow: bool
) -> None:
    """A finger across strings, which comes off as a whole."""
    y, right, left = neck.y_of(fret) - _FRET_GAP / 2, neck.x_of(near), neck.x_of(far)
    if not hollow:
        for x in (left, right):
            dot(group, x, y)
        path(group, f"M{number(right)} {number(y)}H{number(left)}", 2 * _DOT)
        return
    thin = _DOT - _HOLLOW / 2
    bow = f"A{number(thin)} {number(thin)} 0 0 1"
    path(
        group,
        f"M{number(left)} {number(y - thin)}H{number(right)}{bow} {number(right)} "
        f"{number(y + thin)}H{number(left)}{bow} {number(left)} {number(y - thin)}Z",
        _HOLLOW,
        class_="leaving",
    )
