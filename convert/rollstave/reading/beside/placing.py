"""Which measure, and which of its columns, a word over or under a system belongs to."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Collection, Sequence

from msgspec.structs import replace

from rollstave.grid.letters import is_silent
from rollstave.grid.typed import Attachment, Column, GridMeasure, LineKind
from rollstave.problems import Place, ProblemList, Severity
from rollstave.reading.beside.by_measure import beginning, behind_bar, meant_by_measure
from rollstave.reading.beside.hand_lines import brushes, is_arrow, is_brush
from rollstave.reading.beside.in_order import placed_in_order
from rollstave.reading.beside.line_words import Word
from rollstave.reading.beside.slid import slid_by
from rollstave.reading.beside.slurs import SLURS, Typed, slurred
from rollstave.reading.page.decode import Line
from rollstave.reading.rows.cutting import Slot
from rollstave.reading.words.directions import jump_at, stands_before
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.hands import STROKE_LETTERS

# How far from its note a word may stand and still belong to it, in characters.
REACH = {
    LineKind.CHORDS: (2, 2),
    LineKind.COUNTS: (1, 1),
    LineKind.PICKING: (1, 1),
    LineKind.STROKES: (1, 1),
    LineKind.LEFT_HAND: (1, 1),
    LineKind.VOICES: (1, 1),
    LineKind.DURATIONS: (1, 1),
    LineKind.STEMS: (1, 1),
    LineKind.LYRICS: (2, 3),
    LineKind.HAND: (1, 2),
}
_NEEDS_NOTE = (
    LineKind.PICKING,
    LineKind.STROKES,
    LineKind.LEFT_HAND,
    LineKind.VOICES,
    LineKind.STEMS,
    LineKind.LYRICS,
    LineKind.HAND,
)


def attach_words(
    measures: Sequence[GridMeasure],
    slots: Sequence[Slot],
    words: Sequence[tuple[LineKind, Word, Line]],
    problems: ProblemList,
) -> list[GridMeasure]:
    """The measures of one system with the words over and under it; strays are reported."""
    ends = [slot.cells[0].end for slot in slots]
    found: list[list[Attachment]] = [[] for _ in slots]
    result = list(measures)
    single: list[tuple[Word, Line]] = []
    off = {**_set_off(measures, slots, words), **_slid(measures, slots, words)}
    in_order = placed_in_order(measures, slots, words, off)
    by_measure = _lines_by_measure(result, slots, ends, words)
    for kind, typed, line in words:
        word = replace(typed, start=typed.start + off.get(line.number, 0))
        ordered = in_order.get((line.number, typed.start))
        where = ordered[0] if ordered else slot_at(slots, ends, word.start)
        barred = behind_bar(slots, line.text, typed.start) if kind is LineKind.CHORDS else None
        where = _slot_of(
            kind, result, slots, word=word, line=line, typed=typed, where=where, barred=barred
        )
        place = line.place(typed.start)
        if kind is LineKind.STEMS and _on_a_bar(slots, word.start, where):
            continue
        if where is None:
            problems.add(kinds.STRAY, f"{word.text!r} ({kind.value}) stands over no measure", place)
            continue
        if kind is LineKind.ENDINGS:
            result[where] = replace(result[where], ending=word.text)
            continue
        if kind is LineKind.JUMPS:
            where = _jump_slot(slots, ends, word, where)
            result[where] = jump_at(result[where], word.text) or result[where]
            continue
        position = word.start - slots[where].cells[0].start
        if ordered is not None:
            position, column = _in_order(result[where], position, *ordered[1:])
        elif kind is LineKind.CHORDS and (barred is not None or line.number in by_measure):
            position, column = beginning(result[where], position)
        else:
            column = _column_at(result[where].columns, position, kind)
        if column is None and kind in _NEEDS_NOTE:
            said = STROKE_LETTERS.get(word.text, word.text)
            problems.add(kinds.STRAY, f"{said!r} ({kind.value}) stands under no note", place)
        if kind is LineKind.HAND:
            if column is not None:
                if len(result[where].columns[column].strokes) < _TOGETHER:
                    single.append((word, line))
                result[where] = _by_the_hands(result[where], column, word, place, problems)
            continue
        found[where].append(
            Attachment(kind=kind, text=word.text, position=position, column=column, place=place)
        )
    _report_letters(result, found, problems)
    _report_strokes(words, single, problems)
    return [_with(measure, more) for measure, more in zip(result, found, strict=True)]


def _in_order(
    measure: GridMeasure, position: int, column: int | None, by: int
) -> tuple[int, int | None]:
    """Where a word stands that has its column by its order, or is moved by so much."""
    if column is None:
        return position + by, None
    return measure.columns[column].position, column


def _slot_of(
    kind: LineKind,
    measures: Sequence[GridMeasure],
    slots: Sequence[Slot],
    *,
    word: Word,
    line: Line,
    typed: Word,
    where: int | None,
    barred: int | None,
) -> int | None:
    """The measure that a word belongs to, which stands over or under ``where``: a chord behind a
    bar of its own line is that measure's, and a first ending may head the system."""
    if kind is LineKind.CHORDS and where is not None:
        return _chord_slot(measures, slots, word, where) if barred is None else barred
    if kind is LineKind.ENDINGS and where is None and _heads(slots, line, typed):
        return 0
    if kind is LineKind.ENDINGS and where is not None and where + 1 < len(slots):
        # A number that begins right before a bar is that of the measure behind it.
        return where + 1 if word.start >= slots[where].cells[0].end - _BEFORE_BAR else where
    return where


