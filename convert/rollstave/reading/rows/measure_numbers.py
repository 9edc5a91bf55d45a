"""Numbers of measures typed over a system: they look like counts, or like those of endings."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import groupby, pairwise

from rollstave.grid.typed import LineKind
from rollstave.patterns import rare
from rollstave.reading.beside.line_words import Word
from rollstave.reading.beside.placing import slot_at
from rollstave.reading.ledger import Use
from rollstave.reading.page.decode import Line
from rollstave.reading.rows.cutting import Slot
from rollstave.reading.state import ReadingState
from rollstave.vocabulary import problems as kinds

_MOST_ENDINGS = 4
_FEWEST = 0.6  # of the measures so far that a number over a system counts at least
_HIGHEST_BEAT = 4  # a lone number up to this may be a count
_KINDS = (LineKind.COUNTS, LineKind.ENDINGS)
_BRACKETED = rare(
    r"\d\s?[.)\]:_-]|\d(?:st|nd|rd|th)|[_-]{2}|\b(?:ending|time)\b", re.IGNORECASE
)  # as brackets of endings are


def measure_numbers(
    state: ReadingState, words: Sequence[tuple[LineKind, Word, Line]], slots: Sequence[Slot]
) -> list[tuple[LineKind, Word, Line]] | None:
    """Leave out the lines that number the measures. It is said once, because they might have been
    counts."""
    lines = _numbering(words, slots, len(state.tune.measures), state)
    if not lines:
        return None
    for line in lines:
        _claim(state, line)
    return [item for item in words if item[2] not in lines]


def _claim(state: ReadingState, line: Line) -> None:
    """Take a line that numbers the measures; the first one is told."""
    state.ledger.claim_line(line, Use.FRAME)
    if not state.said_numbers:
        state.said_numbers = True
        state.problems.add(
            kinds.MEASURE_NUMBERS,
            "the numbers on this line are read as those of the measures",
            line.place(len(line.text) - len(line.text.lstrip())),
        )


# Up to the width of labels and a bar from the left end: 5. or (5)
_ALONE = rare(r"\s{0,8}(?:\d{1,3}\.|\(\d{1,3}\)|\[\d{1,3}\])\s*")


def _numbers_system(number: int, before: int, line: Line, said: bool) -> bool:
    """True for a lone number with a dot or in brackets at the left end that is the system's own: no
    ending begins a tune, and none is the fifth; or the systems before have their numbers, too."""
    first = said or before == 0 or number > _MOST_ENDINGS
    return _ALONE.fullmatch(line.text) is not None and first


# Numbers alone on a line over a system: "5)   6)", "[5]", "m. 5", "bar 5".
_NUMBER = rare(r"[#\[(]?(?:[Mm]\.?)?\d{1,3}(?:-\d{1,3})?[.)\]:]?")
_WORDS = frozenset(("m", "m.", "bar", "bars", "meas", "meas.", "measure", "measures", "#"))
_LETTERED = rare(r"\bm\.?\s?\d", re.IGNORECASE, cues=("m",))
_FEWEST_LINES = 2
_OVER = 5  # lines over a system that such a line stands in


def numbers_that_go_on(state: ReadingState) -> None:
    """Find the lines that number the measures: the numbers over all systems, read one after the
    other, count on and go farther than endings do, or begin with 1 over every tune's first
    measure."""
    found: list[tuple[int, list[int]]] = []
    lettered: set[int] = set()
    for index, line in enumerate(state.lines):
        if len(line.text) > _LONGEST or index in state.in_block or not _over_rows(state, index):
            continue
        typed = [word for word in line.text.split() if word.lower() not in _WORDS]
        if typed and all(_NUMBER.fullmatch(word) for word in typed):
            numbers = [int(n) for n in _FIGURES.findall(line.text)]
            if not _beats(numbers):
                found.append((line.number, numbers))
                lettered |= {line.number} if _LETTERED.search(line.text) else set()
    # Where m7 numbers them, bare numbers are of endings.
    found = [one for one in found if not lettered or one[0] in lettered]
    runs: list[list[tuple[int, list[int]]]] = []
    for number, numbers in found:
        if any(b <= a for a, b in pairwise(numbers)):
            return
        if not runs or numbers[0] <= runs[-1][-1][1][-1]:
            runs.append([])
        runs[-1].append((number, numbers))
    highest = max((run[-1][1][-1] for run in runs), default=0)
    whole = all(len(run) >= _FEWEST_LINES and run[0][1][0] <= 2 for run in runs)
    if runs and whole and highest > _MOST_ENDINGS:
        state.numbering.update(number for run in runs for number, _ in run)
        for index, line in enumerate(state.lines):
            # "m7" can be nothing else; the lines over it stand over the rows.
            if line.number in state.numbering and _LETTERED.search(line.text):
                _claim(state, line)
                state.lines[index] = line.with_text(" " * len(line.text))


_LONGEST = 300  # characters of a line
_FIGURES = rare(r"\d+")


def _beats(numbers: Sequence[int]) -> bool:
    """True for numbers of beats: they stand over one measure, and begin with 1 over each."""
    return len(numbers) > 2 and numbers.count(1) > 1


def _over_rows(state: ReadingState, index: int) -> bool:
    """True if a line stands over a system, with at most lines of words between."""
    for later in range(index + 1, min(index + 1 + _OVER, len(state.lines))):
        if later in state.in_block:
            return True
        if state.lines[later].blank:
            return False
    return False


def _numbering(
    words: Sequence[tuple[LineKind, Word, Line]],
    slots: Sequence[Slot],
    before: int,
    state: ReadingState,
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
        found_kinds = {kind for kind, _, _ in typed}
        line = typed[0][2]
        if line.number in state.numbering:
            found.append(line)
            continue
        if not found_kinds <= set(_KINDS) or not all(w.text.isdecimal() for _, w, _ in typed):
            continue
        numbers = [int(word.text) for _, word, _ in typed]
        where = [slot_at(slots, ends, word.start) for _, word, _ in typed]
        first = where[0]
        if first is None or where != list(range(first, first + len(where))):
            continue
        if numbers != list(range(numbers[0], numbers[0] + len(numbers))):
            continue
        own = numbers[0] - first in (before, before + 1)
        alone = len(numbers) == 1 and first == 0 and (len(slots) > 1 or numbers[0] > 12)
        if alone and not own:
            # Parts of measures are counted or not: such a number lags behind, or is ahead.
            own = _FEWEST * before <= numbers[0] <= before + 2 > _HIGHEST_BEAT
        over_all = first == 0 and len(numbers) > 2
        if LineKind.ENDINGS in found_kinds:
            bare = not _BRACKETED.search(line.text)
            lone = (
                own
                and len(numbers) == 1
                and _numbers_system(numbers[0], before, line, state.said_numbers)
            )
            # No ending begins a tune.
            begins = before == 0 and numbers[0] == 1 and len(numbers) == len(slots) > 2
            sure = ((own or over_all) and bare and first == 0) or lone or begins
        else:
            sure = own or len(numbers) > 1
        if sure:
            found.append(line)
    return found
