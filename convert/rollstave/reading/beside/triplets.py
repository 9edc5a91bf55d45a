"""A lone 3 over notes is the figure of a triplet, though it looks like the number of an ending."""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.grid.typed import LineKind
from rollstave.reading.beside.line_words import Word
from rollstave.reading.page.decode import Line
from rollstave.reading.rows.cutting import Slot
from rollstave.reading.state import ReadingState

_Words = Sequence[tuple[LineKind, Word, Line]]


def triplet_figures(
    state: ReadingState, words: _Words, slots: Sequence[Slot]
) -> list[tuple[LineKind, Word, Line]] | None:
    """Take a 3 over a system for a triplet where no second ending stands before it."""
    threes = [w for kind, w, _ in words if kind is LineKind.ENDINGS and w.text == "3"]
    if not threes:
        return None
    seconds = [w for kind, w, _ in words if kind is LineKind.ENDINGS and "2" in w.text]
    if seconds or any(m.ending and "2" in m.ending for m in state.tune.measures):
        return None
    return [(LineKind.COUNTS if word in threes else kind, word, line) for kind, word, line in words]