def _with(measure: GridMeasure, attachments: Sequence[Attachment]) -> GridMeasure:
    if not attachments:
        return measure
    brushed = {a.column for a in attachments if a.kind is LineKind.STROKES and brushes(a.text)}
    columns = measure.columns
    if brushed:
        columns = tuple(
            replace(c, brush=c.brush or (i in brushed and len(c.strokes) >= _TOGETHER))
            for i, c in enumerate(columns)
        )
    silent = {a.position for a in attachments if is_silent(a.text)}
    return replace(
        measure,
        columns=columns,
        attachments=(*measure.attachments, *attachments),
        rests=tuple(sorted({*measure.rests, *silent})) if silent else measure.rests,
    )


_BEFORE_BAR = 2  # columns
# Lines whose every word stands at a note.
_AT_NOTES = (LineKind.PICKING, LineKind.STROKES, LineKind.LEFT_HAND, LineKind.DURATIONS)
_FEWEST_WORDS = 3
_FARTHEST_OFF = 6  # columns that a line with as many letters as picked notes may be off


def _set_off(
    measures: Sequence[GridMeasure],
    slots: Sequence[Slot],
    words: Sequence[tuple[LineKind, Word, Line]],
) -> dict[int, int]:
    """Lines that stand some columns to the left or right of their notes throughout, by number:
    what is to be added to the place of their words."""
    lines: dict[int, tuple[LineKind, list[int]]] = {}
    for kind, word, line in words:
        if kind in _AT_NOTES:
            lines.setdefault(line.number, (kind, []))[1].append(word.start)
    if not lines:
        return {}
    notes: set[int] = set()
    picked: set[int] = set()
    for slot, measure in zip(slots, measures, strict=True):
        start = slot.cells[0].start
        for column in measure.columns:
            notes.update(range(start + column.position, start + column.position + column.width))
            if not column.linked:
                picked.add(start + column.position)
    off = {}
    for number, (kind, starts) in lines.items():
        if len(starts) < _FEWEST_WORDS:
            continue
        by = _off_as_a_whole(starts, picked) if kind is LineKind.PICKING else 0
        if by:
            off[number] = by
        if by or any(start in notes for start in starts):
            continue
        near = [shift for shift in (1, -1) if all(start + shift in notes for start in starts)]
        if len(near) == 1:
            off[number] = near[0]
        elif near:  # evenly spaced: the side on which each note of the line's reach has a word
            off[number] = near[0] if min(notes) > min(starts) else near[1]
    return off


