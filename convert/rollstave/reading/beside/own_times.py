"""Letters of note values by the tab's own legend: ``o = eighth   c = quarter   p = half``.

Common practice, no source: whoever has other words for note values has other letters for them.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from rollstave.patterns import rare
from rollstave.reading.beside.own_letters import beside_rows
from rollstave.reading.page.decode import Line
from rollstave.reading.state import ReadingState
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.note_values import NOTE_VALUES
from rollstave.vocabulary.spoken_values import NOTE_WORDS

_ITEM = rare(
    r"(?<![\w=.])(?P<letter>[A-Za-z])\s*(?:=|:|\bis\b|\bfor\b|\s-\s|(?<![aAI])\s(?=[A-Za-z]{4}))\s*"
    r"(?:an?\s+|the\s+)?(?P<value>[^\W\d_]{4,})",
)
_COMMON = {int(value.mei): value.letter for value in NOTE_VALUES if value.letter}
# "d behind it = dotted"
_DOTTED = rare(
    r"(?<![\w.])(?P<sign>[a-z])\s+(?:(?:behind|after)\s+(?:it|them|a\s+letter|the\s+letter)\s*)?"
    r"(?:=|:|\bis\b|\bmeans\b)\s*(?:an?\s+)?(?:dot\b|dotted|half\s+as\s+long\s+again)",
    cues=("dot", "again"),
)
_WORD = re.compile(r"[(\[]?(?P<letter>[A-Za-z])(?P<dots>\.{0,2}|[a-z]?)[)\]]?")
_FEWEST = 2  # letters of a legend, and words of a line


def own_times(state: ReadingState) -> None:
    """Put the common letters of note values for those of the legend on lines that hold nothing else
    and touch rows."""
    said, first = _legend(state)
    dotted = _dotted(state) if said else ""
    usual = all(letter.lower() == common for letter, common in said.items())
    if first is None or (usual and not dotted):
        return
    table = str.maketrans({**said, **({dotted: "."} if dotted else {})})
    lettered = False
    for index in beside_rows(state):
        line = state.lines[index]
        words = [_WORD.fullmatch(word) for word in line.text.split()]
        if len(words) >= _FEWEST and all(
            word and word["letter"] in said and word["dots"] in ("", ".", "..", dotted)
            for word in words
        ):
            state.lines[index] = line.with_text(line.text.translate(table))
            lettered = True
    if lettered:
        state.problems.add(
            kinds.LEGEND,
            f"the letters {', '.join(said)} are read as the note values that the tab's own legend "
            "says",
            first.place(0),
        )


def _dotted(state: ReadingState) -> str:
    """The letter that a legend has for a dot behind others; empty if it has none."""
    found = (_DOTTED.search(line.text) for line in state.lines)
    return next((match["sign"] for match in found if match), "")


def _legend(state: ReadingState) -> tuple[Mapping[str, str], Line | None]:
    """The common letter for each of a legend of note values, and the line that the legend begins
    on; nothing if two letters have one value."""
    found: dict[str, str] = {}
    first: Line | None = None
    for index, line in enumerate(state.lines):
        if " " not in line.text or index in state.in_block:
            continue
        for match in _ITEM.finditer(line.text):
            if (parts := NOTE_WORDS.get(match["value"].lower())) in _COMMON:
                first = first or line
                found.setdefault(match["letter"], _COMMON[parts])
    clear = len(found) >= _FEWEST and len(set(found.values())) == len(found)
    return (found, first) if clear else ({}, None)
