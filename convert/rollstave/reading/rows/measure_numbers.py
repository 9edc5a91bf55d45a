"""Numbers of measures typed over a system: they look like counts, or like those of endings."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import groupby

from rollstave.grid.typed import LineKind
from rollstave.reading.beside.attach import Word
from rollstave.reading.beside.placing import slot_at
from rollstave.reading.page.decode import Line
from rollstave.reading.rows.cutting import Slot

_KINDS = (LineKind.COUNTS, LineKind.ENDINGS)
_MARKED = re.compile(
    r"\d\s?[.)\]:_-]|\d(?:st|nd|rd|th)|[_-]{2}|\b(?:ending|time)\b", re.IGNORECASE
)  # as brackets of endings are


def measure_numbers(
    words: Sequence[tuple[LineKind, Word, Line]], slots: Sequence[Slot], before: int
) -> list[Line]:
    """The lines over or under a system that number its measures. ``before`` is how many measures
    the tune has before the system.

    Such a line has one number a measure, each one more than the last. That is no count, and no
    ending either where the numbers begin with the system's own, a pickup counted or not, or go
    over three measures and more from the first on. A lone number must be the system's own.
    """
    found: list[Line] = []
    ends = [slot.cells[0].end for slot in slots]
    for _, group in groupby(words, key=lambda item: item[2].number):
        typed = list(group)
        kinds = {kind for kind, _, _ in typed}
        line = typed[0][2]
        if not kinds <= set(_KINDS) or not all(w.text.isdecimal() for _, w, _ in typed):
            continue
        numbers = [int(word.text) for _, word, _ in typed]
        where = [slot_at(slots, ends, word.start) for _, word, _ in typed]
        first = where[0]
        if first is None or where != list(range(first, first + len(where))):
            continue
        if numbers != list(range(numbers[0], numbers[0] + len(numbers))):
            continue
        own = numbers[0] - first in (before, before + 1)
        over_all = first == 0 and len(numbers) > 2
        if LineKind.ENDINGS in kinds:
            sure = (own or over_all) and not _MARKED.search(line.text) and first == 0
        else:
            sure = own or len(numbers) > 1
        if sure:
            found.append(line)
    return found
