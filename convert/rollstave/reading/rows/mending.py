"""Blocks whose rows are too many or too few: one habit a function."""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec.structs import replace

from rollstave.instruments.instrument import Instrument
from rollstave.patterns import rare
from rollstave.reading.rows.bars import with_numbers
from rollstave.reading.rows.fills import bars_in
from rollstave.reading.rows.records import Row, without_octave
from rollstave.reading.state import ReadingState
from rollstave.vocabulary import problems as kinds

_PIECES = (2, 3, 4)  # lines that a row may have been cut into
_LONG = 60  # characters of a line that a mail program may have cut
_END = re.compile(r"\s{0,8}[-|:\d]{0,7}[-|]\s*")
_LONGEST_SIGN = 9  # characters of a bracket over a triplet


def wrapped(state: ReadingState, rows: Sequence[Row]) -> list[Row] | None:
    """Put rows together from the pieces that a mail program cut them into.

    The sign of it: the lines before the last piece are all as long, only the first has a label,
    and the bars of the whole rows stand under one another, those of the pieces do not.
    """
    strings = state.instrument.strings
    for pieces in _PIECES:
        if len(rows) % (pieces * strings) or len(rows) < pieces * strings:
            continue
        whole = _put_together(rows, pieces)
        if whole is None or not _in_step(whole, strings) or _in_step(rows, strings):
            continue
        state.problems.add(
            kinds.WRAPPED,
            "each row of this system goes on in the line after it, as mail programs wrap long "
            "lines; the pieces are put together",
            rows[0].line.place(rows[0].start),
        )
        return whole
    return None


def ends_of_wrapped_rows(state: ReadingState) -> None:
    """Take a few dashes under a long row for its end, which a mail program wrapped."""
    rows = state.rows
    for index in range(1, len(rows)):
        above, text = rows[index - 1], state.lines[index].text
        if rows[index] is not None or above is None or len(above.line.text) < _LONG:
            continue
        if _END.fullmatch(text):
            rows[index] = Row(line=state.lines[index], label="", start=0, end=len(text))


def _put_together(rows: Sequence[Row], pieces: int) -> list[Row] | None:
    """The rows, each from so many of those typed, or None if they are no pieces."""
    starts = rows[0::pieces]
    later = [row for index, row in enumerate(rows) if index % pieces]
    full = [row for index, row in enumerate(rows) if (index + 1) % pieces]
    lengths = {len(row.line.text) for row in full}
    indents = {row.start for row in later if not row.line.text[: row.start].strip()}
    if len(lengths) > 1 or any(row.label for row in later) or len(indents) != 1:
        return None
    if any(row.line.text[: row.start].strip() for row in later):
        return None
    if any(row.label for row in starts) and not all(row.label for row in starts):
        return None
    if max(len(row.line.text) for row in rows[pieces - 1 :: pieces]) > max(lengths):
        return None
    whole = []
    for start in range(0, len(rows), pieces):
        row = rows[start + pieces - 1]
        for piece in reversed(rows[start : start + pieces - 1]):
            row = _joined(piece, row)
        whole.append(row)
    return whole


def _in_step(rows: Sequence[Row], strings: int) -> bool:
    """True if each system has its bars in the same columns; a row may be cut short."""
    for start in range(0, len(rows), strings):
        columns = [bars_in(row.line.text) for row in rows[start : start + strings]]
        longest = max(columns, key=len)
        if not longest or any(found != longest[: len(found)] for found in columns):
            return False
        if sum(found == longest for found in columns) < strings - 1:
            return False
    return True


def extra_rows(state: ReadingState, rows: Sequence[Row]) -> list[Row] | None:
    """Leave out lines that look like rows but have no bar where all others have: a count typed
    with dashes, a ruler."""
    strings = state.instrument.strings
    if len(rows) % strings == 0:
        return None
    for kept in (
        [row for row in rows if "|" in row.line.text],
        # The edges of a box drawn around labelled rows.
        [row for row in rows if row.label or row.figures],
        # Signs drawn over a place of labelled rows: |-3-|
        [row for row in rows if row.label or len(row.body.strip()) > _LONGEST_SIGN],
        # Brackets of endings drawn as a row: |-1-------|-2-------|
        [row for row in rows if row.label or not _ends_drawn(row)],
    ):
        if kept and len(kept) < len(rows) and len(kept) % strings == 0:
            return kept
    return None


