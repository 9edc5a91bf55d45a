"""Tab down the page: each line is a moment, each column a string.

    count g  D  G  B  D
    1     .  .  0  .  .
    &     .  .  .  0  .

The string on the left is the lowest, or the short one, as the player sees the neck (common
practice, no source); where strings are named by numbers, these say which is which.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec import Struct

from rollstave.patterns import rare
from rollstave.reading.other_ways.made import Made, Onset

_HEAD = rare(
    r"(?P<before>(?:\s*[A-Za-z]{2,}\.?)?\s*)(?P<names>(?:[A-Ga-g][#b]?|[1-8])"
    r"(?:\s+(?:[A-Ga-g][#b]?|[1-8])){3,7})\s*"
)
_NAME = rare(r"\S+")
_EMPTY = frozenset(".-|:_*'`")  # a string that is left alone
_FRET = rare(r"[hpsHPS/\\^]?\d{1,2}|[xX]")
_LINE_NUMBER = rare(r"(?:row|line|step|no\.?|nr\.?)\s*\d{1,3}[.:]?", re.IGNORECASE)
_BAR = rare(r"\s*[-=_*~]{4,}(?:\s*\(?(?:bar|measure|m\.)?\s*\d{1,3}\)?)?\s*", re.IGNORECASE)
_FEWEST = 4  # moments


class _Moment(Struct):
    """A line: its number, what is counted there, its frets by column from the left."""

    number: int
    count: str
    frets: dict[int, str]


def down_the_page(lines: Sequence[str]) -> Made | None:
    """The rows of such a tab, None for another text."""
    made = Made()
    index = 0
    systems = 0
    while index < len(lines):
        head = _HEAD.fullmatch(lines[index]) if lines[index].strip() else None
        measures, end = _measures(lines, index + 1, head) if head else ([], index)
        if head is None or sum(map(len, measures)) < _FEWEST:
            made.add(lines[index], index + 1)
            index += 1
            continue
        _take(made, head["names"].split(), measures)
        systems += 1
        index = end
    return made if systems else None


def _measures(
    lines: Sequence[str], index: int, head: re.Match[str]
) -> tuple[list[list[_Moment]], int]:
    """The measures under a head, and the index of the line after them."""
    places = [m.start() + head.start("names") for m in _NAME.finditer(head["names"])]
    measures: list[list[_Moment]] = [[]]
    end = index
    for at in range(index, len(lines)):
        line = lines[at]
        if not line.strip() or _BAR.fullmatch(line):
            if measures[-1]:
                measures.append([])
            end = at + 1 if line.strip() else end
            continue
        moment = _moment(line, at + 1, places)
        if moment is None:
            break
        measures[-1].append(moment)
        end = at + 1
    return [measure for measure in measures if measure], end


def _moment(line: str, number: int, places: Sequence[int]) -> _Moment | None:
    count = _LINE_NUMBER.sub("", line[: places[0]]).strip()
    cells = _NAME.findall(line[places[0] :])
    if len(cells) != len(places) or len(count) > 3:
        return None
    frets = {}
    for column, cell in enumerate(cells):
        if _FRET.fullmatch(cell):
            frets[column] = cell
        elif not set(cell) <= _EMPTY:
            return None
    return _Moment(number, count, frets)


def _take(made: Made, names: Sequence[str], measures: Sequence[Sequence[_Moment]]) -> None:
    numbers = all(name.isdecimal() for name in names)
    top_first = numbers and names[0] == "1"
    labels = [] if numbers else list(reversed(names))
    for start in range(0, len(measures), 2):
        taken = measures[start : start + 2]
        rows: list[list[Onset]] = [
            [
                {
                    (column if top_first else len(names) - 1 - column): fret
                    for column, fret in moment.frets.items()
                }
                for moment in measure
            ]
            for measure in taken
        ]
        counts = [[moment.count for moment in measure] for measure in taken]
        made.system(rows, labels or [""] * len(names), taken[0][0].number, counts)
