"""What does not fit once a file is read: ``DOUBTS``, checks that need no truth.

None of them asks how something was read. Each looks at what came out and at the lines as they
stand: every figure of the rows is a fret, what is kept as words is words, what words say of the
tune is in the tune, parts and endings follow each other. What fails is a warning at its place.
"""

from __future__ import annotations

from itertools import groupby

from rollstave.grid.typed import GridTune
from rollstave.reading.doubting.facts import facts_not_read, title_in_doubt, told_and_not_there
from rollstave.reading.doubting.figures import lost_figures
from rollstave.reading.doubting.kept import kept_words
from rollstave.reading.doubting.legends import legends_not_taken
from rollstave.reading.doubting.letters import (
    counts_that_count,
    letters_at_picked_notes,
    signs_that_are_sung,
)
from rollstave.reading.doubting.lost_words import words_kept_nowhere
from rollstave.reading.doubting.order import (
    endings_in_order,
    first_endings_lead_on,
    measures_that_are_missing,
    orders_not_followed,
    parts_named_twice,
    repeats_in_pairs,
)
from rollstave.reading.doubting.read import Doubt, Read
from rollstave.reading.state import ReadingState

DOUBTS: tuple[Doubt, ...] = (
    lost_figures,
    kept_words,
    orders_not_followed,
    measures_that_are_missing,
    endings_in_order,
    parts_named_twice,
    repeats_in_pairs,
    first_endings_lead_on,
    letters_at_picked_notes,
    signs_that_are_sung,
    counts_that_count,
    legends_not_taken,
    facts_not_read,
    told_and_not_there,
    title_in_doubt,
)

NOTHING = GridTune(headings=(), measures=())


def doubts(state: ReadingState) -> None:
    """Say what does not fit."""
    index_of: dict[int, int] = {}
    for index, line in enumerate(state.lines):
        index_of.setdefault(line.number, index)
    rows = sorted({state.lines[index].number for index in state.in_block})
    touching = _touching(state)
    grids = iter(state.grid)
    for tune in state.tunes:
        grid = next(grids) if tune.measures else None
        read = Read(
            state=state,
            tune=tune,
            grid=grid or NOTHING,
            index_of=index_of,
            rows=rows,
            touching=touching,
        )
        for doubt in DOUBTS if grid else (kept_words,):
            doubt(read)
    words_kept_nowhere(state)


def _touching(state: ReadingState) -> set[int]:
    """The indices of lines that no empty line parts from a row."""
    found: set[int] = set()
    for blank, stretch in groupby(range(len(state.lines)), lambda index: state.lines[index].blank):
        indices = () if blank else tuple(stretch)
        if not state.in_block.isdisjoint(indices):
            found.update(indices)
    return found
