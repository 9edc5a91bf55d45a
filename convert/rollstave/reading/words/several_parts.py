"""Names of parts that are none of the usual: ``Around the fire``, ``Oars in``.

Common practice, no source: who names parts so sets each name alone between empty lines before its
rows. One such line may be a remark; where several stand so, they are names.
"""

from __future__ import annotations

from collections.abc import Iterator

from rollstave.reading.beside import attach
from rollstave.reading.beside.mixed import words_of
from rollstave.reading.ledger import Use
from rollstave.reading.state import ReadingState
from rollstave.reading.words.directions import read_direction
from rollstave.reading.words.headings import read_headings
from rollstave.reading.words.over_rules import leads_to_rows
from rollstave.reading.words.taking import begin_section, under_exercise

MOST_WORDS = 4  # of a name


def one_of_several_parts(state: ReadingState, index: int) -> bool:
    """Take a few words between empty lines before rows, where such words stand before other rows of
    the file, too: each is the name of a part, and none of them a remark."""
    if state.tune.title is None or under_exercise(state) or not _stands_over_rows(state, index):
        return False
    if not any(_stands_over_rows(state, i) for i in _before_rows(state) if i != index):
        return False
    line = state.lines[index]
    text = line.text.strip()
    name, _, often = text.rpartition(", ")
    if read_direction(often, 0, False, line.place(0)) is None:
        name, often = text, ""
    state.ledger.claim_line(line, Use.SECTION)
    begin_section(state, line, name, often)
    return True


def _before_rows(state: ReadingState) -> Iterator[int]:
    """The indices of the lines that stand next above rows, with empty lines, or a line of words
    over the system, between."""
    for start in state.block_at:
        above = start - 1
        while above > 0 and (not state.lines[above].blank):
            above -= 1  # chords, numbers of endings
        while above > 0 and state.lines[above].blank:
            above -= 1
        if above not in state.in_block:
            yield above


def _stands_over_rows(state: ReadingState, index: int) -> bool:
    """True for a few words without a full stop between empty lines, right before a system."""
    lines = state.lines
    text = lines[index].text.strip()
    if not 0 < index < len(lines) - 2 or not (lines[index - 1].blank and lines[index + 1].blank):
        return False
    if not text[:1].isupper() or text[-1:] in ".!?:;," or not is_short(text.partition("(")[0]):
        return False
    if words_of(lines[index], attach.ABOVE) is not None or read_headings(lines[index], head=True):
        return False
    return index + 2 in state.in_block or leads_to_rows(state, index + 1)


def is_short(text: str) -> bool:
    """True for a few words without a gap, as names of parts are."""
    words = text.split()
    return 0 < len(words) <= MOST_WORDS and any(map(str.isalpha, text)) and "  " not in text.strip()
