"""Cutting the rows of one system into measures at their bar lines."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from msgspec import Struct

from rollstave.grid.typed import Bar
from rollstave.problems import ProblemList
from rollstave.reading.rows.records import Row
from rollstave.vocabulary import problems as kinds

# Repeat dots are colons; a star beside a bar means the same where no fret is next to it.
_BAR = re.compile(r"(?P<end>:|(?<![\d)>])[*oO•])?(?P<bar>\|+)(?P<start>:|[*oO•](?!\d))?")


# The label of a second system beside the first: |---|     D|---|
_LABEL_AGAIN = re.compile(r"\s+(?:[A-Ga-g](?:#|♯|♭|b)?\d?\s*)?")

_STEP = 3  # how many columns a bar may stand from those of other rows and be the same bar


class Cell(Struct, frozen=True):
    """One row's part of a measure: ``row.line.text[start:end]``."""

    row: Row
    start: int
    end: int

    @property
    def text(self) -> str:
        return self.row.line.text[self.start : self.end]


class Slot(Struct, frozen=True):
    """One measure of a system: a cell for each string, string 1 first, and its bars."""

    cells: tuple[Cell, ...]
    left: Bar
    right: Bar

    @property
    def width(self) -> int:
        return max(cell.end - cell.start for cell in self.cells)


class _Mark(Struct, frozen=True):
    """A bar line in one row: from ``begin`` to ``end`` (repeat dots included)."""

    begin: int
    end: int
    kind: Bar
    also_starts: bool = False


def _marks(row: Row) -> list[_Mark]:
    marks = []
    for match in _BAR.finditer(row.line.text, row.start, row.end):
        ends, starts = match["end"] is not None, match["start"] is not None
        if ends:
            kind = Bar.REPEAT_END
        elif starts:
            kind = Bar.REPEAT_START
        else:
            kind = Bar.DOUBLE if len(match["bar"]) > 1 else Bar.SINGLE
        marks.append(
            _Mark(begin=match.start(), end=match.end(), kind=kind, also_starts=ends and starts)
        )
    return marks


def _majority(all_marks: list[list[_Mark]], usual: int) -> list[list[_Mark]]:
    """The bars of rows whose numbers of bars differ.

    Rows with the usual number keep their own. A row with more or fewer takes its bars near the
    columns of the others, and a bar is assumed where it has none there.
    """
    model = next(marks for marks in all_marks if len(marks) == usual)
    result = []
    for marks in all_marks:
        if len(marks) == usual:
            result.append(marks)
            continue
        at = 0
        own: list[_Mark] = []
        for wanted in model:
            while at < len(marks) and marks[at].begin < wanted.begin - _STEP:
                at += 1
            if at < len(marks) and marks[at].begin <= wanted.begin + _STEP:
                own.append(marks[at])
                at += 1
            else:
                begin = max(wanted.begin, own[-1].end if own else 0)
                own.append(_Mark(begin, begin, wanted.kind))
        result.append(own)
    return result


def cut(rows: Sequence[Row], problems: ProblemList) -> list[Slot]:
    """The measures of a system. Rows out of step are matched bar by bar and reported."""
    all_marks = [_marks(row) for row in rows]
    counts = Counter(len(marks) for marks in all_marks)
    usual, _ = counts.most_common(1)[0]
    if len(counts) > 1:
        for row, marks in zip(rows, all_marks, strict=True):
            if len(marks) != usual:
                problems.add(
                    kinds.BARS_DIFFER,
                    f"this row has {len(marks)} bar lines where the others have {usual}; "
                    "the bars that most rows share are used",
                    row.line.place(row.start),
                )
        all_marks = _majority(all_marks, usual)
    else:
        _report_steps(rows, all_marks, problems)
    return _slots(rows, all_marks)


