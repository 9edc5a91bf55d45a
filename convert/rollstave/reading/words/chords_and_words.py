"""The rule for chords over a system with words behind them: ``G      D7      let it ring``."""

from __future__ import annotations

import re

from rollstave.grid.typed import LineKind
from rollstave.reading.beside.chord_lines import lone_chord, names_in
from rollstave.reading.ledger import Use
from rollstave.reading.state import ReadingState
from rollstave.reading.words.over_rules import leads_to_rows
from rollstave.reading.words.taking import note

_WIDE = re.compile(r"(?<=\S)\s{3,}(?=\S)")
_WORDS = re.compile(r"[(\[]?[^\W\d_]{2,}\W+\w+")  # two words and more


def chords_and_words(state: ReadingState, index: int) -> bool:
    """Take the chords; the words behind a wide gap stay with the system."""
    line = state.lines[index]
    if not leads_to_rows(state, index):
        return False
    for gap in _WIDE.finditer(line.text):
        tail = line.text[gap.end() :].rstrip()
        if not _WORDS.match(tail) or names_in(tail.split()[0]):
            continue
        front = line.with_text(line.text[: gap.start()])
        chords = names_in(front.text)
        if not chords:
            return False
        if len(chords) == 1 and lone_chord(state, front) is None and len(chords[0].text) < 2:
            return False
        state.ledger.claim(line, 0, gap.start(), Use.WORD)
        state.over.extend((LineKind.CHORDS, chord, front) for chord in chords)
        note(state, line, gap.end(), tail)
        return True
    return False
