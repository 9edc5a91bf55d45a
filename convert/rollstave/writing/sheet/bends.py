"""Bends: on the tab an arrow from each digit to above the lines, with its size; on the staff a
curved arrow from the head. Notes of a chord that are bent by as much have a bracket at their side
that goes on as an arrow, those that are bent otherwise an arrow each, side by side. A whole chord
that is bent alike and tied on has one arrow straight up over it: a bracket would part its ties
from their notes.

A number on the line of another string would be read as a fret, so the size stands over all lines
(common practice, no source). Lengths are in units.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from lxml import etree

from rollstave.notating.notation import NotatedMeasure, Symbol
from rollstave.score.records import Score
from rollstave.score.voices import has_voices
from rollstave.writing.fonts import text_width
from rollstave.writing.note_ids import STAFF_PREFIX, TAB_PREFIX, note_id
from rollstave.writing.sheet.closing_up import STEM
from rollstave.writing.sheet.context import MarkContext
from rollstave.writing.sheet.drawing import number, path, shape, text, text_box
from rollstave.writing.sheet.engraving import STAFF_SPACE, SVG
from rollstave.writing.sheet.skyline import Box

# Semitones of a bend as players say it, in whole tones. Common practice, no source.
_SIZES = {1: "½", 2: "full", 3: "1½", 4: "2", 5: "2½", 6: "3"}
_WORDS = 256.0, 236.0  # their size, and where there is little room
BEND_WIDE = 170.0  # of the arrow beside its digit
BENT_ALIKE = 112.0  # of the bracket of several
_BEND_NEXT = 140.0  # from the arrow of one string to that of the next below it
_CLOSEST, _BEFORE_NEXT = 95.0, 60.0  # where the next digit is near; between a point and that digit
_OVER_TAB = 300.0  # from the top line of the tab to the point of the arrow, clear of its figures
_LETTER_OVER = 310.0  # and to the upper edge of a letter over an arc
# Of a bracket around bent notes: its hooks, how far it is from its digits, how far it reaches over
# the lines of theirs and over the middles of heads.
_HOOK, _BRACKET_OFF, _HALF_FIGURE, _HALF_HEAD = 42.0, 22.0, 105.0, 60.0
_LEDGER = 85.0  # how much farther off its hooks are from heads with ledger lines, to be past those
_OVER_FIGURE, _OVER_CHORD = 125.0, 110.0  # from the middle of a figure, a head to an arrow over it
_BESIDE_STEM = 75.0  # from the middle of a figure, over which a stem stands, to that arrow
_PAST_TIE = 35.0  # from the bracket to the beginning of a tie of the staff
_UNDER_SIZE = 45.0  # between a point and the size over it
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
_POINT = re.compile(r"(-?[\d.]+)[ ,](-?[\d.]+)")


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


def held_as_one(notated: NotatedMeasure, symbol: Symbol) -> bool:
    """Whether all notes of a chord are bent by as much and tied on in their event."""
    sizes = {head.note.bend for head in symbol.heads}
    return (
        len(symbol.heads) > 1
        and len(sizes) == 1
        and None not in sizes
        and any(
            (s.event_index, s.voice, s.part) == (symbol.event_index, symbol.voice, symbol.part + 1)
            for s in notated.symbols
        )
    )


def bend_over_tab(
    context: MarkContext, layer: etree._Element, semitones: int, at: tuple[float, float]
) -> None:
    """One arrow straight up over the highest figure of a chord, with its size."""
    tab = context.system.tab
    assert tab is not None
    voiced = any(n.voices for n in context.notated)
    over = tab.heights[0] - _point_over(voiced)
    x = at[0] + (_BESIDE_STEM if voiced else 0.0)
    low = at[1] - _OVER_FIGURE
    _straight(layer, x, low, over)
    context.taken.add(Box(x - _HALF_TIP, over + _TIP / 2, x + _HALF_TIP, low))
    _size(context, layer, semitones, x, over)


def bends_on_tab(
    context: MarkContext,
    layer: etree._Element,
    bent: Sequence[tuple[int, float]],
    x: float,
) -> None:
    """The arrows of all bends of a chord, each from the right edge of the digits at the height of
    its line: ``bent`` has semitones and heights from the highest string down. Where all are of one
    size, a bracket holds them together and goes on as the one arrow (common practice, no
    source)."""
    tab = context.system.tab
    assert tab is not None
    over = tab.heights[0] - _point_over(any(n.voices for n in context.notated))
    points: dict[int, list[float]] = {}
    ground = []
    low, high = bent[-1][1], bent[0][1]
    near = [b.left for b in context.taken.boxes if b.left > x and b.top < low and high < b.bottom]
    room = min(near, default=float("inf")) - _BEFORE_NEXT - (x + 110)
    each = max(_CLOSEST, min(_BEND_NEXT, room / max(1, len(bent) - 1)))
    alike = len(bent) > 1 and len({semitones for semitones, _ in bent}) == 1
    if alike:
        x += _HOOK + _BRACKET_OFF
        _bracket(layer, x, high - _HALF_FIGURE, low + _HALF_FIGURE, over)
        ground.append(Box(x - _HOOK, high - _HALF_FIGURE, x, low + _HALF_FIGURE))
        ground.append(Box(x - _HALF_TIP, over + _TIP / 2, x + _HALF_TIP, low))
        points[bent[0][0]] = [x]
        bent = ()
    for place, (semitones, y) in enumerate(bent):
        right = x + 110 + place * each
        _arrow(layer, x, y - 30, right, over)
        # The point itself is narrow: its size may stand near.
        ground.append(Box(right - _HALF_TIP, over + _TIP / 2, right + _HALF_TIP, y - 30))
        points.setdefault(semitones, []).append(right)
    context.taken.boxes.extend(ground)
    for semitones, rights in points.items():
        _size(context, layer, semitones, sum(rights) / len(rights), over)


def draw_staff_bends(context: MarkContext, layer: etree._Element) -> None:
    """The bends of the staff; with their size where no tab has it."""
    system = context.system
    if system.staff is None:
        return
    said: set[tuple[int, int, int]] = set()  # measure, event, semitones
    bent: dict[tuple[int, int, int], list[tuple[float, float]]] = {}
    held: set[tuple[int, int, int]] = set()
    for notated, symbol, note, _, _ in context.heads():
        if note.bend is None or symbol.part:
            continue
        measure, event = notated.measure.index, symbol.event_index
        at = system.places.get(note_id(STAFF_PREFIX, measure, event, symbol.part, note.string))
        if at is not None:
            bent.setdefault((measure, event, note.bend), []).append(at)
            if held_as_one(notated, symbol):
                held.add((measure, event, note.bend))
    for (measure, event, semitones), heads in bent.items():
        high, low = min(y for _, y in heads), max(y for _, y in heads)
        x = max(x for x, _ in heads)
        if (measure, event, semitones) in held:
            right = min(heads, key=lambda at: at[1])[0]
            box = _over_head(context, right, high)
            _straight(layer, right, box.bottom, box.top)
        elif len(heads) > 1:
            lines = system.staff.heights
            on_ledger = high <= lines[0] - STAFF_SPACE + 1 or lines[-1] + STAFF_SPACE - 1 <= low
            right = x + _HEAD + _HOOK + _LEDGER * on_ledger
            box = Box(right - _HOOK, high - _RISE, right + _HALF_TIP, low + _HALF_HEAD)
            _bracket(layer, right, high - _HALF_HEAD, box.bottom, box.top)
            _ties_past(context, x, (high, low), right + _PAST_TIE)
        else:
            box = _beside_head(context, x, high)
            right = box.left + _REACH
            _arrow(layer, box.left, box.bottom, right, box.top)
        system.take(box)
        if system.tab is None and (measure, event, semitones) not in said:
            _size(context, layer, semitones, right, box.top)
        said.add((measure, event, semitones))


def _beside_head(context: MarkContext, x: float, y: float) -> Box:
    """The ground of an arrow beside its head, or past what stands there: a flag, a dot, an
    accidental."""
    left = x + _HEAD
    for step, up, rise in (*_PLACES[:4], _OVER_HEAD, *_PLACES[4:]):
        right = left + step + _REACH + _HALF_TIP
        box = Box(left + step, y - up - rise - 20, right, y - up - 40)
        if context.system.drawn.free(box):
            return box
    return Box(left, y - _RISE - 20, left + _REACH + _HALF_TIP, y - 40)


def _over_head(context: MarkContext, x: float, y: float) -> Box:
    """The ground of an arrow straight up over a head, or over what stands there."""
    boxes = [
        Box(x - _HALF_TIP, y - up - _RISE, x + _HALF_TIP, y - up - _OVER_CHORD)
        for up in (0.0, 60.0, 120.0, 180.0)
    ]
    return next((box for box in boxes if context.system.drawn.free(box)), boxes[0])


def _bracket(layer: etree._Element, x: float, top: float, bottom: float, point: float) -> None:
    """A bracket that opens to the left around notes that are bent alike, and goes on upwards as an
    arrow."""
    left = number(x - _HOOK)
    path(
        layer,
        f"M{left} {number(bottom)}H{number(x)}V{number(point + _TIP - 20)}"
        f"M{left} {number(top)}H{number(x)}",
        _LINE,
        class_="bend",
    )
    _tip(layer, x, point)


def _ties_past(context: MarkContext, x: float, heads: tuple[float, float], left: float) -> None:
    """Let the ties that begin at ``heads``, around ``x``, begin at ``left``."""
    for group in context.system.element.iter(f"{{{SVG}}}g"):
        if group.get("class") != "tie":
            continue
        for curve in group.iterfind(f"{{{SVG}}}path"):
            points = [(float(a), float(b)) for a, b in _POINT.findall(curve.get("d", ""))]
            start, end = min(points), max(points)
            near = heads[0] - STAFF_SPACE < start[1] < heads[1] + STAFF_SPACE
            if near and x < start[0] < left < end[0]:
                share = (end[0] - left) / (end[0] - start[0])
                moved = (f"{end[0] - (end[0] - a) * share:.1f},{b:g}" for a, b in points)
                curve.set("d", _POINT.sub("{}", curve.get("d", "")).format(*moved))


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
    _tip(layer, right, top)


def _straight(layer: etree._Element, x: float, y: float, top: float) -> None:
    """An arrow straight up."""
    path(layer, f"M{number(x)} {number(y)}V{number(top + _TIP - 20)}", _LINE, class_="bend")
    _tip(layer, x, top)


def _tip(layer: etree._Element, x: float, top: float) -> None:
    at = f"M{number(x)} {number(top)} l38 75 h-76 Z"
    shape(layer, "path", class_="bend", fill="currentColor", d=at)


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