def rows_left_out(state: ReadingState, rows: Sequence[Row]) -> list[Row] | None:
    """Put empty rows where the labels show that strings are left out."""
    if len(rows) % state.instrument.strings == 0:
        return None
    numbered = with_numbers(rows) if len(rows) < state.instrument.strings else None
    if numbered and (numbers := _numbers(numbered, state.instrument.strings)):
        return _filled(state, numbered, numbers)
    known = state.labels
    for labels in [known] if known else _labels_of_tunings(state.instrument):
        # Without a system to compare, an outer row may as well be lost as left out.
        outer = known or (rows[0].label, rows[-1].label) == (labels[0], labels[-1])
        if outer and (filled := _filled(state, rows, labels)) is not None:
            return filled
    return None


def _numbers(rows: Sequence[Row], strings: int) -> tuple[str, ...]:
    """The numbers of all strings where each row begins with that of its own, in order; else
    nothing."""
    found = [row.label for row in rows]
    known = tuple(str(number) for number in range(1, strings + 1))
    if not all(label in known for label in found) or len(set(found)) < len(found):
        return ()
    return next((k for k in (known, known[::-1]) if found == [n for n in k if n in found]), ())


_FRET_ALONE = rare(r"\d{1,2}|[oOxX]")


def fret_behind_the_last_bar(state: ReadingState, rows: Sequence[Row]) -> list[Row] | None:
    """Take what stands alone behind the last bar of a row for a fret, not for words: the other
    rows have a measure there that no bar closes."""
    bars = {row.body.count("|") for row in rows}
    open_rows = [row for row in rows if not row.body.rstrip().endswith(("|", ":", "*"))]
    if len(bars) != 1 or not open_rows or len(open_rows) == len(rows):
        return None
    changed = list(rows)
    for index, row in enumerate(rows):
        text = row.line.text.rstrip()
        if row not in open_rows and _FRET_ALONE.fullmatch(text, row.end):
            changed[index] = replace(row, end=len(text))
    return changed if changed != list(rows) else None


def _joined(first: Row, second: Row) -> Row:
    text = first.line.text
    segment = second.line.without(0, second.start)
    line = replace(first.line, text=text + segment.text, continued=segment, break_at=len(text))
    return Row(
        line=line, label=first.label, start=first.start, end=len(text) + second.end - second.start
    )


_ENDING_DRAWN = rare(r"[|\[]\s?-?(\d)[-_. ]{3,}(?=[|\]]|$)")


def _ends_drawn(row: Row) -> bool:
    """True for a row that has nothing but 1, 2 and so on right after its bars."""
    numbers = _ENDING_DRAWN.findall(row.body)
    in_turn = numbers == [str(n + 1) for n in range(len(numbers))]
    return bool(numbers) and in_turn and numbers == row.figures


def _labels_of_tunings(instrument: Instrument) -> list[tuple[str, ...]]:
    """What the rows of each tuning are called, string 1 first and a short string in small."""
    short = instrument.short_string
    return [
        tuple(
            pitch.letter[0].lower() + pitch.letter[1:]
            if short and short.string == number
            else pitch.letter
            for number, pitch in enumerate(tuning.pitches, start=1)
        )
        for tuning in instrument.tunings
    ]


def _filled(state: ReadingState, rows: Sequence[Row], known: Sequence[str]) -> list[Row] | None:
    """The rows of a system whose labels are ``known`` with empty ones where one has no row."""
    strings = state.instrument.strings
    if len(known) != strings or len(rows) >= strings or not all(row.label for row in rows):
        return None
    where: list[int] = []
    at = 0
    for row in rows:
        while at < strings and row.label != known[at]:
            if row.string_label and row.string_label == without_octave(known[at]):
                break
            at += 1
        if at == strings:
            return None
        where.append(at)
        at += 1
    by_string = dict(zip(where, rows, strict=True))
    missing = [s for s in range(strings) if s not in by_string]
    first = rows[0]
    numbers = all(label.isdecimal() for label in known)
    names = ", ".join(
        f"string {known[s]}" if numbers else f"{known[s]} (string {s + 1})" for s in missing
    )
    state.problems.add(
        kinds.ROW_LEFT_OUT,
        f"this system has no row for {names}; nothing is played there",
        first.line.place(first.start),
    )
    return [by_string.get(s) or _empty_like(first, known[s]) for s in range(strings)]


def _empty_like(row: Row, label: str) -> Row:
    """A row with the bars of another one and no notes."""
    body = re.sub(r"[^|:]|(?<!\|):(?!\|)", "-", row.body)
    text = row.line.text[: row.start] + body
    return Row(line=row.line.with_text(text), label=label, start=row.start, end=len(text))
