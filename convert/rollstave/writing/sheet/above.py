"""What stands over a system: chord names, roll names, endings, section marks, measure numbers.

Each kind is a row of its own, and a row is put as low as everything below it allows. Lengths are
in units.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from lxml import etree

from rollstave.deciding.shape_use import ShapeAt
from rollstave.notating.notation import NotatedMeasure, Symbol
from rollstave.writing.fonts import CAP_HEIGHT, DESCENT, Style, text_width
from rollstave.writing.note_ids import STAFF_PREFIX, TAB_PREFIX, note_id
from rollstave.writing.sheet.context import MarkContext
from rollstave.writing.sheet.drawing import (
    number,
    path,
    shape,
    shortened,
    text,
    text_box,
    with_signs,
)
from rollstave.writing.sheet.engraving import SVG, System
from rollstave.writing.sheet.foot import WORDS_SIZE
from rollstave.writing.sheet.jumps import draw_directions, draw_targets, names_coda
from rollstave.writing.sheet.remarks import (
    SECTION_AIR,
    SECTION_SIZE,
    draw_remarks,
    framed,
    remark_beside,
    wide_as_heading,
)
from rollstave.writing.sheet.shapes_over import draw_shapes_over
from rollstave.writing.sheet.skyline import Box
from rollstave.writing.sheet.tempo import TEMPO_TALL, draw_changes, draw_tempo, tempo_width

CHORD_SIZE = 370.0
_CHORD_GAP = 130.0  # over whatever reaches highest under a chord name
_CHORD_APART = 150.0  # between two names: more than between two words
_CHORD_ASTRAY = 450.0  # how far from its note a name may be pushed: about an eighth note
_CHORD_BEFORE = 130.0  # how far left of its place one may stand that would reach over its bar line
_CHORD_OVER = 30.0  # how far it may reach over that
_OVER_BAR = 6.0  # how much worse more of that is than to stand astray of the note
_MOMENT = Fraction(1, 96)
_CHORD_SHARES = (1.0, 0.9, 0.8, 0.7)
PACE_SIZE, _UNDER_PACE = 350.0, 150.0  # of the tempo in words, and what is left under it
_UNDER_FRAME = 175.0  # what is left under a heading and its frame
_PACE_LEFT, _PACE_GAINS = (150.0, 300.0, 450.0, 600.0), 200.0
_AFTER_PACE = 330.0, 230.0  # how far from it is what stands on its height; at least
_BEFORE_MARK = 160.0  # between the tempo in words and the metronome mark
_OVER_FIGURE = 60.0  # and more over a figure, that a name does not read as part of it
_ASIDE = 40.0, 450.0  # how far beside a name that counts: over a staff, and over a tab
_CHORD_LOW = 190.0  # over the top line at least
_ENDING_SIZE, _ROLL_SIZE, _NUMBER_SIZE = 290.0, 270.0, 256.0
# Of the words that say what a version is: beside the line at the left, and before what comes after.
_LABEL_LEFT, _LABEL_AIR = 70.0, 190.0
_ENDING_DROP = 330.0  # how far an ending's hook hangs down
_ROLL_DROP = 90.0


_TEXT = f"{{{SVG}}}text"


def draw_above(context: MarkContext, layer: etree._Element) -> None:
    """Draw all rows from the lowest to the highest."""
    system = context.system
    if system.staff is None:  # over what stands over the tab
        top = system.first.heights[0]
        for box in [b for b in context.taken.boxes if b.top < top]:
            system.take(box._replace(top=box.top - _OVER_FIGURE))
    for row in _ROWS:
        row(context, layer)


def _x_of(context: MarkContext, notated: NotatedMeasure, onset: Fraction) -> float | None:
    """Where a moment of a measure stands: at its note, else between the notes before and after it
    as its time is; before the first note, there."""
    left, right = context.system.spans[notated.measure.index]
    before: tuple[Fraction, float] | None = None
    after: tuple[Fraction, float] = (notated.measure.length, right)
    for symbol in notated.symbols:
        x = _x_of_symbol(context, notated, symbol)
        if x is None:
            continue
        if symbol.onset == onset:
            return x
        if symbol.onset > onset:
            after = symbol.onset, x
            break
        before = symbol.onset, x
    if before is None:
        return after[1] if after[1] < right else left + (right - left) * _share(onset, notated)
    time = max(after[0] - before[0], _MOMENT)
    return before[1] + (after[1] - before[1]) * float((onset - before[0]) / time)


def _share(onset: Fraction, notated: NotatedMeasure) -> float:
    return float(onset / max(notated.measure.length, Fraction(1)))


def _x_of_symbol(context: MarkContext, notated: NotatedMeasure, symbol: Symbol) -> float | None:
    places = context.system.places
    measure, event, part = notated.measure.index, symbol.event_index, symbol.part
    for head in symbol.heads:
        for prefix in (STAFF_PREFIX, TAB_PREFIX):
            name = note_id(prefix, measure, event, part, head.note.string)
            if name in places:
                return places[name][0]
    return None


class _Name(NamedTuple):
    """A chord name: where it would stand, its words, whether it is a suggestion, and the bar line
    after it."""

    x: float
    words: str
    inferred: bool
    bar: float


def _chords(context: MarkContext, layer: etree._Element) -> None:
    """Chord names on one base line, each starting a little before the note it stands over."""
    system = context.system
    found: list[_Name] = []
    over: list[tuple[float, ShapeAt]] = []
    changes = {(change.measure, change.onset): change for change in context.shapes}
    for notated in context.notated:
        start = notated.measure.index, Fraction(0)
        if start in changes and all(chord.onset for chord in notated.measure.chords):
            x = _x_of(context, notated, start[1])  # the hand moves while a name goes on
            over += [(x, changes[start])] if x is not None else []
        for chord in notated.measure.chords:
            x = _x_of(context, notated, chord.onset)
            change = changes.get((notated.measure.index, chord.onset))
            if x is not None and change is not None:  # the shape has the name over it
                over.append((x, change))
            elif x is not None:
                words = f"{chord.text} ({chord.beside})" if chord.beside else chord.text
                bar = system.spans[notated.measure.index][1]
                found.append(_Name(x - 95, with_signs(words), chord.inferred, bar))
    base = system.first.heights[0] - _CHORD_LOW
    size, lefts = _side_by_side(context, found)
    placed = [(left, n.words, n.inferred) for left, n in zip(lefts, found, strict=True)]
    for left, name, inferred in placed:
        style = Style.ITALIC if inferred else Style.REGULAR
        box = text_box(name, left, 0.0, size, "start", style)
        aside = _ASIDE[system.staff is None]
        ceiling = system.drawn.ceiling(box.left - aside, box.right + aside, base + _CHORD_GAP)
        base = min(base, ceiling - _CHORD_GAP - box.bottom)
    for left, name, inferred in placed:
        box = text(
            layer,
            name,
            left,
            base,
            size,
            "start",
            Style.ITALIC if inferred else Style.REGULAR,
            class_="chord inferred" if inferred else "chord",
        )
        system.take(box)
    draw_shapes_over(context, layer, over)


def _side_by_side(context: MarkContext, names: Sequence[_Name]) -> tuple[float, list[float]]:
    """The size of a system's chord names and their left edges. A name that would reach over the bar
    line after it stands a little farther left if it can; names that touch are pushed to the right;
    where that takes one too far from its note, or over its bar line, all names of the system are
    smaller."""
    first = context.system.first
    tried: list[tuple[float, float, list[float]]] = []
    for share in _CHORD_SHARES:
        size = CHORD_SIZE * share
        lefts: list[float] = []
        edge, astray = first.left, 0.0
        for name in names:
            style = Style.ITALIC if name.inferred else Style.REGULAR
            width = text_width(name.words, size, style)
            wished = max(name.x - _CHORD_BEFORE, min(name.x, name.bar + _CHORD_OVER - width))
            left = min(max(wished, edge), first.right - width)
            edge = left + width + _CHORD_APART * share
            over = left + width - name.bar
            astray = max(astray, abs(left - name.x), over * _OVER_BAR if over > _CHORD_OVER else 0)
            lefts.append(left)
        tried.append((astray, size, lefts))
        if astray <= _CHORD_ASTRAY:
            break
    # Small names that help little are no help.
    astray, size, lefts = tried[-1]
    return (size, lefts) if astray < tried[0][0] / 2 else tried[0][1:]


def _measure_number(context: MarkContext, layer: etree._Element) -> None:
    """The number of a system's first measure, over its clef; not over the tune's first. Over a
    version that stands under another, what it is."""
    system = context.system
    measure = context.notated[0].measure
    if not context.label and (measure.index == 0 or measure.number < 2):
        return
    words, size = context.label or str(measure.number), _NUMBER_SIZE
    kind = "version" if context.label else "measure-number"
    if context.label:
        size = _ROLL_SIZE
        words = shortened(words, system.first.right - _LABEL_AIR, size, Style.ITALIC)
    right = text_width(words, size, Style.ITALIC) + (_LABEL_AIR if context.label else 0.0)
    base = system.drawn.ceiling(0, max(right, 400), system.first.heights[0] - 60) - 60
    left = _LABEL_LEFT if context.label else 0.0
    system.take(text(layer, words, left, base, size, "start", Style.ITALIC, class_=kind))


def _rolls(context: MarkContext, layer: etree._Element) -> None:
    """A bracket over the first use of a roll, with its name."""
    system = context.system
    for use in context.rolls:
        if use.measure not in system.measures:
            continue
        notated = next(n for n in context.notated if n.measure.index == use.measure)
        start, end = _x_of(context, notated, use.start), _x_of(context, notated, use.last)
        if start is None or end is None:
            continue
        left, right = start - 110, end + 110
        width = text_width(use.name, _ROLL_SIZE, Style.ITALIC)
        ceiling = system.drawn.ceiling(
            left, max(right, left + width), system.first.heights[0] - _CHORD_LOW
        )
        line = ceiling - 110 - _ROLL_DROP
        # The name breaks the bracket in its middle, as a tuplet's number does.
        middle = (left + right) / 2
        hole = width / 2 + 70
        path(
            layer,
            f"M{number(left)} {number(line + _ROLL_DROP)}V{number(line)}"
            f"H{number(max(left, middle - hole))}M{number(min(right, middle + hole))} "
            f"{number(line)}H{number(right)}V{number(line + _ROLL_DROP)}",
            14.0,
            class_="roll",
        )
        base = line + CAP_HEIGHT / 2 * _ROLL_SIZE
        box = text(layer, use.name, middle, base, _ROLL_SIZE, style=Style.ITALIC, class_="roll")
        system.take(box)
        system.take(box._replace(left=left, right=right, top=line, bottom=line + _ROLL_DROP))


def _endings(context: MarkContext, layer: etree._Element) -> None:
    """The brackets of endings on one height; an ending that goes on has no right hook."""
    system = context.system
    if not system.endings:
        return
    line = min(
        system.drawn.ceiling(left, right, system.first.heights[0] - _CHORD_LOW)
        for _, _, left, right, _ in system.endings
    )
    line -= 80 + _ENDING_DROP
    for _, words, left, right, closed in system.endings:
        left, right = left + 15, min(right, system.first.right) - 15
        hook = f"M{number(left)} {number(line + _ENDING_DROP)}V{number(line)}H{number(right)}"
        if closed:
            hook += f"V{number(line + _ENDING_DROP)}"
        path(layer, hook, 14.0, class_="ending")
        base = line + 90 + CAP_HEIGHT * _ENDING_SIZE
        box = text(
            layer, words, left + 90, base, _ENDING_SIZE, "start", Style.BOLD, class_="ending"
        )
        system.take(box._replace(left=left, right=right, top=line - 10))


def _remarks(context: MarkContext, layer: etree._Element) -> None:
    """The typist's sentences before measures in the midst of a tune."""
    draw_remarks(context, layer, context.system.first.heights[0] - _CHORD_LOW)


