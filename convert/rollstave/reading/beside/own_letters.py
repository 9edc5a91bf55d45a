"""Letters of the striking hand by the tab's own legend: ``f = finger   b = brush   t = thumb``.

Common practice, no source: who strikes downwards calls the one finger that does so by another
letter than I, and has a letter for the brush.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from rollstave.patterns import rare
from rollstave.reading.saying.judge import told
from rollstave.reading.state import ReadingState
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.hands import MEANT_BY_LETTERS

_ITEM = rare(
    r"(?<![\w=])(?P<letter>[A-Za-z])\s*(?:=|:|\bis\b|\bmeans\b|\s-\s)\s*(?P<words>[A-Za-z](?:[^=:;,.\s]|\s(?=\S)){2,40})"
)
_FEWEST = 2  # letters of a legend
_BETWEEN = rare(r"[\s|:.-]+")


def own_letters(state: ReadingState) -> None:
    """Put the common letters for those of the legend on lines that hold nothing else and touch
    rows."""
    said = _legend(state)
    if len(said) < _FEWEST or all(letter.upper() == common for letter, common in said.items()):
        return
    table = str.maketrans(dict(said))
    lettered = False
    for index in beside_rows(state):
        line = state.lines[index]
        words = "".join(_BETWEEN.split(line.text))
        if words and set(words) <= set(said):
            state.lines[index] = line.with_text(line.text.translate(table))
            lettered = True
    if lettered:
        first = next(iter(_legend_lines(state)))
        state.problems.add(
            kinds.LEGEND,
            f"the letters {', '.join(said)} are read as the tab's own legend says",
            state.lines[first].place(0),
        )


def _legend_lines(state: ReadingState) -> Iterator[int]:
    """The indices of lines of words with two letters and what they mean."""
    for index, line in enumerate(state.lines):
        text = line.text
        if "=" in text or ":" in text or " is " in text or " means " in text or " - " in text:
            if index in state.in_block:
                continue
            found = [m for m in _ITEM.finditer(text) if _meant(m["words"])]
            if len(found) >= _FEWEST:
                yield index
                continue
        if index not in state.in_block and len(_told(text)) >= _FEWEST:
            yield index


def _legend(state: ReadingState) -> Mapping[str, str]:
    """What each letter of the legend means, as it is commonly typed."""
    found: dict[str, str] = {}
    for index in _legend_lines(state):
        for match in _ITEM.finditer(state.lines[index].text):
            if meant := _meant(match["words"]):
                found.setdefault(match["letter"], meant)
        for letter, meant in _told(state.lines[index].text):
            found.setdefault(letter, meant)
    return found


def _told(text: str) -> list[tuple[str, str]]:
    """Letters and the common ones for them, told in any words: ``d = duim, w = wijsvinger``."""
    found: list[tuple[str, str]] = []
    for one in told(text, "legend"):
        if isinstance(one.value, tuple):
            pairs = one.value if isinstance(one.value[0], tuple) else (one.value,)
            found += [(s, m) for s, m in pairs if len(s) == len(m) == 1 and m in _HAND]
    return found


_HAND = frozenset("TIM")


def _meant(words: str) -> str:
    """The common letter or sign of what words of a legend say, empty if it is no hand's."""
    low = words.lower()
    return next((sign for start, sign in MEANT_BY_LETTERS if re.match(start, low)), "")


def beside_rows(state: ReadingState) -> Iterator[int]:
    """The indices of lines of words right over or under rows."""
    for index in range(len(state.lines)):
        if index in state.in_block or state.lines[index].blank:
            continue
        if index + 1 in state.in_block or index - 1 in state.in_block:
            yield index