def _report_steps(rows: Sequence[Row], all_marks: list[list[_Mark]], problems: ProblemList) -> None:
    """Warn once for each row whose bars do not stand under those of the others."""
    if not all_marks[0]:
        ends = Counter(_text_end(row) for row in rows)
        usual = ends.most_common(1)[0][0]
        odd = [row for row in rows if _text_end(row) != usual]
    else:
        bars = [tuple(m.begin for m in marks) for marks in all_marks]
        # Repeat dots in some rows only begin one character earlier: compare the bar itself.
        bars = [
            tuple(row.line.text.index("|", b) for b in begins)
            for row, begins in zip(rows, bars, strict=True)
        ]
        common = Counter(bars).most_common(1)[0][0]
        odd = [row for row, begins in zip(rows, bars, strict=True) if begins != common]
    for row in odd:
        problems.add(
            kinds.ROWS_OUT_OF_STEP,
            "this row is out of step with the rows of its system: its bar lines stand in other "
            "columns, or it is longer or shorter; each measure is read from its own bar line",
            row.line.place(row.start),
        )


def _merge(marks: Sequence[_Mark]) -> Bar:
    kinds = {mark.kind for mark in marks}
    for kind in (Bar.REPEAT_END, Bar.REPEAT_START, Bar.DOUBLE):
        if kind in kinds:
            return kind
    return Bar.SINGLE


def _slots(rows: Sequence[Row], all_marks: list[list[_Mark]]) -> list[Slot]:
    number = len(all_marks[0])
    slots: list[Slot] = []
    for index in range(-1, number):
        before = [marks[index] if index >= 0 else None for marks in all_marks]
        after = [marks[index + 1] if index + 1 < number else None for marks in all_marks]
        starts = [
            row.start if mark is None else _after_bar(row, mark, before)
            for row, mark in zip(rows, before, strict=True)
        ]
        ends = [
            _text_end(row) if mark is None else mark.begin
            for row, mark in zip(rows, after, strict=True)
        ]
        cells = tuple(
            Cell(row, start, max(start, end))
            for row, start, end in zip(rows, starts, ends, strict=True)
        )
        if index == -1 and all(not cell.text.strip() for cell in cells):
            continue
        if all(_LABEL_AGAIN.fullmatch(cell.text) for cell in cells):
            continue
        if index == number - 1 and not (_holds_music(cells) or _open_end(cells)):
            continue
        left_marks = [m for m in before if m is not None]
        right_marks = [m for m in after if m is not None]
        left = _merge(left_marks) if left_marks else Bar.NONE
        if left is Bar.REPEAT_END:
            left = Bar.REPEAT_START if any(m.also_starts for m in left_marks) else Bar.SINGLE
        right = _merge(right_marks) if right_marks else Bar.NONE
        # At the end of a system it is for the next one; ``joining`` sees to that.
        if right is Bar.REPEAT_START and index + 1 < number - 1:
            right = Bar.SINGLE
        slots.append(Slot(cells, left, right))
    return slots


def _after_bar(row: Row, mark: _Mark, others: Sequence[_Mark | None]) -> int:
    """The column after a bar and its repeat dots, the same for the rows that have no dots."""
    wide = max(m.end - row_bar for m in others if m for row_bar in [m.begin]) if others else 1
    end = mark.end
    text = row.line.text
    has_dots = any(
        (m is not None and m.kind is Bar.REPEAT_START) or (m and m.also_starts) for m in others
    )
    if has_dots and mark.kind is not Bar.REPEAT_START and not mark.also_starts and wide > 1:
        end += 1 if text[end : end + 1] == "-" else 0
    return end


def _text_end(row: Row) -> int:
    """Where the row's last character is, blanks left out."""
    return row.start + len(row.body.rstrip())


def _open_end(cells: Sequence[Cell]) -> bool:
    """Dashes after the last bar: the beginning of a measure that the next system ends."""
    return sum(cell.text.count("-") > 2 for cell in cells) > len(cells) // 2


def _holds_music(cells: Sequence[Cell]) -> bool:
    return any(re.search(r"[\dxX]", c.text) for c in cells) and any("-" in c.text for c in cells)


def trailing_text(row: Row) -> tuple[int, str] | None:
    """Words that stand to the right of a row: where they start, and what they are."""
    text = row.line.text[row.end :]
    if not text.strip():
        return None
    return row.end + len(text) - len(text.lstrip()), text.strip()