def _pace(context: MarkContext, layer: etree._Element) -> None:
    """The tempo in words, bold over the first time signature, as it was typed, and after it on a
    sheet the metronome mark, which then is not in the head (Gould, Behind Bars, 2011, from
    memory)."""
    system = context.system
    words = dict(context.score.said).get("pace", "")
    if system.time_left is None or context.notated[0].measure.index:
        return
    left = mark = right = system.time_left
    if words:
        words = shortened(words, system.first.right - left, PACE_SIZE, Style.BOLD)
        right = left + text_width(words, PACE_SIZE, Style.BOLD)
        mark = right + _BEFORE_MARK
    tempo, meter = context.score.tempo, context.score.meter
    if tempo is not None and context.options.title_block and not context.label:
        end = mark + tempo_width(tempo, meter)
        system.paced = end <= system.first.right
        right = end if system.paced else right
    if not words and not system.paced:
        return
    lowest = system.first.heights[0] - 150
    ceiling = system.drawn.ceiling(left, right + _AFTER_PACE[1], lowest)
    if words:
        ceiling = min(ceiling, _top_of_chords(layer, ceiling))
    else:  # a little to the left, where it then stands beside a chord name and not over it
        places = ((s, air) for air in _AFTER_PACE for s in _PACE_LEFT)
        lower = (s for s, air in places if _is_lower(system, ceiling, left - s, right - s + air))
        shift = next(lower, 0)
        left, mark, right = left - shift, mark - shift, right - shift
        ceiling = system.drawn.ceiling(left, right + _AFTER_PACE[1], lowest)
    base = ceiling - _UNDER_PACE - DESCENT * PACE_SIZE
    if words:
        system.take(text(layer, words, left, base, PACE_SIZE, "start", Style.BOLD, class_="pace"))
    if tempo is not None and system.paced:
        draw_tempo(shape(layer, "g", class_="tempo"), tempo, meter, mark, base)
        system.take(Box(mark, base - TEMPO_TALL, right, base))


