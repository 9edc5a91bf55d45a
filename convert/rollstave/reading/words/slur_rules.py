"""Slurs told over or under a system: ``H   P   S`` at the notes that are reached so.

Common practice, no source: who types rows of nothing but frets writes over or under a note how the
left hand sounds it. The letters are believed where a legend tells them, or where every one stands
at a note that the note before it on its string leads to so: a hammer-on up, a pull-off down.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from rollstave.grid.typed import LineKind, Link
from rollstave.patterns import rare
from rollstave.reading.beside.line_words import Word, words
from rollstave.reading.beside.slurs import SLURS, leads
from rollstave.reading.ledger import Use
from rollstave.reading.page.decode import Line
from rollstave.reading.rows.records import Row
from rollstave.reading.state import ReadingState

_LETTERS = rare(r"[\s|]*(?:(?:[HhPpSs]{1,4}|[Hh][Oo]|[Pp][Oo]|[Ss][Ll])\.?[\s|]+)+")
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
    if block is None or not block.systems:
        return False
    found = slurs_in(state, line, block.systems[0].rows)
    if not found:
        return False
    state.ledger.claim_line(line, Use.WORD)
    state.over.extend((LineKind.HAND, word, line) for word in found)
    return True


def may_be_slurs(line: Line) -> bool:
    """True for a line of nothing but H, P and S, which may stand between chords and their rows."""
    return _LETTERS.fullmatch(line.text + " ") is not None


def slurs_in(state: ReadingState, line: Line, rows: Sequence[Row]) -> list[Word]:
    """The slurs that a line of nothing but H, P and S right over or under some rows says, as the
    hands call them; none where it says something else."""
    if not may_be_slurs(line):
        return []
    found = _each(words(line.text.replace("|", " ")))
    if not found or found[0].start < rows[0].start:
        return []
    here = [_is_led(rows, word) for word in found]
    struck = {m.start() for row in rows for m in _FRET.finditer(row.line.text, row.start, row.end)}
    # A letter over every note says how long they last.
    if len(found) >= len(struck):
        return []
    if not (_is_told(state) or (all(here) and len(found) >= _SURE)):
        return []
    return [Word({"p": "po"}.get(w.text, w.text), w.start) for w in found]


def _each(typed: Sequence[Word]) -> list[Word]:
    """The letters of words, also of such as touch: ``hh`` over two neighbours."""
    found = []
    for word in typed:
        text = word.text.rstrip(".").lower()
        whole = text in SLURS
        letters = [text] if whole else list(text)
        found += [Word(letter, word.start + at) for at, letter in enumerate(letters)]
    return found


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
