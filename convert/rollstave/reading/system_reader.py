"""Systems with the lines over and under them become grid measures."""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec.structs import replace

from rollstave.grid.typed import FreeText, GridMeasure, LineKind
from rollstave.patterns import rare
from rollstave.reading.beside import attach, line_words, pointing, sung
from rollstave.reading.beside.lines import lines_under, read_among
from rollstave.reading.beside.mixed import words_of
from rollstave.reading.beside.placing import attach_words, slot_at
from rollstave.reading.cells.columns import into_columns
from rollstave.reading.cells.graces import with_graces
from rollstave.reading.cells.lattice import CellsRead, straighten
from rollstave.reading.cells.strokes import CellReader
from rollstave.reading.ledger import Use
from rollstave.reading.page.decode import Line
from rollstave.reading.rows.cutting import Slot, cut
from rollstave.reading.rows.finding import before_label, trailing_text
from rollstave.reading.rows.records import LETTER, Block, Row, System
from rollstave.reading.state import At, ReadingState
from rollstave.reading.words.changes import changed
from rollstave.reading.words.slur_rules import slurs_in
from rollstave.reading.words.taking import note, take_direction, take_margin
from rollstave.vocabulary import problems as kinds

_FRAME = re.compile(rf"[-|:*]+|(?<=\|)[oO•]|[oO•](?=\|)|(?<=\|)\s+{LETTER}\d?\s?(?=\|)")

_BEFORE_BAR = frozenset("=: .")  # what may stand before the first bar of a row without a label


def read_block(state: ReadingState, block: Block) -> int:
    """Read the systems of a block and the lines under it; the index after them."""
    if not block.systems:
        # An error already says what is wrong with these rows.
        for line in state.lines[block.start : block.end]:
            state.ledger.claim_line(line, Use.REPORTED)
        state.over.clear()
        return block.end
    # A row may hold several lines that a mail program wrapped.
    of_rows = {
        number
        for system in block.systems
        for row in system.rows
        for number in range(row.line.number, row.line.last_number + 1)
    }
    for line in state.lines[block.start : block.end]:
        if line.number not in of_rows:
            read_among(state, line)
    end = block.end
    if _spaced(state, block):
        end += 1
    for system in block.systems:
        under = lines_under(state, end) if system is block.systems[-1] else []
        read_system(state, system, under)
        end += len(under)
    return end


def _spaced(state: ReadingState, block: Block) -> bool:
    """True if empty lines stand between the rows of a system, and between them and a line that
    belongs under it."""
    lines = state.lines
    if block.end + 2 >= len(lines) or not lines[block.end].blank or block.end + 1 in state.in_block:
        return False
    between = [line.blank for line in lines[block.start : block.end]]
    if True not in between or not lines[block.end + 2].blank:
        return False
    below = lines[block.end + 1]
    if words_of(below, attach.BELOW) is not None:
        return True
    # Chord names stand under it where the rows of the next system are farther away.
    farther = block.end + 3 >= len(lines) or lines[block.end + 3].blank
    return farther and attach.classify(below, attach.CHORDS) is not None


def read_system(state: ReadingState, system: System, under: Sequence[Line]) -> None:
    """Add the measures of a system to the tune, with the words over and under them."""
    tune, rows = state.tune, system.rows
    if not tune.labels and all(row.label and not row.label.isdigit() for row in rows):
        tune.labels = tuple(row.label for row in rows)
    for row in rows:
        _claim_frame(state, row)
        take_margin(state, row.line, before_label(row.line.text))
    slots = cut(rows, state.problems)
    for habit in state.habits[At.MEASURES]:
        slots = habit.rule(state, slots) or slots
    found = [CellsRead() if _says_again(state, slot) else _cells(state, slot) for slot in slots]
    straighten(found, slots, state.problems)
    measures = [
        _measure(state, slot, cells, len(tune.measures) + i)
        for i, (slot, cells) in enumerate(zip(slots, found, strict=True))
    ]
    measures = _with_parts(state, slots, measures)
    measures, again = _played_again(state, slots, measures)
    remarks = pointing.remarks(under)
    said = {line.number for remark in remarks for line, _, _ in remark.pieces}
    words = [*state.over, *_words_under(state, system, [u for u in under if u.number not in said])]
    state.over.clear()
    for habit in state.habits[At.BESIDE]:
        found = habit.rule(state, words, slots)
        words = words if found is None else found
    attached = attach_words(measures, slots, words, state.problems)
    attached = _in_the_same_time(state, attached, again)
    for habit in state.habits[At.READ]:
        attached = habit.rule(state, attached, slots) or attached
    _claim_drawn(state, attached, [line for kind, _, line in words if kind is LineKind.STEMS])
    ends = [slot.cells[0].end for slot in slots]
    tune.measures.extend(changed(tune, attached, lambda start: slot_at(slots, ends, start)))
    for remark in remarks:
        where = slot_at(slots, ends, remark.start)
        _take_remark(state, remark, None if where is None else measures[where].index)
    tune.typed += len(measures)
    tune.systems += 1
    for row in rows:
        _take_trailing(state, row)


