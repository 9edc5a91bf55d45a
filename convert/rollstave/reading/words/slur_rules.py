"""The rule for slurs told over a system: ``H   P   S`` over the notes that are reached so.

Common practice, no source: who types rows of nothing but frets writes over a note how the left hand
sounds it. The letters are believed where a legend tells them, or where every one stands over a note
that the note before it on its string leads to so: a hammer-on up, a pull-off down.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from rollstave.grid.typed import LineKind, Link
from rollstave.patterns import rare
from rollstave.reading.beside.attach import Word, words
from rollstave.reading.beside.slurs import SLURS, leads
from rollstave.reading.ledger import Use
from rollstave.reading.rows.records import Row
from rollstave.reading.state import ReadingState

_LETTERS = rare(r"[\s|]*(?:(?:[HhPpSs]|[Hh][Oo]|[Pp][Oo]|[Ss][Ll])\.?[\s|]+)+")
_TOLD = rare(
    r"(?<![\w'])(?:[HPS]|h/p|[hp](?=\s*[,=/&]))(?!\w).*(?:hammer|pull|slid)",
    re.IGNORECASE,
    cues=("hammer", "pull", "slid"),
)
_FRET = re.compile(r"\d+")
_REACH = (0, 1, -1)  # columns that a letter may stand beside its note
_SURE = 2  # letters that need no legend; a lone one may name a part, or be a sign


def slurs_over_system(state: ReadingState, index: int) -> bool:
    """Take a line of nothing but H, P and S right over a system for slurs to the notes there."""
    line = state.lines[index]
    block = state.block_at.get(index + 1)
    if block is None or not block.systems or not _LETTERS.fullmatch(line.text + " "):
        return False
    found = [Word(w.text.rstrip(".").lower(), w.start) for w in words(line.text.replace("|", " "))]
    rows = block.systems[0].rows
    if not found or found[0].start < rows[0].start:
        return False
    here = [_is_led(rows, word) for word in found]
    struck = {m.start() for row in rows for m in _FRET.finditer(row.line.text, row.start, row.end)}
    # A letter over every note says how long they last.
    if len(found) >= len(struck):
        return False
    if not (_is_told(state) or (all(here) and len(found) >= _SURE)):
        return False
    state.ledger.claim_line(line, Use.WORD)
    spelled = (Word({"p": "po"}.get(w.text, w.text), w.start) for w in found)
    state.over.extend((LineKind.HAND, word, line) for word in spelled)
    return True


def _is_told(state: ReadingState) -> bool:
    """True if words of the text say what the letters mean."""
    return any(
        _TOLD.search(line.text) is not None
        for index, line in enumerate(state.lines)
        if index not in state.in_block
    )


def _is_led(rows: Sequence[Row], word: Word) -> bool:
    """True if a note under a letter is reached from the one before it on its string in that way."""
    link = SLURS.get({"p": "po"}.get(word.text, word.text))
    return link is not None and any(
        _led_at(row, word.start + off, link) for off in _REACH for row in rows
    )


def _led_at(row: Row, at: int, link: Link) -> bool:
    text = row.line.text
    note = _FRET.match(text, at) if row.start <= at < row.end else None
    if note is None:
        return False
    left = max(text.rfind("|", row.start, at), row.start)
    earlier = list(_FRET.finditer(text, left, at))
    return bool(earlier) and leads(link, int(earlier[-1][0]), int(note[0]))
