"""The chains of a file: runs of lines of words between the rows."""

from __future__ import annotations

from msgspec.structs import replace

from rollstave.reading.labelling.chain import Step
from rollstave.reading.labelling.features import features_of
from rollstave.reading.state import ReadingState

ROW = "row"
_MOST_LINES = 150  # between rows; so many are a book, and none of them is asked about


def chains_of(state: ReadingState) -> list[list[tuple[int, Step]]]:
    """Runs of lines that are no rows, each between the rows before and after it, with the index
    of each line. Empty lines have no label; they set apart."""
    is_row = [row is not None for row in state.rows]
    first = is_row.index(True) if True in is_row else len(is_row)
    last = len(is_row) - 1 - is_row[::-1].index(True) if True in is_row else -1
    found: list[list[tuple[int, Step]]] = []
    chain: list[tuple[int, Step]] = []
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
    for chain in found:
        if len(chain) > _MOST_LINES:
            continue
        for at, (index, step) in enumerate(chain):
            if not step.known:
                features = features_of(state.lines, index, is_row, first, last)
                chain[at] = (index, replace(step, features=features))
    return [chain for chain in found if len(chain) <= _MOST_LINES]