def _with_parts(
    state: ReadingState, slots: Sequence[Slot], measures: Sequence[GridMeasure]
) -> list[GridMeasure]:
    """The measures with the parts that begin at some of them: each at the first that begins no
    farther left than its name, by a label's width."""
    result = list(measures)
    for name, at in state.parts_over:
        starts = [slot.cells[0].start for slot in slots]
        where = next((i for i, start in enumerate(starts) if start >= at), None)
        if where is not None:
            result[where] = replace(result[where], section=name)
    state.parts_over = []
    return result


def _words_under(
    state: ReadingState, system: System, under: Sequence[Line]
) -> list[tuple[LineKind, line_words.Word, Line]]:
    words: list[tuple[LineKind, line_words.Word, Line]] = []
    for line in under:
        slurs = slurs_in(state, line, system.rows)
        typed = [(LineKind.HAND, w) for w in slurs] or words_of(
            line, (*attach.BELOW, *attach.CHORDS)
        )
        if typed is None or _told_already(typed, words):
            typed = [(LineKind.LYRICS, word) for word in sung.lyrics(line)]
        if not any(kind is LineKind.STEMS for kind, _ in typed):
            state.ledger.claim_line(line, Use.WORD)
        words.extend((kind, word, line) for kind, word in typed)
    return words


def _told_already(
    typed: Sequence[tuple[LineKind, line_words.Word]],
    words: Sequence[tuple[LineKind, line_words.Word, Line]],
) -> bool:
    """True for fewer letters of durations than another line under the system has: a lone ``s`` is
    sung."""
    kinds_here = {kind for kind, _ in typed}
    before = sum(kind is LineKind.DURATIONS for kind, _, _ in words)
    return kinds_here == {LineKind.DURATIONS} and len(typed) < before


def _take_remark(state: ReadingState, remark: pointing.Remark, measure: int | None) -> None:
    """Keep a remark under a measure with the measure that it points at."""
    for line, start, end in remark.pieces:
        state.ledger.claim(line, start, end, Use.TEXT)
    line, start, _ = remark.pieces[0]
    state.tune.notes.append(
        FreeText(
            text=remark.text,
            place=line.place(start),
            before_measure=len(state.tune.measures),
            of_measure=measure,
        )
    )


def _take_trailing(state: ReadingState, row: Row) -> None:
    """Take the words to the right of a row."""
    trailing = trailing_text(row)
    if trailing is None:
        return
    start, text = trailing
    front = row.line.text[: row.start].strip(" |:-=.)").casefold()
    if text.casefold() in (row.label.casefold(), front):  # the label once more
        state.ledger.claim(row.line, start, start + len(text), Use.LABEL)
    elif (ending := attach.ending_alone(row.line, start)) and state.tune.measures:
        state.ledger.claim(row.line, start, start + len(text), Use.WORD)
        last = state.tune.measures[-1]
        state.tune.measures[-1] = replace(last, ending=last.ending or ending)
    elif not take_direction(state, row.line, start, text, beside=True):
        note(state, row.line, start, text, beside=True)


def _claim_drawn(
    state: ReadingState, measures: Sequence[GridMeasure], lines: Sequence[Line]
) -> None:
    """Claim lines of stems, or of nothing but the system's bars drawn on."""
    stems = {a.place.line for m in measures for a in m.attached(LineKind.STEMS)} if lines else ()
    for line in {line.number: line for line in lines}.values():
        state.ledger.claim_line(line, Use.WORD if line.number in stems else Use.MUSIC)


def _claim_frame(state: ReadingState, row: Row) -> None:
    """Claim the label, the bars and the empty stretches of a row."""
    state.ledger.claim(row.line, 0, row.start, Use.LABEL)
    front = row.line.text.find("|", row.start)
    if front > row.start and set(row.line.text[row.start : front]) <= _BEFORE_BAR:
        state.ledger.claim(row.line, row.start, front, Use.LABEL)
    for run in _FRAME.finditer(row.line.text, row.start, row.end):
        state.ledger.claim(row.line, run.start(), run.end(), Use.MUSIC)