def _is_lower(system: System, ceiling: float, left: float, right: float) -> bool:
    lowest = system.first.heights[0] - 150
    return system.drawn.ceiling(left, right, lowest) > ceiling + _PACE_GAINS


def _top_of_chords(layer: etree._Element, lowest: float) -> float:
    """The upper edge of the row of chord names, or of the tempo over it, if there is one."""
    names = [t for t in layer if t.get("class", "").startswith(("chord", "pace"))]
    names = [t for t in names if t.tag == _TEXT]
    tops = [
        float(t.get("y", 0)) - (CAP_HEIGHT + 0.03) * float(t.get("font-size", 0)) for t in names
    ]
    return min([lowest, *tops])


def _sections(context: MarkContext, layer: etree._Element) -> None:
    """Names of sections: at the left edge where they open a system, else over their measure."""
    system = context.system
    for position, notated in enumerate(context.notated):
        words = notated.measure.section
        if not words or names_coda(notated.measure):
            continue
        left = 0.0 if position == 0 else system.spans[notated.measure.index][0]
        room = system.first.right - left - 2 * SECTION_AIR
        words = shortened(words, room, SECTION_SIZE, Style.BOLD)
        right = left + wide_as_heading(words)
        remark = remark_beside(context, position, left)
        if remark is not None:
            right = remark[0] + text_width(remark[1], WORDS_SIZE)
        ceiling = system.drawn.ceiling(left, right + 60, system.first.heights[0] - 150)
        # On a line of its own, over the chord names.
        base = min(ceiling, _top_of_chords(layer, ceiling)) - _UNDER_FRAME - DESCENT * SECTION_SIZE
        system.take(framed(layer, words, left, base))
        if remark is not None:
            x, said = remark
            system.take(text(layer, said, x, base, WORDS_SIZE, "start", class_="remark"))
            system.said.add(notated.measure.index)


_ROWS = (
    _chords,
    _measure_number,
    draw_changes,
    _rolls,
    draw_targets,
    draw_directions,
    _endings,
    _pace,
    _remarks,
    _sections,
)