def _slid(
    measures: Sequence[GridMeasure],
    slots: Sequence[Slot],
    words: Sequence[tuple[LineKind, Word, Line]],
) -> dict[int, int]:
    """Lines of counts, and of letters of durations, that slid as a whole, by number: what is to be
    added to the place of their words."""
    lines: dict[int, list[tuple[LineKind, Word]]] = {}
    for kind, word, line in words:
        lines.setdefault(line.number, []).append((kind, word))
    bars = [slot.cells[0].start for slot in slots]
    notes: list[int] = []
    off = {}
    for number, typed in lines.items():
        if {kind for kind, _ in typed} not in ({LineKind.COUNTS}, {LineKind.DURATIONS}):
            continue
        notes = notes or [
            bar + column.position
            for bar, measure in zip(bars, measures, strict=True)
            for column in measure.columns
        ]
        starts = [word.start for _, word in typed]
        ones = [word.start for _, word in typed if word.text == "1"]
        if by := slid_by(starts, notes, ones, bars):
            off[number] = by
    return off


def _off_as_a_whole(starts: Sequence[int], picked: Collection[int]) -> int:
    """How far letters are off that are as many as the picked notes, and that all stand at one if
    they are moved by so much; 0 if they stand at them as they are."""
    if len(starts) != len(picked) or set(starts) == picked:
        return 0
    by = min(picked) - min(starts)
    moved = {start + by for start in starts}
    return by if abs(by) <= _FARTHEST_OFF and moved == picked else 0


def _lines_by_measure(
    measures: Sequence[GridMeasure],
    slots: Sequence[Slot],
    ends: Sequence[int],
    words: Sequence[tuple[LineKind, Word, Line]],
) -> set[int]:
    """The numbers of the lines whose chord names are meant by measure."""
    lines: dict[int, list[tuple[int, int] | None]] = {}
    for kind, word, line in words:
        if kind is LineKind.CHORDS:
            where = slot_at(slots, ends, word.start)
            if where is not None:
                where = _chord_slot(measures, slots, word, where)
            at = None if where is None else (where, word.start - slots[where].cells[0].start)
            lines.setdefault(line.number, []).append(at)
    return {
        number
        for number, names in lines.items()
        if None not in names
        and meant_by_measure(measures, slots, [name for name in names if name is not None])
    }


def _chord_slot(
    measures: Sequence[GridMeasure], slots: Sequence[Slot], word: Word, where: int
) -> int:
    """A chord name right before a bar, behind the last note, is that of the measure after."""
    cell = slots[where].cells[0]
    columns = measures[where].columns
    last = columns[-1].position + columns[-1].width if columns else 0
    late = word.start >= cell.end - 1 and word.start - cell.start >= last
    return where + 1 if late and where + 1 < len(slots) else where


def _report_letters(
    measures: Sequence[GridMeasure],
    found: Sequence[Sequence[Attachment]],
    problems: ProblemList,
) -> None:
    """A duration letter under no note is a rest where every note has a letter too; anywhere else
    it is a stray."""
    for measure, attachments in zip(measures, found, strict=True):
        letters = [a for a in attachments if a.kind is LineKind.DURATIONS]
        if len({a.column for a in letters} - {None}) == len(measure.columns):
            continue
        for letter in letters:
            if letter.column is None:
                problems.add(
                    kinds.STRAY,
                    f"{letter.text!r} ({letter.kind.value}) stands under no note",
                    letter.place,
                )


