"""Systems whose rows are all left short: a bar behind each label, and the last note of the tune."""

from __future__ import annotations

from itertools import groupby, pairwise
from statistics import median_low

from rollstave.patterns import rare
from rollstave.reading.rows.fills import bars_in
from rollstave.reading.rows.records import LETTER, Row
from rollstave.reading.state import ReadingState

_SHORT = rare(rf"\s*(?P<label>{LETTER}\d?)\s?\|(?P<few>[-\dhpxX()<>/]{{0,12}})\s*", cues=("|",))
_FEWEST = 3  # strings
_WIDTH = 8  # columns of a measure that says no more
_LONGEST = 24  # characters of such a row


def rows_cut_short(state: ReadingState) -> None:
    """Take lines with a label, a bar and little more for the rows of a last measure: as many as a
    system above has, with its labels in its order, and something struck in one of them."""
    lines, rows = state.lines, state.rows
    known = [row.label for row in rows if row is not None and row.label]
    if not known:
        return
    short = [
        _SHORT.fullmatch(line.text) if row is None and len(line.text) < _LONGEST else None
        for line, row in zip(lines, rows, strict=True)
    ]
    for there, stretch in groupby(range(len(lines)), lambda index: short[index] is not None):
        indices = list(stretch)
        if not there or len(indices) < _FEWEST:
            continue
        found = [match for index in indices if (match := short[index]) is not None]
        labels = [match["label"] for match in found]
        struck = any(char.isdigit() for match in found for char in match["few"])
        if not struck or not _follows(known, labels):
            continue
        width = _width(state, indices[0])
        for index, match in zip(indices, found, strict=True):
            start = match.start("few") - 1
            text = lines[index].text.rstrip()
            text = text + "-" * (width - len(match["few"]))
            rows[index] = Row(
                line=lines[index].with_text(text), label=match["label"], start=start, end=len(text)
            )


def _width(state: ReadingState, index: int) -> int:
    """How wide a measure is in the nearest row above a line."""
    above = next((row for row in reversed(state.rows[:index]) if row is not None), None)
    bars = bars_in(above.line.text) if above is not None else []
    return median_low([b - a - 1 for a, b in pairwise(bars)]) if len(bars) > 1 else _WIDTH


def _follows(known: list[str], labels: list[str]) -> bool:
    """True if the labels are those of the rows of a system, all of them."""
    size = len(labels)
    return len(known) >= size and known[:size] == labels
