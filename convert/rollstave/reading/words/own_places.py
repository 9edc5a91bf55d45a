"""Signs of a tab's own for the places that jumps lead to: ``$ is where you come back to``.

Common practice of typists whose keyboard has no segno and no coda, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from rollstave.grid.typed import LineKind
from rollstave.patterns import rare
from rollstave.reading.beside import attach
from rollstave.reading.page.decode import Line
from rollstave.reading.state import ReadingState
from rollstave.reading.words.directions import read_direction
from rollstave.vocabulary import problems as kinds

_ITEM = rare(
    r"(?<![\w(<\[])(?P<sign>[^\w\s.,:;|'\"()\[\]<>/=-]{1,2}|\([^\w\s]\)|\[[^\w\s]\])\s+"
    r"(?:=|is|means|marks|shows|says)\s+(?P<words>(?:[^=,;.\s]|\s(?!\s)){3,60})"
)
# What is said of a place, and the common sign for it.
_MEANINGS = (
    (
        r"\b(?:come|go|jump|get|return|start)s?\b[^,;.]{0,14}\b(?:back|again)\b|\bsegno\b"
        r"|\b(?:back|return)\s+to\b",
        "§",
    ),
    (r"\b(?:leave|skip|jump\s+(?:off|out)|get\s+off|bail\s+out|exit)\b|\bcoda\b", "⊕"),
)
_COMMON = ("(+)", "⊕", "⌖", "𝄌", "𝄋", "§", "%")
_A_NAME = 5  # words, with the sign before them
_PLACES = rare(r"[§⊕]")


def own_places(state: ReadingState) -> None:
    """Put the common signs for those that the tab's own words explain, on lines that hold nothing
    but such signs and jumps to them."""
    said: dict[str, str] = {}
    for index, sign, meant in _explained(state):
        if sign in said or sign in _COMMON:
            continue
        said[sign] = meant
        state.problems.add(
            kinds.LEGEND,
            f"{sign} is read as the tab's own words say: {'segno' if meant == '§' else 'coda'}",
            state.lines[index].place(max(0, state.lines[index].text.find(sign))),
        )
    for index, line in enumerate(state.lines) if said else ():
        if index in state.in_block or not any(sign in line.text for sign in said):
            continue
        text = line.text
        for sign, meant in said.items():
            text = text.replace(sign, meant.ljust(len(sign)))
        if _PLACES.search(text) and _jumps_only(line.with_text(text)):
            state.lines[index] = line.with_text(text)


def _explained(state: ReadingState) -> Iterator[tuple[int, str, str]]:
    """The signs that words explain: the index of the line, the sign, the common one."""
    for index, line in enumerate(state.lines):
        text = line.text
        if not ("=" in text or " is " in text or "mark" in text or " s" in text or "mean" in text):
            continue
        if index in state.in_block:
            continue
        for match in _ITEM.finditer(text):
            low = match["words"].lower()
            meant = next((sign for words, sign in _MEANINGS if re.search(words, low)), None)
            if meant is not None:
                yield index, match["sign"], meant


def _jumps_only(line: Line) -> bool:
    """True for a line of signs and jumps, and for a few words behind the sign of a coda."""
    if line.text.lstrip().startswith("⊕") and len(line.text.split()) <= _A_NAME:
        return True
    found = attach.classify_as(line, LineKind.JUMPS)
    return bool(found) or read_direction(line.text, 0, False, line.place(0)) is not None