def _heads(slots: Sequence[Slot], line: Line, word: Word) -> bool:
    """True for an ending alone on its line, to the left of where the labels or the bars begin: it
    heads the system."""
    return word.start < slots[0].cells[0].start and line.text[: word.start].strip() in (
        "",
        "(",
        "[",
    )


def _on_a_bar(slots: Sequence[Slot], index: int, where: int | None) -> bool:
    """True for a stroke that goes on with a bar line of the system."""
    return where is None or not (slots[where].cells[0].start <= index < slots[where].cells[0].end)


def _jump_slot(slots: Sequence[Slot], ends: Sequence[int], word: Word, where: int) -> int:
    """Signs that jumps lead to stand at the beginning of their measure, or just before it; words
    at the end of a measure reach it with their middle."""
    if stands_before(word.text):
        cell = slots[where].cells[0]
        late = word.start > cell.start + 3 * (cell.end - cell.start) // 4
        return where + 1 if late and where + 1 < len(slots) else where
    return min(bisect_right(ends, word.start + len(word.text) // 2), len(slots) - 1)


def _report_strokes(
    words: Sequence[tuple[LineKind, Word, Line]],
    single: Sequence[tuple[Word, Line]],
    problems: ProblemList,
) -> None:
    """Say of a line whose arrows stand mostly at single notes that it is of strokes, and lost."""
    hand = Counter(line.number for kind, _, line in words if kind is LineKind.HAND)
    arrows = [(word, line) for word, line in single if is_arrow(word.text)]
    first = {line.number: (word, line) for word, line in reversed(arrows)}
    lone = Counter(line.number for _, line in arrows)
    for number, (word, line) in first.items():
        if lone[number] >= _FEWEST_WORDS and 2 * lone[number] > hand[number]:
            problems.add(
                kinds.STRUCK_TOGETHER,
                "these signs seem to say which way each single note is struck, which is not kept; "
                "only a brush over several strings is",
                line.place(word.start),
                Severity.WARNING,
            )


_TOGETHER = 2  # strings that a brush or a pinch needs


def _by_the_hands(
    measure: GridMeasure, column: int, word: Word, place: Place, problems: ProblemList
) -> GridMeasure:
    """The measure with a brush or a slur where one is said; a pinch needs only its notes."""
    columns = list(measure.columns)
    if (link := SLURS.get(word.text.lower())) is not None:
        return slurred(measure, column, link, Typed(word.text, place), problems)
    if len(columns[column].strokes) < _TOGETHER:
        problems.add(
            kinds.STRUCK_TOGETHER,
            f"{word.text!r} stands at a single note; nothing is struck together there",
            place,
        )
    elif is_brush(word.text):
        columns[column] = replace(columns[column], brush=True)
    return replace(measure, columns=tuple(columns))


def slot_at(slots: Sequence[Slot], ends: Sequence[int], index: int) -> int | None:
    """The measure over which a character index lies; a bar line belongs to the measure after."""
    number = bisect_right(ends, index)
    if number == len(slots):
        number -= 1
        if number < 0 or index >= ends[number] + 3:
            return None
    return number if index >= slots[number].cells[0].start - 4 else None


def _column_at(columns: Sequence[Column], position: int, kind: LineKind) -> int | None:
    """The column nearest to a position within the reach of that kind of word."""
    before, after = REACH[kind]
    best: tuple[int, int] | None = None
    first = bisect_left(columns, position - after - 6, key=lambda c: c.position)
    for index in range(first, len(columns)):
        column = columns[index]
        left, right = column.position, column.position + column.width - 1
        if left > position + before:
            break
        if left == position:
            return index
        distance = (
            0 if left <= position <= right else min(abs(position - left), abs(position - right))
        )
        near = distance <= (before if position < left else after)
        if near and (best is None or distance < best[0]):
            best = (distance, index)
    if best is None and kind is LineKind.LYRICS and columns and position > columns[-1].position:
        return len(columns) - 1  # sung while the last note is held
    return best[1] if best else None
