"""Fronts of rows that are alike: whatever stands before the music in every row of a system is how
its strings are named. ``D=1|``, ``#1 |``, ``"D"|``, ``string 1 ---``. Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec.structs import replace

from rollstave.patterns import rare
from rollstave.reading.rows.finding import body_end
from rollstave.reading.rows.records import LETTER, Row
from rollstave.reading.state import ReadingState

_WIDEST = 14  # columns
_LETTER = rare(rf"(?<![A-Za-z])(?P<letter>{LETTER})(?![A-Za-z#b])")
_NUMBER = rare(r"(?<!\d)[1-9](?!\d)")
_ORDINAL = rare(r"\d(?:st|nd|rd|th)$")
_BEGINS = "-0123456789(<=_.~oOxX"  # a body without a bar before it
_ENDS = " /=>:+(~_}]).*-"  # a front without a bar behind it


def fronts_alike(state: ReadingState, rows: Sequence[Row]) -> list[Row] | None:
    """Take what stands before the first bar, or before the music, for labels where it has the same
    form in all rows, and is a letter or a number of the string in each."""
    if all(row.label and row.body[:1] in ("|", "!") for row in rows):
        return None
    texts = [row.line.text for row in rows]
    bars = {text.find("|") for text in texts}
    bar = bars.pop() if len(bars) == 1 else 0
    if 0 < bar <= _WIDEST:
        labels = _labels([text[:bar] for text in texts])
        return None if labels is None else _labelled(rows, labels, bar)
    if all(row.label and row.body[:1] in (*"-0123456789(",) for row in rows):
        return None
    for column in range(1, min(_WIDEST, *map(len, texts))):
        before, after = ({text[i] for text in texts} for i in (column - 1, column))
        ends = before <= set(_ENDS) or all(_ORDINAL.search(text[:column]) for text in texts)
        if not (ends and after <= set(_BEGINS)) or _counts([text[column] for text in texts]):
            continue
        labels = _labels([text[:column] for text in texts])
        if labels is not None:
            return _labelled(rows, labels, column)
    return None


def _labelled(rows: Sequence[Row], labels: Sequence[str], start: int) -> list[Row]:
    return [
        replace(row, label=label, start=start, end=body_end(row.line.text, start))
        for row, label in zip(rows, labels, strict=True)
    ]


def _labels(fronts: Sequence[str]) -> list[str] | None:
    """The labels that fronts of one form are: their letters, or else their numbers, which count
    up or down by one."""
    if len({_form(front) for front in fronts}) > 1 or any("--" in front for front in fronts):
        return None
    letters = [_LETTER.findall(front) for front in fronts]
    if all(len(found) == 1 for found in letters):
        return [found[0] for found in letters]
    numbers = [_NUMBER.findall(front) for front in fronts]
    if not all(len(found) == 1 for found in numbers):
        return None
    counted = [found[0] for found in numbers]
    return counted if _counts(counted) else None


def _counts(texts: Sequence[str]) -> bool:
    """True for numbers that count the rows up or down."""
    up = [str(number) for number in range(1, len(texts) + 1)]
    return list(texts) in (up, up[::-1])


def _form(front: str) -> str:
    """Letters as one sign and figures as another: how the front is made."""
    plain = re.sub(r"(?<=\d)(?:st|nd|rd|th)", "", front.strip())
    plain = re.sub(rf"(?<![A-Za-z]){LETTER}(?![A-Za-z])\s?", "A", plain)
    return re.sub(r"\d", "9", plain)
