"""Lines over the rows that begin with the number of the system or of its measure, and chords that
stand in brackets.

They look like something else: a number like that of an ending, a bracket like the name of a part.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator

from rollstave.patterns import rare
from rollstave.reading.beside.attach import CHORD
from rollstave.reading.ledger import Use
from rollstave.reading.state import ReadingState

_NUMBERED = rare(r"\s{0,2}(?P<number>\d{1,2})\s?[).:](?=\s+\S)")
_FEWEST = 3  # systems that are numbered
_OVER = 4  # lines over a system that may be its chords
_BRACKETED = re.compile(r"\[\s?(?P<name>[^\[\]\s]+)\s?\]")


def numbers_of_systems(state: ReadingState) -> None:
    """Take the numbers out that the chord lines of systems begin with, where they count on from 1:
    ``2) D7   C   G``."""
    found: list[tuple[int, int, int]] = []  # the line's index, its number, and where that ends
    for index in _over_systems(state):
        line = state.lines[index]
        match = _NUMBERED.match(line.text)
        if match and all(CHORD.match(word) for word in line.text[match.end() :].split()[:2]):
            found.append((index, int(match["number"]), match.end()))
    numbers = [number for _, number, _ in found]
    counting = all(b in (a + 1, 1) for a, b in itertools.pairwise(numbers))
    if len(found) < _FEWEST or numbers[0] != 1 or not counting or max(numbers) < _FEWEST:
        return
    for index, _, end in found:
        line = state.lines[index]
        state.ledger.claim(line, 0, end, Use.FRAME)
        state.lines[index] = line.with_text(" " * end + line.text[end:])


_OF_A_MEASURE = rare(
    r"\s{0,4}(?:bar|measure|meas\.?|m\.?)\s?(?P<number>\d{1,3})\s?[:.,-]?\s+"
    r"[\[(]?(?P<name>[A-G][^\s\])]*)[\])]?\s*$",
    re.IGNORECASE,
    cues=("bar", "m"),
)


def chords_of_numbered_measures(state: ReadingState) -> None:
    """Take ``Bar 3 (Am)`` over systems of one measure for the chord of that measure."""
    found: list[tuple[int, int, str]] = []
    for index in _over_systems(state):
        match = _OF_A_MEASURE.match(state.lines[index].text)
        if match and CHORD.match(match["name"]):
            found.append((index, int(match["number"]), match["name"]))
    counting = all(b > a for (_, a, _), (_, b, _) in itertools.pairwise(found))
    if len(found) < _FEWEST or not counting:
        return
    for index, _, name in found:
        line = state.lines[index]
        rows = next(n for n in range(index, index + _OVER + 1) if n in state.in_block)
        block = state.block_at.get(rows)
        start = block.systems[0].rows[0].start + 1 if block and block.systems else 0
        at = min(start, len(line.text) - len(name))
        state.ledger.claim_line(line, Use.FRAME)
        state.lines[index] = line.with_text((" " * at + name).ljust(len(line.text)))


def chords_in_brackets(state: ReadingState) -> None:
    """Take the brackets off the names of chords over systems, where one line of them has several:
    ``[G]     [D7]``. A lone ``[A]`` may be a part."""
    found = [
        (index, list(_BRACKETED.finditer(state.lines[index].text)))
        for index in _over_systems(state)
        if "[" in state.lines[index].text
    ]
    found = [
        (index, names)
        for index, names in found
        if names
        and not _BRACKETED.sub("", state.lines[index].text).strip()
        and all(CHORD.match(name["name"]) for name in names)
    ]
    if not any(len(names) > 1 for _, names in found):
        return
    for index, names in found:
        line = state.lines[index]
        text = line.text
        for name in names:
            start, end = name.span()
            state.ledger.claim(line, start, start + 1, Use.FRAME)
            state.ledger.claim(line, end - 1, end, Use.FRAME)
            text = text[:start] + name["name"].ljust(end - start) + text[end:]
        state.lines[index] = line.with_text(text)


def _over_systems(state: ReadingState) -> Iterator[int]:
    """The lines right over the rows of each system, the lowest first."""
    for index in sorted(state.in_block):
        if index - 1 in state.in_block:
            continue
        for above in range(index - 1, max(-1, index - 1 - _OVER), -1):
            if above in state.in_block or state.lines[above].blank:
                break
            yield above
