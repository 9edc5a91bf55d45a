"""Rows of a system without bars that are so full of frets that nothing else shows them for rows."""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.patterns import rare
from rollstave.reading.page.decode import Line
from rollstave.reading.rows.finding import is_remark, label_of
from rollstave.reading.rows.records import Row

_BODY = rare(r"(?=(?:[^\d]*\d){2})[-\dhpsxHPSX~/\\() ]*-[-\dhpsxHPSX~/\\() ]*")


def full_row(line: Line, beside: Sequence[Row | None]) -> Row | None:
    """The line as a row where it stands beside one that has its label and its gaps in the same
    columns: in ``-0-0-0-0   -1-1-1-1`` no dashes follow each other. None for other lines."""
    text = line.text.rstrip()
    if "|" in text or not text or is_remark(line):
        return None
    label, start = label_of(text)
    for row in beside:
        if row is None or bool(row.label) != bool(label) or row.start != start:
            continue
        other = row.line.text.rstrip()
        if "|" in other:
            continue
        if _gaps(text, start) == _gaps(other, start) and _BODY.fullmatch(text, start):
            return Row(line=line, label=label, start=start, end=len(text))
    return None


def with_full_rows(lines: Sequence[Line], rows: list[Row | None]) -> None:
    """Put the rows that are shown by those beside them among the rows of some lines."""
    for index, line in enumerate(lines):
        if rows[index] is None and not line.blank:
            rows[index] = full_row(line, rows[max(0, index - 1) : index + 2])


def _gaps(text: str, start: int) -> list[int]:
    """Where blanks stand in a body, and where it ends."""
    return [i for i in range(start, len(text)) if text[i] == " "] + [len(text)]
