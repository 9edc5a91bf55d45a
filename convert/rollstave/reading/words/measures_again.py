"""Measures that words say are as others are: ``bars 5, 6 and 7 are the same as 1, 2 and 3``.

Common practice of typists who save themselves a system, no source.
"""

from __future__ import annotations

import re

from msgspec import Struct
from msgspec.structs import replace

from rollstave.grid.typed import Bar
from rollstave.patterns import rare
from rollstave.reading.state import ReadingState
from rollstave.reading.words.changes import as_before
from rollstave.reading.words.taking import note_line
from rollstave.vocabulary import problems as kinds

_WORDS = (
    *("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven"),
    "twelve",
)
_ORDINALS = (
    *("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth"),
    *("tenth", "eleventh", "twelfth"),
)
_NUMBER = rf"(?:\d{{1,3}}|{'|'.join(_WORDS)})\b"
_ORDINAL = rf"(?:the\s+)?(?:{'|'.join(_ORDINALS)}|\d{{1,2}}(?:st|nd|rd|th))\b"
_AND = r"\s*(?:,|and|&|-|–|to|through)\s*(?:and\s+)?"
_BARS = r"(?:bars?|measures?|meas\.?|mm?\.)"


def _some(name: str, bare: bool) -> str:
    """Measures by their numbers: ``bars 5 to 7``, ``the first bar``."""
    bars = rf"(?:{_BARS}\s*)?" if bare else rf"{_BARS}\s*"
    numbers = rf"{bars}{_NUMBER}(?:{_AND}{_NUMBER})*(?![\d/])"
    after = rf"(?:\s+{_BARS})?" if bare else rf"\s+{_BARS}"
    ordinals = rf"{_ORDINAL}(?:{_AND}{_ORDINAL})*{after}"
    return rf"(?P<{name}>{numbers}|{ordinals})"


_SAME = rare(
    rf"\b{_some('these', bare=False)}\s*(?:[:,-]+\s*)?(?:(?:is|are)\s+)?"
    r"(?:just\s+|exactly\s+|played\s+)?"
    r"(?:(?:the\s+)?same\s+as|identical\s+(?:to|with)|as(?:\s+in)?|like|=)\s*"
    + _some("those", bare=True),
    re.IGNORECASE,
)
_ITEM = rare(
    rf"(?P<from>\d+|{'|'.join((*_ORDINALS, *_WORDS))})(?:st|nd|rd|th)?"
    rf"(?:\s*(?:-|–|to|through)\s*(?:the\s+)?(?P<to>\d+|{'|'.join((*_ORDINALS, *_WORDS))}))?",
    re.IGNORECASE,
)
_LONGEST = 64  # measures at once


# What is asked before the long pattern is compiled: "as" stands in "measure" too.
_A_BAR = rare(r"\bbar|\bmeas|\bmm?\.")
_LIKE = rare(r"\b(?:same|identical|as|like)\b|=")


class Same(Struct, frozen=True):
    """The numbers of some measures, and of those that they are like."""

    these: tuple[int, ...]
    those: tuple[int, ...]
    start: int


def said_same(text: str) -> Same | None:
    """What words say of measures that are as others are."""
    low = text.lower()
    if not _A_BAR.search(low) or not _LIKE.search(low):
        return None
    match = _SAME.search(text)
    if match is None:
        return None
    these, those = _listed(match["these"]), _listed(match["those"])
    if len(these) != len(those) or not these:
        return None
    return Same(these=these, those=those, start=match.start())


def measures_as_before(state: ReadingState, index: int) -> bool:
    """Add measures that words say are as some above, if the next ones are meant. The words are
    kept."""
    line, tune = state.lines[index], state.tune
    same = said_same(line.text)
    count = len(tune.measures)
    if same is None or not count or max(same.those) > count or min(same.those) < 1:
        return False
    if same.these != tuple(range(count + 1, count + 1 + len(same.these))):
        return False
    copies = [
        replace(tune.measures[number - 1], index=count + at, system=tune.systems, section=None)
        for at, number in enumerate(same.those)
    ]
    note_line(state, line)
    tune.measures.extend(as_before(tune.headings, tune.measures, copies))
    tune.systems += 1
    state.problems.add(
        kinds.AGAIN,
        f"the {len(copies)} measures that these words name are added again"
        if len(copies) > 1
        else "the measure that these words name is added again",
        line.place(same.start),
    )
    return True


# "Play that row twice. Then this one:"; a whole line of such words is a direction.
_ROW_TWICE = rare(
    r"(?:^|[.!?;]\s)\s*(?:now\s+)?(?:play|do|repeat|take)\s+that\s+(?:row|line)\s+"
    r"(?:twice|(?:two|2)\s+times|2\s?x|x\s?2)(?=\s*[.!;,]\s*\S)",
    re.IGNORECASE,
    cues=("row", "line"),
)


def row_twice(state: ReadingState, index: int) -> bool:
    """Put repeat bars around a system that words say is played twice: ``play that row twice``. The
    words are kept."""
    line, tune = state.lines[index], state.tune
    match = _ROW_TWICE.search(line.text)
    if match is None or not tune.measures:
        return False
    last = len(tune.measures)
    first = 1 + sum(m.system < tune.systems - 1 for m in tune.measures)
    if any(m.left is Bar.REPEAT_START or m.right is Bar.REPEAT_END for m in tune.measures):
        return False
    note_line(state, line)
    opens, closes = tune.measures[first - 1], tune.measures[last - 1]
    tune.measures[first - 1] = replace(opens, left=Bar.REPEAT_START)
    closes = tune.measures[last - 1] if first == last else closes
    tune.measures[last - 1] = replace(closes, right=Bar.REPEAT_END)
    state.problems.add(
        kinds.TIMES,
        f"measures {first} to {last} are played 2 times; repeat bars are added",
        line.place(match.start()),
    )
    return True


def _listed(text: str) -> tuple[int, ...]:
    found: list[int] = []
    for match in _ITEM.finditer(text):
        first = _value(match["from"])
        last = _value(match["to"]) if match["to"] else first
        if last - first > _LONGEST:
            return ()
        found += range(first, last + 1)
    return tuple(found)


def _value(word: str) -> int:
    """A number in figures or in words."""
    if word.isdecimal():
        return int(word)
    low = word.lower()
    return 1 + (_ORDINALS.index(low) if low in _ORDINALS else _WORDS.index(low))
