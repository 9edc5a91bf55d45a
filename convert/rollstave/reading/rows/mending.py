"""Blocks whose rows are too many or too few: one habit a function."""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec.structs import replace

from rollstave.instruments.instrument import Instrument
from rollstave.patterns import rare
from rollstave.reading.rows.records import Row, without_octave
from rollstave.reading.state import ReadingState
from rollstave.vocabulary import problems as kinds

_LONGEST_SIGN = 9  # characters of a bracket over a triplet


def wrapped(state: ReadingState, rows: Sequence[Row]) -> list[Row] | None:
    """Put rows together from segments, if every second line is the short end of the line before.

    The sign of it: the lines before are all as long, reach no bar at their ends, and the short
    ones have no labels and end with a bar.
    """
    strings = state.instrument.strings
    if len(rows) < 2 * strings or len(rows) % (2 * strings):
        return None
    longs, shorts = rows[0::2], rows[1::2]
    lengths = {len(row.line.text) for row in longs}
    if len(lengths) > 1 or any(row.body.rstrip().endswith("|") for row in longs):
        return None
    if any(row.label for row in shorts) or not all(
        row.label or row.body[0] == "|" for row in longs
    ):
        return None
    if not all(row.body.rstrip().endswith("|") for row in shorts):
        return None
    if max(len(row.line.text) for row in shorts) >= min(lengths):
        return None
    state.problems.add(
        kinds.WRAPPED,
        "each row of this system goes on in the line after it, as mail programs wrap long "
        "lines; the pieces are put together",
        rows[0].line.place(rows[0].start),
    )
    return [_joined(a, b) for a, b in zip(longs, shorts, strict=True)]


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
    known = state.labels
    for labels in [known] if known else _labels_of_tunings(state.instrument):
        # Without a system to compare, an outer row may as well be lost as left out.
        outer = known or (rows[0].label, rows[-1].label) == (labels[0], labels[-1])
        if outer and (filled := _filled(state, rows, labels)) is not None:
            return filled
    return None


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
        while at < strings and row.string_label != without_octave(known[at]):
            at += 1
        if at == strings:
            return None
        where.append(at)
        at += 1
    by_string = dict(zip(where, rows, strict=True))
    missing = [s for s in range(strings) if s not in by_string]
    first = rows[0]
    names = ", ".join(f"{known[s]} (string {s + 1})" for s in missing)
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
