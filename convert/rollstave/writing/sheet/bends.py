"""Bends: on the tab an arrow from each digit to above the lines, with its size, those of a chord
side by side; on the staff a curved arrow from the head.

A number on the line of another string would be read as a fret, so the size stands over all lines
(common practice, no source). Lengths are in units.
"""

from __future__ import annotations

from collections.abc import Sequence

from lxml import etree

from rollstave.score.records import Score
from rollstave.score.voices import has_voices
from rollstave.writing.fonts import text_width
from rollstave.writing.note_ids import STAFF_PREFIX, TAB_PREFIX, note_id
from rollstave.writing.sheet.closing_up import STEM
from rollstave.writing.sheet.context import MarkContext
from rollstave.writing.sheet.drawing import number, path, shape, text, text_box
from rollstave.writing.sheet.engraving import STAFF_SPACE
from rollstave.writing.sheet.skyline import Box

# Semitones of a bend as players say it, in whole tones. Common practice, no source.
_SIZES = {1: "½", 2: "full", 3: "1½", 4: "2", 5: "2½", 6: "3"}
_WORDS = 256.0, 236.0  # their size, and where there is little room
BEND_WIDE = 170.0  # of the arrow beside its digit
BEND_NEXT = 140.0  # from the arrow of one string to that of the next below it
_CLOSEST, _BEFORE_NEXT = 95.0, 60.0  # where the next digit is near; between a point and that digit
_OVER_TAB = 300.0  # from the top line of the tab to the point of the arrow, clear of its figures
_LETTER_OVER = 310.0  # and to the upper edge of a letter over an arc
_UNDER_STRING = 70.0  # from the line of a string to the point of a short arrow under it
_UNDER_SIZE = 45.0  # between a point and the size over it
_NEXT_ON_STAFF = 140.0  # from the arrow of one head of the staff to that of the next
_ROW = 190.0  # from one size to the next over it
_LINE = 18.0
_TIP, _HALF_TIP = 75.0, 38.0
_ASIDE = (
    0.0,
    25.0,
    50.0,
    75.0,
    100.0,
    150.0,
    200.0,
    -25.0,
    -50.0,
    -100.0,
    -150.0,
)  # where the size may stand
_CLEAR = 34.0, 6.0  # between a size and what stands there; where there is little room
_HEAD = 120.0  # from the middle of a head to the beginning of its arrow
_REACH, _RISE = 120.0, 1.7 * STAFF_SPACE  # of the arrow on the staff
# Where it may be: to the right of its head, and over what stands there; and how far it rises.
_PLACES = tuple((x, up, _RISE) for up in (0.0, 110.0, 200.0) for x in (0.0, 60.0, 120.0, 180.0))
_OVER_HEAD = -120.0, 130.0, _RISE  # or it begins over the head, where a tie begins beside it
_BETWEEN_TIES = 0.0, -30.0, 175.0  # or it is short, under the tie of the head above


def marks_over(score: Score) -> dict[str, float]:
    """How far what stands over its digits reaches over the top line of the tab, by the ids of the
    digits: bends, the sizes of those of a chord over each other, and the letters of links of the
    first string."""
    found = {}
    voiced = any(has_voices(measure) for measure in score.measures)
    for measure in score.measures:
        for index, event in enumerate(measure.events):
            bent = {note.bend for note in event.notes if note.bend is not None}
            for note in event.notes:
                high = 0.0
                if note.bend is not None:
                    high = _point_over(voiced) + len(bent) * _ROW
                elif note.string == 1 and note.link is not None:
                    high = _LETTER_OVER
                if high:
                    found[note_id(TAB_PREFIX, measure.index, index, 0, note.string)] = high
    return found


def _point_over(voiced: bool) -> float:
    """From the top line of the tab to the point of an arrow: over the stems where they stand over
    the tab, as those of the first of several voices do."""
    return STEM + 70.0 if voiced else _OVER_TAB


