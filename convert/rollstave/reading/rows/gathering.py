"""Gathering rows into systems: which rows belong together, and which way up they are.

Each habit that is not the plain one (one row for each string, string 1 on top, an empty line
between systems) is put right here and said in a notice: rows with empty lines between them, rows
that a mail program wrapped, rows left out, rows upside down.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from rollstave.instruments.instrument import Instrument
from rollstave.problems import ProblemList
from rollstave.reading.page.decode import Line
from rollstave.reading.rows.finding import Row, numbered, with_bars, with_gap_bars
from rollstave.vocabulary import problems as kinds

_LONGEST_GAP = 2  # empty lines between the rows of a system typed with double spacing
_FRET = re.compile(r"\d+")
_LONGEST_SIGN = 9  # characters of a bracket over a triplet


class System(Struct, frozen=True):
    """The rows of one system, string 1 first."""

    rows: tuple[Row, ...]

    @property
    def first_line(self) -> int:
        return min(row.line.number for row in self.rows)

    @property
    def last_line(self) -> int:
        return max(row.line.last_number for row in self.rows)


class Block(Struct, frozen=True):
    """Systems with no words between them: lines ``start`` to ``end`` (indices, end excluded)."""

    start: int
    end: int
    systems: tuple[System, ...]


class _Run(Struct, frozen=True):
    """Rows on consecutive lines."""

    start: int
    rows: tuple[Row, ...]

    @property
    def end(self) -> int:
        return self.start + len(self.rows)


def find_systems(
    lines: Sequence[Line],
    rows: Sequence[Row | None],
    instrument: Instrument,
    problems: ProblemList,
) -> list[Block]:
    """The systems of a file in the order of its lines. A run of rows that makes no system is an
    error, and a block without systems."""
    runs = _double_spaced(_runs(lines, rows), lines, instrument.strings)
    known: tuple[str, ...] = ()
    blocks: list[Block] = []
    for start, end, found in runs:
        systems = _cut(found, instrument, known, problems)
        if systems and not known and all(row.label for row in systems[0].rows):
            known = tuple(row.label for row in systems[0].rows)
        blocks.append(Block(start, end, tuple(systems)))
    return _right_way_up(blocks, instrument, problems)


def _runs(lines: Sequence[Line], rows: Sequence[Row | None]) -> list[_Run]:
    runs: list[_Run] = []
    index = 0
    while index < len(lines):
        end = index
        found: list[Row] = []
        while end < len(lines) and (row := rows[end]) is not None:
            found.append(row)
            end += 1
        if found and not _ruler(found):
            runs.append(_Run(index, tuple(found)))
        index = max(end, index + 1)
    return runs


def _ruler(rows: Sequence[Row]) -> bool:
    """True for a line or two of dashes that divide a text: no label, no bar, no fret."""
    return len(rows) < 3 and not any(
        row.label or "|" in row.body or _FRET.search(row.body) for row in rows
    )


def _double_spaced(
    runs: Sequence[_Run], lines: Sequence[Line], strings: int
) -> list[tuple[int, int, list[Row]]]:
    """Runs, with those put together that only empty lines divide and that are no system alone."""
    found: list[tuple[int, int, list[Row]]] = []
    index = 0
    while index < len(runs):
        together = [runs[index]]
        number = len(runs[index].rows)
        position = index
        while (
            number % strings
            and position + 1 < len(runs)
            and number + len(runs[position + 1].rows) <= strings
            and (
                _only_blank(lines, runs[position].end, runs[position + 1].start)
                or _interrupted(together, runs[position + 1], strings)
            )
        ):
            position += 1
            together.append(runs[position])
            number += len(runs[position].rows)
        if number % strings or len(together) == 1:
            together, position = [runs[index]], index
        rows = [row for run in together for row in run.rows]
        found.append((together[0].start, together[-1].end, rows))
        index = position + 1
    return found


def _interrupted(before: Sequence[_Run], after: _Run, strings: int) -> bool:
    """True if a lone line, as a remark, stands between the rows of one system: together they are
    one, with their bars in the same columns."""
    rows = [row for run in (*before, after) for row in run.rows]
    columns = {tuple(i for i, c in enumerate(row.line.text) if c == "|") for row in rows}
    one_line = after.start - before[-1].end == 1
    return one_line and len(rows) == strings and len(columns) == 1 and columns != {()}


def _only_blank(lines: Sequence[Line], start: int, end: int) -> bool:
    return end - start <= _LONGEST_GAP and all(line.blank for line in lines[start:end])


# One block into systems ------------------------------------------------------------------------


def _cut(
    rows: Sequence[Row], instrument: Instrument, known: Sequence[str], problems: ProblemList
) -> list[System]:
    strings = instrument.strings
    if (wrapped := _wrapped(rows, strings)) is not None:
        first = rows[0]
        problems.add(
            kinds.WRAPPED,
            "each row of this system goes on in the line after it, as mail programs wrap long "
            "lines; the pieces are put together",
            first.line.place(first.start),
        )
        rows = wrapped
    if len(rows) % strings and (fewer := _without_extra(rows, strings)) is not None:
        rows = fewer
    if len(rows) % strings:
        filled = None
        for labels in [known] if known else _labels_of_tunings(instrument):
            # Without a system to compare, an outer row may as well be lost as left out.
            outer = known or (rows[0].label, rows[-1].label) == (labels[0], labels[-1])
            filled = filled or (_left_out(rows, strings, labels, problems) if outer else None)
        if filled is None:
            _wrong_number(rows, instrument, problems)
            return []
        rows = filled
    systems = []
    for start in range(0, len(rows), strings):
        group = with_bars(rows[start : start + strings])
        if (gapped := with_gap_bars(group)) is not None:
            problems.add(
                kinds.GAPS_AS_BARS,
                "this system has no bar lines; the gaps that stand in all its rows are read as "
                "bar lines",
                group[0].line.place(group[0].start),
            )
            group = gapped
        systems.append(System(tuple(numbered(group) or group)))
    return systems


def _wrapped(rows: Sequence[Row], strings: int) -> list[Row] | None:
    """Rows put together from pieces, if every second line is the short end of the line before.

    The sign of it: the lines before are all as long, reach no bar at their ends, and the short
    ones have no labels and end with a bar.
    """
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
    return [_joined(a, b) for a, b in zip(longs, shorts, strict=True)]


def _joined(first: Row, second: Row) -> Row:
    text = first.line.text
    piece = second.line.without(0, second.start)
    line = replace(first.line, text=text + piece.text, continued=piece, break_at=len(text))
    return Row(
        line=line, label=first.label, start=first.start, end=len(text) + second.end - second.start
    )


def _without_extra(rows: Sequence[Row], strings: int) -> list[Row] | None:
    """The rows without lines that look like rows but have no bar where all others have: a count
    typed with dashes, a ruler."""
    for kept in (
        [row for row in rows if "|" in row.line.text],
        # The edges of a box drawn around labelled rows.
        [row for row in rows if row.label or _FRET.search(row.body)],
        # Signs drawn over a place of labelled rows: |-3-|
        [row for row in rows if row.label or len(row.body.strip()) > _LONGEST_SIGN],
        # Brackets of endings drawn as a row: |-1-------|-2-------|
        [row for row in rows if row.label or not _ends_drawn(row)],
    ):
        if kept and len(kept) < len(rows) and len(kept) % strings == 0:
            return kept
    return None


_ENDING_DRAWN = re.compile(r"[|\[]\s?-?(\d)[-_. ]{3,}(?=[|\]]|$)")


def _ends_drawn(row: Row) -> bool:
    """True for a row that has nothing but 1, 2 and so on right after its bars."""
    numbers = _ENDING_DRAWN.findall(row.body)
    in_turn = numbers == [str(n + 1) for n in range(len(numbers))]
    return bool(numbers) and in_turn and numbers == _FRET.findall(row.body)


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


def _left_out(
    rows: Sequence[Row], strings: int, known: Sequence[str], problems: ProblemList
) -> list[Row] | None:
    """The rows of one system with empty ones where the labels show that strings are left out."""
    if len(known) != strings or len(rows) >= strings or not all(row.label for row in rows):
        return None
    where: list[int] = []
    at = 0
    for row in rows:
        while at < strings and not _same_label(row.label, known[at]):
            at += 1
        if at == strings:
            return None
        where.append(at)
        at += 1
    by_string = dict(zip(where, rows, strict=True))
    missing = [s for s in range(strings) if s not in by_string]
    first = rows[0]
    names = ", ".join(f"{known[s]} (string {s + 1})" for s in missing)
    problems.add(
        kinds.ROW_LEFT_OUT,
        f"this system has no row for {names}; nothing is played there",
        first.line.place(first.start),
    )
    return [by_string.get(s) or _empty_like(first, known[s]) for s in range(strings)]


def _same_label(one: str, other: str) -> bool:
    return one.rstrip("0123456789'") == other.rstrip("0123456789'")


def _empty_like(row: Row, label: str) -> Row:
    """A row with the bars of another one and no notes."""
    body = re.sub(r"[^|:]|(?<!\|):(?!\|)", "-", row.body)
    text = row.line.text[: row.start] + body
    return Row(line=row.line.with_text(text), label=label, start=row.start, end=len(text))


def _wrong_number(rows: Sequence[Row], instrument: Instrument, problems: ProblemList) -> None:
    strings = instrument.strings
    number = len(rows)
    if number < strings:
        what = "a string that is not played still needs its row of dashes"
    else:
        what = "leave an empty line between two systems, and take out any extra row"
    at = rows[min(strings, number - 1)]
    problems.add(
        kinds.ROWS,
        f"this system has {number} row{'s' if number > 1 else ''} where the {instrument.name} has "
        f"{strings} strings; {what}",
        at.line.place(at.start),
    )


# Which way up ------------------------------------------------------------------------------


def _right_way_up(
    blocks: Sequence[Block], instrument: Instrument, problems: ProblemList
) -> list[Block]:
    """Turn systems over that have string 1 at the bottom: by their labels, or else by those of
    the system before, or else by the notes of all systems."""
    by_notes = _upside_down_by_notes(blocks, instrument)
    current: tuple[bool, str] | None = None
    said = False
    result = []
    for block in blocks:
        systems = []
        for system in block.systems:
            by_labels = _upside_down_by_labels(system.rows, instrument)
            if by_labels is not None:
                current = (by_labels, "the labels name the strings from the bottom up")
            over, reason = current or by_notes
            if over and not said:
                said = True
                first = system.rows[0]
                problems.add(
                    kinds.UPSIDE_DOWN,
                    f"the rows stand upside down, string {instrument.strings} on top: {reason}",
                    first.line.place(first.start),
                )
            systems.append(System(system.rows[::-1]) if over else system)
        result.append(replace(block, systems=tuple(systems)))
    return result


def _upside_down_by_labels(rows: Sequence[Row], instrument: Instrument) -> bool | None:
    """What the labels say, None if nothing: they spell a tuning one way or the other, or the
    short string's small letter stands at the top."""
    labels = [row.label.rstrip("0123456789'") for row in rows]
    if not all(labels):
        numbers = [row.label for row in rows]
        if all(n.isdigit() for n in numbers):
            return int(numbers[0]) > int(numbers[-1])
        return None
    spelled = tuple(
        label[0].upper() + label[1:].replace("♯", "#").replace("♭", "b") for label in labels
    )
    tunings = {tuple(p.letter for p in tuning.pitches) for tuning in instrument.tunings}
    forward, backward = spelled in tunings, spelled[::-1] in tunings
    if instrument.short_string and labels[0][0].islower() != labels[-1][0].islower():
        return labels[0][0].islower()
    if forward != backward:
        return backward
    return False if forward else None


def _upside_down_by_notes(blocks: Sequence[Block], instrument: Instrument) -> tuple[bool, str]:
    """A short string has no frets below its peg: if the bottom rows have some, often, and the
    top rows have none, the rows are upside down."""
    short = instrument.short_string
    if short is None:
        return False, ""
    frets: dict[str, Counter[bool]] = {"top": Counter(), "bottom": Counter()}
    for block in blocks:
        for system in block.systems:
            for name, row in (("top", system.rows[0]), ("bottom", system.rows[-1])):
                for match in _FRET.finditer(row.body):
                    frets[name][1 <= int(match[0][:3]) <= short.peg_fret] += 1
    impossible = frets["bottom"][True]
    top = frets["top"]
    if impossible >= 3 and not top[True] and top[False] >= 3:
        return True, (
            f"the bottom row has {impossible} frets that string {short.string} does not have, "
            "the top row none"
        )
    return False, ""
