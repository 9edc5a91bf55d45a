"""The chains of a file: runs of lines of words between the rows."""

from __future__ import annotations

import re

from msgspec.structs import replace

from rollstave.patterns import rare
from rollstave.reading.labelling.chain import Step
from rollstave.reading.labelling.features import features_of
from rollstave.reading.page.decode import Line
from rollstave.reading.state import ReadingState
from rollstave.reading.words.headings import begins_heading

ROW = "row"
_MOST_LINES = 150  # between rows; so many are a book, and none of them is asked about


Chain = list[tuple[int, Step]]  # the index of each line and what is known of it


def chains_of(state: ReadingState) -> list[Chain]:
    """Runs of lines that are no rows, each between the rows before and after it, with the index
    of each line. Empty lines have no label; they set apart."""
    is_row = [row is not None for row in state.rows]
    found: list[Chain] = []
    chain: Chain = []
    apart = False
    for index, line in enumerate(state.lines):
        if not line.text or line.text.isspace():
            apart = True
            continue
        if is_row[index]:
            if chain and not chain[-1][1].known:
                chain.append((index, Step((), known=ROW, apart=apart)))
                found.append(chain)
            chain = [(index, Step((), known=ROW))]
        else:
            chain.append((index, Step((), apart=apart)))
        apart = False
    if chain and not chain[-1][1].known:
        found.append(chain)
    return [chain for chain in found if len(chain) <= _MOST_LINES]


_LETTERS = frozenset("TIMtimp")
_COUNTS = frozenset("123456789&+ea")
_CHORD = rare(r"[A-G][#b]?m?7?$")
_NAMED_SO = rare(r"\s*(?:\d\.|part\s+[A-D]|[A-D]\s+part)\s*$", re.IGNORECASE)
_SENTENCE = 8  # words of a sentence without a figure, a colon or a sign in it
_SAYS_NOTHING = rare(r"\s*[A-Z][^\d:=|%\[\]]*[.!?]\s*$")
_FEWEST = 4  # letters or counts that leave nothing to ask


def is_plain(line: Line) -> bool:
    """True for a line that is so plainly one thing that nobody need be asked: a heading with its
    name and a colon, the plain name of a part, the number of an ending, chords set apart, picking
    letters or counts throughout, or a sentence of prose."""
    if begins_heading(line.text):
        return True
    words = line.text.split()
    if len(words) >= _SENTENCE and _SAYS_NOTHING.match(line.text):
        return True
    if _NAMED_SO.match(line.text) or (
        len(words) > 1 and "  " in line.text.strip() and all(map(_CHORD.match, words))
    ):
        return True
    return len(words) >= _FEWEST and (_LETTERS.issuperset(words) or _COUNTS.issuperset(words))


def with_features(state: ReadingState, chain: Chain) -> tuple[Step, ...]:
    """The steps of a chain, with what can be seen of each line."""
    if state.tabbed is None:  # once for all chains of a file
        is_row = [row is not None for row in state.rows]
        first = is_row.index(True) if True in is_row else len(is_row)
        last = len(is_row) - 1 - is_row[::-1].index(True) if True in is_row else -1
        state.tabbed = is_row, first, last
    return tuple(
        step
        if step.known
        else replace(step, features=features_of(state.lines, index, *state.tabbed))
        for index, step in chain
    )
