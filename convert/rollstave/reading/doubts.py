"""What does not fit once a file is read: what needs no truth to be doubted.

Every line of words was taken for something. Here the reading is held against the lines once more:
words kept as a remark that look like chords, counts or letters; dashes that no system has; a fact
said in words that is not the one used. Each is a warning at its line.
"""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.grid.typed import FreeText
from rollstave.patterns import rare
from rollstave.reading.beside import attach
from rollstave.reading.beside.mixed import words_of
from rollstave.reading.page.decode import Line
from rollstave.reading.state import ReadingState
from rollstave.reading.words.charts import chart_of
from rollstave.reading.words.directions import is_order_of_parts
from rollstave.vocabulary import problems as kinds

_FEWEST = 2  # words of a kind that make a line of that kind
_NEAR = 4  # lines between such words and the rows that they may be meant for
_DASHES = rare(r"-{3,}.*\d.*-{2,}|\d.*-{3,}.*\d.*-{2,}|\|-{2,}.*\|")
_DIVIDES = rare(r"[\s|+-]*")  # the rule of a table, a box


def doubts(state: ReadingState) -> None:
    """Say what does not fit."""
    by_number: dict[int, Line] = {}
    rows: list[int] = []
    for index, line in enumerate(state.lines):
        by_number.setdefault(line.number, line)
        if index in state.in_block:
            rows.append(line.number)
    for tune in state.tunes:
        for note in tune.notes:
            found = by_number.get(note.place.line)
            if found is not None and note.text.strip() == found.text.strip():
                _kept_as_words(state, note, found, rows)


def _kept_as_words(state: ReadingState, note: FreeText, line: Line, rows: Sequence[int]) -> None:
    """Doubt a line that is kept as words and looks like something else."""
    if _DASHES.search(line.text) and not _DIVIDES.fullmatch(line.text):
        state.problems.add(
            kinds.UNREAD,
            "this line looks like a row of tab, but no system has it; it is kept as words",
            note.place,
        )
        return
    near = any(abs(row - line.number) <= _NEAR for row in rows)
    if not near or is_order_of_parts(line.text) or chart_of(line.text) is not None:
        return
    found = words_of(line, (*attach.ABOVE, *attach.BELOW))
    if found and len(found) >= _FEWEST and len(line.text.split()) >= _FEWEST:
        kind = found[0][0]
        state.problems.add(
            kinds.STRAY,
            f"this line looks like {kind.value}, but stands over or under no system; it is kept as "
            "words",
            note.place,
        )
