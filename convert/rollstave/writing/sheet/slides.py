"""Slides of the staff: a straight line from head to head, clear of dots and accidentals.

A line between the middles of two heads a step apart would be as good as level, and as a piece of
it hidden by both heads be read as a tenuto sign; so it rises by half a space at least (Gould,
Behind Bars, 2011, from memory: a glissando is seen to rise or fall). Lengths are in units.
"""

from __future__ import annotations

from lxml import etree

from rollstave.score.links import LinkPair, NoteAddress
from rollstave.vocabulary.signs import LINKS
from rollstave.writing.note_ids import STAFF_PREFIX, id_of
from rollstave.writing.sheet.context import MarkContext
from rollstave.writing.sheet.drawing import number, path
from rollstave.writing.sheet.engraving import STAFF_SPACE
from rollstave.writing.sheet.skyline import Box

_HEAD, _GRACE_HEAD = 106.0, 76.0  # half the width of a black head, full size and small (SMuFL 1.4)
_AIR = 26.0  # between a head, a dot or an accidental and the line
_LINE = 22.0
_RISE = 0.5 * STAFF_SPACE  # of the line, at least
_SHORTEST = 110.0  # the line goes into its air, at last up to the heads, before it is shorter
_HALF = 500.0  # of what is drawn before a note that is reached from the system before
_LEVEL = 55.0  # what is so near to the height of a head lies in the way of its line


def draw_staff_slides(context: MarkContext, layer: etree._Element) -> None:
    """The slides between two notes; one that leads over the end of a system has a line in both."""
    staff = context.system.staff
    if staff is None:
        return
    for pair in context.links:
        if LINKS[pair.kind].joins != "gliss":
            continue
        start = context.system.places.get(id_of(STAFF_PREFIX, pair.start, _last(context, pair)))
        end = context.system.places.get(id_of(STAFF_PREFIX, pair.end, 0))
        if start is None and end is None:
            continue
        left = _after(context, pair.start, start) if start else end[0] - _HALF if end else 0.0
        right = _before(context, pair.end, end, left) if end else staff.right - 2 * _AIR
        if right - left < _SHORTEST:
            # As much of the air on both sides as is needed.
            more = min(_AIR - 8.0, (_SHORTEST - (right - left)) / 2)
            left, right = left - more, right + more
        if right - left < 40.0:
            continue
        y1, y2 = _heights(context, pair, start, end, left, right)
        d = f"M{number(left)} {number(y1)} L{number(right)} {number(y2)}"
        path(layer, d, _LINE, class_="gliss")
        context.system.take(Box(left, min(y1, y2), right, max(y1, y2)))


def _last(context: MarkContext, pair: LinkPair) -> int:
    """The last tied part of the note that a slide leaves."""
    at = pair.start
    return context.last_part.get((at.measure, at.event, at.string), 0)


def _half(at: NoteAddress) -> float:
    return _HEAD if at.grace is None else _GRACE_HEAD


def _after(context: MarkContext, at: NoteAddress, head: tuple[float, float]) -> float:
    """Where a line begins: right of its head and of the dots after it."""
    x, y = head
    edge = x + _half(at)
    dots = (
        box.right
        for box in context.system.drawn.boxes
        if edge - 10 < box.left < edge + STAFF_SPACE
        and box.right - box.left < STAFF_SPACE / 2
        and box.bottom - box.top < STAFF_SPACE / 2
        and abs((box.top + box.bottom) / 2 - y) < 2 * _LEVEL
    )
    return max(dots, default=edge) + _AIR


def _before(
    context: MarkContext, at: NoteAddress, head: tuple[float, float], begin: float
) -> float:
    """Where a line that begins there ends: left of its head and of an accidental before it."""
    x, y = head
    edge = x - _half(at)
    signs = (
        box.left
        for box in context.system.drawn.boxes
        if max(edge - 2 * STAFF_SPACE, begin - _AIR) < box.left < edge
        and box.right < edge + 10
        and box.top < y - _LEVEL
        and y + _LEVEL < box.bottom < y + 2 * STAFF_SPACE
        and box.right - box.left > 30
    )
    return min(signs, default=edge) - _AIR


def _heights(
    context: MarkContext,
    pair: LinkPair,
    start: tuple[float, float] | None,
    end: tuple[float, float] | None,
    left: float,
    right: float,
) -> tuple[float, float]:
    """The heights of both ends: on the way from middle to middle, or about the middle between
    them where that would hardly rise."""
    rise = _up(context, pair) * _RISE
    if start is None or end is None:
        y = (start or end or (0.0, 0.0))[1]
        return (y, y - rise) if start else (y + rise, y)
    whole = end[0] - start[0]
    y1 = start[1] + (end[1] - start[1]) * (left - start[0]) / whole
    y2 = start[1] + (end[1] - start[1]) * (right - start[0]) / whole
    if rise and (y1 - y2) * (1 if rise > 0 else -1) < _RISE:
        middle = (y1 + y2) / 2
        return middle + rise / 2, middle - rise / 2
    return y1, y2


def _up(context: MarkContext, pair: LinkPair) -> int:
    """1 for a slide upwards, -1 for one downwards, 0 to the same pitch."""
    first, then = context.note(pair.start).pitch.midi, context.note(pair.end).pitch.midi
    return (then > first) - (then < first)
