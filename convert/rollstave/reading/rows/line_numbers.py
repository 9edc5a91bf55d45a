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
    r"(?:[\[(](?P<inside>[^\])]+)[\])]|(?P<name>[A-G]\S*))(?:\s+(?P<rest>\S.*))?\s*$",
    re.IGNORECASE,
    cues=("bar", "m"),
)
# The second chord of a measure, and the beat on which it comes: "C, then D7 from the third beat".
_THEN = rare(r"\s*(?:,\s*then|,|then|/|-|\s)\s*", re.IGNORECASE)
_BEATS = {"second": 2, "2nd": 2, "third": 3, "3rd": 3, "fourth": 4, "4th": 4, "last": 4}
_ON_A_BEAT = rare(
    r"\s*(?:from|on|at|for)\s+(?:the\s+)?(?:beat\s+)?(?P<beat>[2-4]|"
    + "|".join(_BEATS)
    + r")(?:\s+beat)?(?:\s+on)?\s*$",
    re.IGNORECASE,
    cues=("from", "on", "at", "for"),
)
_BEATS_NAMED = rare(r"(?<![\d/])(?P<beats>[2346])/[48](?![\d/])")
_GAP = 3  # blanks between chords and words behind them


def chords_of_numbered_measures(state: ReadingState) -> None:
    """Take ``Bar 3 (Am)`` over systems of one measure for the chord of that measure, and
    ``Bar 4 (C, then D7 from the third beat)`` for its two. Words behind the chords stay words."""
    found = []
    for index in _over_systems(state):
        match = _OF_A_MEASURE.match(state.lines[index].text)
        if match and (chords := _chords_of(match["inside"] or match["name"])):
            found.append((index, match, chords))
    numbers = [int(match["number"]) for _, match, _ in found]
    counting = all(b > a for a, b in itertools.pairwise(numbers))
    if len(found) < _FEWEST or not counting:
        return
    named = next((m for line in state.lines if (m := _BEATS_NAMED.search(line.text))), None)
    blocks = {block.start: block for block in state.blocks}
    beats = int(named["beats"]) if named else 4
    for index, match, chords in found:
        line = state.lines[index]
        rows = next(n for n in range(index, index + _OVER + 1) if n in state.in_block)
        block = blocks.get(rows)
        row = block.systems[0].rows[0] if block and block.systems else None
        text = ""
        for name, beat in chords:
            width = len(row.body.rstrip()) if row and beat > 1 else 0
            at = (row.start + 1 if row else 0) + width * (beat - 1) // beats
            text = text.ljust(max(at, len(text) + 1) if text else at) + name
        rest = match.start("rest")
        if match["rest"] and rest < len(text) + _GAP:
            continue
        state.ledger.claim(line, 0, rest if match["rest"] else len(line.text), Use.FRAME)
        tail = line.text[rest:] if match["rest"] else ""
        state.lines[index] = line.with_text(
            (text.ljust(rest) + tail if tail else text).ljust(len(line.text))
        )


def _chords_of(words: str) -> list[tuple[str, int]]:
    """The chords that words name, each with its beat, the first on beat 1; none where they are
    not all understood."""
    on = _ON_A_BEAT.search(words)
    names = _THEN.split(words[: on.start()] if on else words)
    if not 1 <= len(names) <= 2 or not all(CHORD.match(name) for name in names):
        return []
    if len(names) == 1:
        return [] if on else [(names[0], 1)]
    beat = on["beat"].lower() if on else "3"
    return [(names[0], 1), (names[1], _BEATS.get(beat) or int(beat))]


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