def bends_on_tab(
    context: MarkContext,
    layer: etree._Element,
    bent: Sequence[tuple[int, float]],
    x: float,
) -> None:
    """The arrows of all bends of a chord, each from the right edge of the digits at the height of
    its line: ``bent`` has semitones and heights from the highest string down. Where all are of one
    size it stands once, over the highest; the arrows of the strings below that are short, so that
    none runs through the string over it (common practice, no source)."""
    tab = context.system.tab
    assert tab is not None
    over = tab.heights[0] - _point_over(any(n.voices for n in context.notated))
    points: dict[int, list[float]] = {}
    ground = []
    low, high = bent[-1][1], bent[0][1]
    near = [b.left for b in context.taken.boxes if b.left > x and b.top < low and high < b.bottom]
    room = min(near, default=float("inf")) - _BEFORE_NEXT - (x + 110)
    each = max(_CLOSEST, min(BEND_NEXT, room / max(1, len(bent) - 1)))
    alike = len({semitones for semitones, _ in bent}) == 1
    string = tab.heights[1] - tab.heights[0]
    for place, (semitones, y) in enumerate(bent):
        short = alike and place > 0
        right = x + 110 + (0.0 if short else place * each)
        top = y - string + _UNDER_STRING if short else over
        _arrow(layer, x, y - 30, right, top)
        # The point itself is narrow: its size may stand near.
        ground.append(Box(right - _HALF_TIP, top + _TIP / 2, right + _HALF_TIP, y - 30))
        if not short:
            points.setdefault(semitones, []).append(right)
    context.taken.boxes.extend(ground)
    for semitones, rights in points.items():
        _size(context, layer, semitones, sum(rights) / len(rights), over)


def draw_staff_bends(context: MarkContext, layer: etree._Element) -> None:
    """The bends of the staff; with their size where no tab has it."""
    system = context.system
    if system.staff is None:
        return
    drawn: dict[tuple[int, int], Box] = {}  # by measure and event, the arrow drawn last
    said: set[tuple[int, int, int]] = set()  # measure, event, semitones
    for notated, symbol, note, _, _ in context.heads():
        if note.bend is None or symbol.part:
            continue
        measure, event = notated.measure.index, symbol.event_index
        at = system.places.get(note_id(STAFF_PREFIX, measure, event, symbol.part, note.string))
        if at is None:
            continue
        # Beside its head, or past what stands there: a flag, a dot, an accidental.
        x, y = at
        left = x + _HEAD
        for step, up, rise in (*_PLACES[:4], _OVER_HEAD, *_PLACES[4:], _BETWEEN_TIES):
            right = left + step + _REACH + _HALF_TIP
            box = Box(left + step, y - up - rise - 20, right, y - up - 40)
            if system.drawn.free(box):
                break
        else:
            box = Box(left, y - _RISE - 20, left + _REACH + _HALF_TIP, y - 40)
            if other := drawn.get((measure, event)):
                # Beside that of the other head, as on the tab.
                by = _NEXT_ON_STAFF
                box = other._replace(left=other.left + by, right=other.right + by)
        right = box.left + _REACH
        _arrow(layer, box.left, box.bottom, right, box.top)
        system.take(box)
        if system.tab is None and (measure, event, note.bend) not in said:
            _size(context, layer, note.bend, right, box.top)
        drawn[measure, event] = box
        said.add((measure, event, note.bend))


def _arrow(layer: etree._Element, x: float, y: float, right: float, top: float) -> None:
    """A curve that leaves a point to the right and turns up to the point of an arrow."""
    turn = max(top + _TIP, y - 130)
    path(
        layer,
        f"M{number(x)} {number(y)} Q{number(right)} {number(y)} {number(right)} {number(turn)} "
        f"V{number(top + _TIP - 20)}",
        _LINE,
        class_="bend",
    )
    shape(
        layer,
        "path",
        class_="bend",
        fill="currentColor",
        d=f"M{number(right)} {number(top)} l38 75 h-76 Z",
    )


def _size_words(semitones: int) -> str:
    return _SIZES.get(semitones, f"{semitones / 2:g}")


def _size(
    context: MarkContext, layer: etree._Element, semitones: int, x: float, top: float
) -> None:
    """The size of a bend over the point of its arrow, or where that is taken beside it or higher
    up."""
    words = _size_words(semitones)
    everything = (context.taken, context.system.drawn, context.bar_lines())
    sx, sy, size = next(
        (
            (x + step, top - _UNDER_SIZE - rise, size)
            # At last clear of words and digits alone.
            for air, taken in zip(
                (*_CLEAR, 0.0), (everything, everything, everything[:1]), strict=True
            )
            for size in _WORDS
            for rise in (0.0, _ROW, 2 * _ROW, 3 * _ROW)
            for step in _ASIDE
            if all(
                t.free(text_box(words, x + step, top - _UNDER_SIZE - rise, size), air)
                for t in taken
            )
        ),
        (x + text_width(words, _WORDS[-1]) / 2, top - _UNDER_SIZE, _WORDS[-1]),
    )
    box = text(layer, words, sx, sy, size, class_="bend")
    context.taken.add(box)
    context.system.take(box)
