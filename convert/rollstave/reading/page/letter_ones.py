"""The letter l typed for the figure 1, as on typewriters that have no such key.

Common practice, no source: typewriters up to the middle of the twentieth century left out the key
of the figure 1, and those who learnt on one go on to type a small l.
"""

from __future__ import annotations

import re

from rollstave.patterns import rare
from rollstave.reading.state import ReadingState
from rollstave.vocabulary import problems as kinds

# A line that is a row whichever signs it has: a fill in most columns, no words.
_ROW = rare(r"\s*(?:[A-Ga-g][#b]?)?[\s|!:I/\[]*[-_.=~hpsbtHPSBT()/\\|!:\dlxXoO\s^+I\]]{8,}$")
_FILL = re.compile(r"([-._=~])(?:[^-._=~]{0,3}\1){3,}")
_ONE = rare(r"(?<![A-GI-OQRU-Za-gi-kmnoqru-z])l(?:(?=[-._=~|!:hps^/\\)\s\dl])|$)")
_SAID = rare(
    r"(?<!\w)l\s*(?:=|:|\bis\b|\bmeans\b|\bfor\b)\s*(?!(?:my\s+|the\s+)?(?:one|figure|1|number))[a-z]",
    cues=("l",),
)
_FEWEST = 2  # letters of a file


def letters_for_ones(state: ReadingState) -> None:
    """Put the figure 1 for the letter l in rows where no row has the figure, unless words say that
    the letter is a sign."""
    lettered = [index for index, line in enumerate(state.lines) if "l" in line.text]
    if not lettered:
        return
    rows = [index for index, line in enumerate(state.lines) if _is_row(line.text)]
    found = {index: len(_ONE.findall(state.lines[index].text)) for index in rows}
    if sum(found.values()) < _FEWEST or any("1" in state.lines[index].text for index in rows):
        return
    if any(_SAID.search(line.text) for line in state.lines):
        return
    first = next(index for index, count in found.items() if count)
    at = _ONE.search(state.lines[first].text)
    state.problems.add(
        kinds.LETTER_FOR_ONE,
        "the letter l is read as the figure 1: no row has that figure",
        state.lines[first].place(at.start() if at else 0),
    )
    for index in found:
        line = state.lines[index]
        state.lines[index] = line.with_text(_ONE.sub("1", line.text))


def _is_row(text: str) -> bool:
    return _ROW.fullmatch(text) is not None and _FILL.search(text) is not None
