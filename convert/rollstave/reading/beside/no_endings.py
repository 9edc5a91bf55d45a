"""Numbers over a system that are no endings: note values (``4 8 8 2.``) and counts.

Common practice, no source: an ending is played in a pass, the first one in the first, so several
over one measure, or a fourth without any before it, are something else. Note values by number are
those of 1/4 and 1/8: ``4`` is a quarter note, ``2.`` a dotted half.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from rollstave.grid.typed import LineKind
from rollstave.patterns import rare
from rollstave.reading.beside import attach, line_words
from rollstave.reading.beside.line_words import Word
from rollstave.reading.beside.placing import slot_at
from rollstave.reading.page.decode import Line
from rollstave.reading.rows.cutting import Slot
from rollstave.reading.state import ReadingState
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.note_values import DOTTED, NOTE_VALUES

_Words = Sequence[tuple[LineKind, Word, Line]]
_VALUES = {value.mei: value for value in NOTE_VALUES if value.letter}
_VALUE = rare(r"(?P<number>1|2|4|8|16|32)(?P<dot>\.?)")
_LEGEND = rare(
    r"\b(?:2\s*[=:]?\s*(?:an?\s+)?half|4\s*[=:]?\s*(?:an?\s+)?quarter|8\s*[=:]?\s*(?:an?\s+)?eighth)",
    re.IGNORECASE,
    cues=("half", "quarter", "eighth"),
)
_STRUCK = re.compile(r"\d+|[xX]")
_METER = rare(r"\s*(\d{1,2})\s*/\s*(\d{1,2})\b")
_SENTENCE = re.compile(r"[A-Za-z]{3}")
_FEWEST_COUNTS = 3
_LATE = 4  # an ending with so high a number has others before it
_OFF = 1  # columns that a value may stand beside its note


def no_endings(
    state: ReadingState, words: _Words, slots: Sequence[Slot]
) -> list[tuple[LineKind, Word, Line]] | None:
    """Take numbers for note values where they fit, and for counts where they cannot be endings;
    what is neither is said at its place."""
    result = list(words)
    for line in _numbered(words):
        own = [word for kind, word, of in words if of is line and kind is LineKind.ENDINGS]
        values = _values(state, line, slots)
        counts = () if values or not own else _counts(line)
        if values:
            found = [(LineKind.DURATIONS, word, line) for word in values]
        elif not own or _may_be_endings(state, own, words, slots):
            continue
        elif counts:
            found = [(LineKind.COUNTS, word, line) for word in counts]
        else:
            found = []
            state.problems.add(
                kinds.STRAY,
                f"the numbers {' '.join(word.text for word in own)} over these measures cannot be "
                "those of endings, and are left out of the music; write what they are in words",
                line.place(own[0].start),
            )
        at = next(i for i, (_, _, of) in enumerate(result) if of is line)
        result = [item for item in result if item[2] is not line]
        result[at:at] = found
    return result


def _numbered(words: _Words) -> Iterator[Line]:
    """The lines that hold nothing but endings or counts, each once."""
    of_line: dict[int, tuple[Line, set[LineKind]]] = {}
    for kind, _, line in words:
        of_line.setdefault(id(line), (line, set()))[1].add(kind)
    for line, found in of_line.values():
        numbers = found <= {LineKind.ENDINGS} or found <= {LineKind.COUNTS}
        if numbers and not _SENTENCE.search(line.text):
            yield line


def _slot_of(slots: Sequence[Slot], at: int) -> int | None:
    return slot_at(slots, [slot.cells[0].end for slot in slots], at)


def _values(state: ReadingState, line: Line, slots: Sequence[Slot]) -> list[Word]:
    """The note values of a line, as letters: one for each note, and in each measure as long
    together as in the others, or as the time says. None where the numbers are something else."""
    typed = line_words.words(line.text.replace("|", " "))
    matches = [_VALUE.fullmatch(word.text) for word in typed]
    if not typed or None in matches:
        return []
    struck = [_columns(slot) for slot in slots]
    lengths = [Fraction(0)] * len(slots)
    number = [0] * len(slots)
    found = []
    for word, match in zip(typed, matches, strict=True):
        assert match is not None
        where = _slot_of(slots, word.start)
        if where is None or not any(abs(word.start - at) <= _OFF for at in struck[where]):
            return []
        value = _VALUES.get(match["number"])
        if value is None:
            return []
        lengths[where] += value.length * (DOTTED if match["dot"] else 1)
        number[where] += 1
        found.append(Word(value.letter + match["dot"], word.start))
    if number != [len(columns) for columns in struck]:
        return []
    said = _LEGEND.search(state.text) is not None
    meter = _said_meter(state)
    # A pickup, and the measure that it is taken from, are shorter.
    inner = set(lengths[1:-1] if len(lengths) > 2 else lengths)
    fits = len(inner) == 1 and (meter is None or inner == {meter})
    counted = all(_rises(line, slots, where) for where in range(len(slots)))
    several = len(slots) > 1 or meter is not None
    return found if said or (fits and several and not counted) else []


def _columns(slot: Slot) -> list[int]:
    """Where something is struck in a measure."""
    top = slot.cells[0].start
    return sorted({top + m.start() for cell in slot.cells for m in _STRUCK.finditer(cell.text)})


def _rises(line: Line, slots: Sequence[Slot], where: int) -> bool:
    """True if the numbers over a measure rise, as counts do."""
    here = [
        int(w.text.rstrip("."))
        for w in line_words.words(line.text.replace("|", " "))
        if _slot_of(slots, w.start) == where
    ]
    return here == sorted(set(here))


def _said_meter(state: ReadingState) -> Fraction | None:
    """How long a measure is by the heading that names the time, in quarter notes."""
    for heading in reversed(state.tune.headings):
        match = _METER.match(heading.text) if heading.key == "time" else None
        if match is not None and int(match[2]):
            return Fraction(4 * int(match[1]), int(match[2]))
    return None


def _may_be_endings(
    state: ReadingState, own: Sequence[Word], words: _Words, slots: Sequence[Slot]
) -> bool:
    """True for numbers over measures of their own, the first of them not without those before."""
    where = [_slot_of(slots, word.start) for word in own]
    inside = [at for at in where if at is not None]
    if len(set(inside)) < len(inside):
        return False
    numbers = [int(n) for word in own for n in re.findall(r"\d+", word.text)]
    beside = [w.text for kind, w, _ in words if kind is LineKind.ENDINGS]
    before = [m.ending for m in state.tune.measures if m.ending]
    known = {int(n) for text in (*beside, *before) for n in re.findall(r"\d+", text)}
    return min(numbers, default=1) < _LATE or bool(known & set(range(1, _LATE)))


def _counts(line: Line) -> Sequence[Word]:
    """The counts of a line, which go on by one: none where they do not."""
    found = attach.classify_as(line, LineKind.COUNTS)
    numbers = [int(word.text) for word in found if word.text.isdigit()]
    goes_on = all(b == a + 1 or b == 1 for a, b in pairwise(numbers))
    return found if len(numbers) >= _FEWEST_COUNTS and numbers[0] == 1 and goes_on else ()
