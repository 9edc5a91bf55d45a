"""Lines of chord names that could be names of parts: ``[G]``, ``(A)   (E)``, ``D``.

What the other systems of the tune have over or under them tells. Common practice, no source.
"""

from __future__ import annotations

import re

from rollstave.grid.typed import LineKind
from rollstave.patterns import rare
from rollstave.reading.beside.attach import CHORD
from rollstave.reading.beside.line_words import Word
from rollstave.reading.page.decode import Line
from rollstave.reading.state import ReadingState

_NAME = rare(r"(?P<open>[(\[<{])?(?P<name>[A-G][^\s()\[\]<>{}]{0,7})(?P<close>[)\]>}])?")
_WIDE = "   "  # between names that stand over measures
_LETTER = "ABCDEFG"
_BEGINS = "([<{" + _LETTER
_MOST = 300  # columns of a line


def names_in(text: str) -> list[Word]:
    """The names of chords, without what is around them, if the line holds nothing else."""
    if len(text) > _MOST or text.lstrip()[:1] not in _BEGINS:
        return []
    found: list[Word] = []
    for typed in re.finditer(r"\S+", text):
        match = _NAME.fullmatch(typed[0])
        if match is None or bool(match["open"]) != bool(match["close"]):
            return []
        if not CHORD.match(match["name"]):
            return []
        found.append(Word(match["name"], typed.start() + match.start("name")))
    return found


def are_chords(text: str) -> bool:
    """True for several names of chords as far apart as measures are."""
    return _WIDE in text.strip() and len(names_in(text)) > 1


def lone_chord(state: ReadingState, line: Line) -> Word | None:
    """The chord that a name alone right over a system is: the systems before it have chords over
    them, in the same dress, and no part is named by a letter."""
    names = names_in(line.text)
    if len(names) != 1 or any(kind is LineKind.CHORDS for kind, _, _ in state.over):
        return None
    tune = state.tune
    if any(len(name) == 1 and name in _LETTER for name in tune.section_names):
        return None
    for measure in tune.measures:
        for chord in measure.attached(LineKind.CHORDS):
            at = chord.place
            typed = state.line_numbered(at.line)
            if at.line < measure.first_line and typed and _alike(typed.text, line.text):
                return names[0]
    return None


def _alike(one: str, other: str) -> bool:
    """True if the names of two lines have the same around them."""
    return (one.strip()[:1] in "([<{" and one.strip()[:1] == other.strip()[:1]) or (
        one.strip()[:1].isalpha() and other.strip()[:1].isalpha()
    )
