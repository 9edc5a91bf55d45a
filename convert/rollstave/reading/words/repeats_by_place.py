"""Repeats that words ask for by their place: ``end of the repeat`` over a system, ``lines 1 and 2
twice``. Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from rollstave.grid.typed import Bar, FreeText, GridMeasure
from rollstave.patterns import rare
from rollstave.reading.words.parts_played import ORDINALS, Part, number_of

_OPENS = rare(
    r"\b(?:start|beginning)\s+of\s+(?:the\s+)?repeat\b|\brepeat\s+(?:starts|begins)\b|"
    r"\brepeat\s+from\s+here\b",
    re.IGNORECASE,
    cues=("repeat",),
)
_CLOSES = rare(
    r"\bend\s+of\s+(?:the\s+)?repeat\b|\brepeat\s+(?:ends|stops)\b|\brepeat\s+to\s+here\b",
    re.IGNORECASE,
    cues=("repeat",),
)
_LINES = rare(
    r"\b(?:lines?|rows?|systems?|(?P<bars>bars?|measures?))\s+(?P<first>\d{1,2})(?:\s*(?P<by>and|&|to|-|through)\s*"
    r"(?P<last>\d{1,2}))?\s+(?:(?:is|are|goes?|go|get|to\s+be)\s+)?(?:play(?:ed)?\s+)?"
    r"(?P<n>twice|thrice|x\s?\d|(?:\d|two|three|four)\s*(?:x|times))(?!\w)",
    re.IGNORECASE,
    cues=("line", "row", "system", "bar", "measure"),
)


_NTH = rare(
    r"\bthe\s+(?P<nth>first|second|third|fourth)\s+(?:line|row|system)\s+"
    r"(?:(?:is|are|goes?|gets)\s+)?(?:played\s+)?"
    r"(?P<n>twice|thrice|(?:\d|two|three|four)\s*(?:x|times))(?!\w)",
    re.IGNORECASE,
    cues=("line", "row", "system"),
)
_BACK = rare(
    r"\bback\s+to\s+the\s+(?:start|top|beginning)\b.{0,24}\b(?:from|at|after)\s+"
    r"(?:the\s+end\s+of\s+)?(?:the\s+)?(?P<row>first|second|third|fourth)\s+(?:row|line)\b",
    re.IGNORECASE,
    cues=("row", "line"),
)
_DIFFERS = rare(
    r"\bback\s+to\s+the\s+(?:start|top|beginning)\b(?:.{0,24}\b(?:second|next|last)\s+time\b"
    r"|\s+and\s+play\s+(?:it|all|the\s+(?:whole|lot))\b)",
    re.IGNORECASE,
    cues=("back to", "back"),
)


def goes_back_from_a_row(text: str) -> bool:
    """True for words that lead back to the start from the end of a row, or that say how the second
    time differs: no jump of the tune's end."""
    return _BACK.search(text) is not None or _DIFFERS.search(text) is not None


def parts_by_place(
    notes: Sequence[FreeText], measures: Sequence[GridMeasure]
) -> Iterator[tuple[Part, FreeText]]:
    """The stretches of measures that words ask for, each with the words."""
    opened: int | None = None
    ends = {m.system: m.index + 1 for m in measures}
    systems = [ends[system] for system in sorted(ends)]
    for note in notes:
        here = note.before_measure
        if _OPENS.search(note.text) and here < len(measures):
            opened = here
        elif _CLOSES.search(note.text):
            end = _end_of_system(note, measures)
            start = opened if opened is not None else _after_repeat(measures, end)
            if start < end:
                yield Part(start, end, 2), note
            opened = None
        if (match := _BACK.search(note.text)) and (row := ORDINALS[match["row"].lower()]) <= len(
            systems
        ):
            yield Part(0, systems[row - 1], 2), note
        for match in _NTH.finditer(note.text):
            if (nth := ORDINALS[match["nth"].lower()]) <= len(systems):
                start = systems[nth - 2] if nth > 1 else 0
                yield Part(start, systems[nth - 1], number_of(match["n"])), note
        for match in _LINES.finditer(note.text):
            if part := _lines(match, measures):
                yield part, note


def _end_of_system(note: FreeText, measures: Sequence[GridMeasure]) -> int:
    """Words right over a system speak of its end, others of what stands above them."""
    here = note.before_measure
    if here >= len(measures) or measures[here].first_line > note.place.line + _NEAR:
        return here
    system = measures[here].system
    return next((m.index for m in measures[here:] if m.system != system), len(measures))


_NEAR = 3  # lines between words and the rows under them


def _after_repeat(measures: Sequence[GridMeasure], end: int) -> int:
    """Where a strain begins that ends before a measure."""
    for measure in reversed(measures[: end - 1]):
        if measure.right is Bar.REPEAT_END:
            return measure.index + 1
        if measure.section is not None:
            return measure.index
    return 0


def _lines(match: re.Match[str], measures: Sequence[GridMeasure]) -> Part | None:
    """The measures of some systems, or some measures, which are counted from 1."""
    systems = sorted({m.index if match["bars"] else m.system for m in measures})
    first = int(match["first"])
    last = int(match["last"] or first)
    together = (match["by"] or "").lower() not in ("and", "&") or last == first + 1
    most = len(systems) - int(bool(match["bars"]) and _has_pickup(measures))
    if not 0 < first <= last <= most or not together:
        return None
    times = number_of(match["n"])
    if times < 2:
        return None
    if match["bars"]:
        before = int(_has_pickup(measures))
        return Part(first - 1 + before, last + before, times)
    inside = [m.index for m in measures if systems[first - 1] <= m.system <= systems[last - 1]]
    return Part(inside[0], inside[-1] + 1, times)


def _has_pickup(measures: Sequence[GridMeasure]) -> bool:
    """True if the first measure is much narrower than the one behind it, and has no number."""
    return len(measures) > 1 and 4 * measures[0].width < 3 * measures[1].width