# The measure before once more: signs and words that stand alone in it.
_SIGN_AGAIN = r"(?:%|\.?/\.|sim(?:ile|\.)?|ditto|same|\"|''|\(?repeat\)?|rep\.)"
_SAYS_AGAIN = rare(_SIGN_AGAIN, re.IGNORECASE)
_AGAIN = rare(rf"[-. ]*{_SIGN_AGAIN}[-. ]*", re.IGNORECASE)
_NOTHING = rare(r"[-. ]*")


def _says_again(state: ReadingState, slot: Slot) -> bool:
    """True for a measure that holds nothing but ``%``: the measure before it once more."""
    signs = [cell for cell in slot.cells if _AGAIN.fullmatch(cell.text)]
    if not signs or "%" in state.signs.meanings:
        return False
    if not all((_AGAIN if c in signs else _NOTHING).fullmatch(c.text) for c in slot.cells):
        return False
    for cell in slot.cells:
        state.ledger.claim(cell.row.line, cell.start, cell.end, Use.MUSIC)
    return True


def _played_again(
    state: ReadingState, slots: Sequence[Slot], measures: Sequence[GridMeasure]
) -> tuple[list[GridMeasure], list[int]]:
    """The measures of a system with the notes of the one before in those that say ``%``, and which
    of them do."""
    result: list[GridMeasure] = []
    again: list[int] = []
    for slot, measure in zip(slots, measures, strict=True):
        sign = next((cell for cell in slot.cells if _AGAIN.fullmatch(cell.text)), None)
        if sign is None or measure.columns:
            result.append(measure)
            continue
        before = result[-1] if result else next(iter(state.tune.measures[-1:]), None)
        if before is None:
            match = _SAYS_AGAIN.search(sign.text)
            assert match is not None
            at = sign.start + match.start()
            state.problems.add(
                kinds.UNREAD,
                f"{match[0]!r} repeats the measure before it, and there is none; it is left out of "
                "the music",
                sign.row.line.place(at),
            )
            result.append(measure)
            continue
        again.append(len(result))
        result.append(
            replace(measure, columns=before.columns, width=before.width, rests=before.rests)
        )
    return result, again


_OF_TIME = (LineKind.COUNTS, LineKind.DURATIONS, LineKind.STEMS)


def _in_the_same_time(
    state: ReadingState, measures: Sequence[GridMeasure], again: Sequence[int]
) -> list[GridMeasure]:
    """The measures with the counts of the one before in those that say ``%``: what is typed beside
    such a sign stands at no notes."""
    result = list(measures)
    for index in again:
        before = result[index - 1] if index else state.tune.measures[-1]
        own = [a for a in result[index].attachments if a.kind not in _OF_TIME]
        time = [a for a in before.attachments if a.kind in _OF_TIME]
        result[index] = replace(result[index], attachments=(*own, *time))
    return result


def _cells(state: ReadingState, slot: Slot) -> CellsRead:
    """What the cells of a measure hold."""
    tune = state.tune
    found = CellsRead()
    cells = CellReader(
        problems=state.problems,
        signs=state.signs,
        digits=state.digits,
        ledger=state.ledger,
        half_frets=bool(state.instrument.half_frets),
    )
    for string, cell in enumerate(slot.cells, start=1):
        earlier = tune.struck.get(string)
        reading = cells.read(cell, string, tune.carried.pop(string, None), earlier)
        if reading.strokes:
            found.by_string[string] = reading.strokes
            tune.struck[string] = reading.rest
        elif earlier is not None:
            tune.struck[string] = earlier + cell.end - cell.start
        if reading.pending is not None:
            tune.carried[string] = reading.pending
        for position, width in reading.sign_widths.items():
            found.sign_widths[string, position] = width
        found.graces += reading.graces.found
        found.rests += reading.rests
    return found


def _measure(state: ReadingState, slot: Slot, cells: CellsRead, index: int) -> GridMeasure:
    tune = state.tune
    section, tune.section = tune.section, None
    top = slot.cells[0]
    columns = into_columns(cells.by_string, cells.sign_widths)
    return GridMeasure(
        index=index,
        system=tune.systems,
        width=slot.width,
        columns=with_graces(columns, cells.graces, state.problems),
        left=slot.left,
        right=slot.right,
        section=section,
        first_line=min(cell.row.line.number for cell in slot.cells),
        last_line=max(cell.row.line.last_number for cell in slot.cells),
        first_column=top.row.line.place(top.start).column,
        rests=tuple(sorted(set(cells.rests))),
    )
