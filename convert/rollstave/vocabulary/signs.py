"""Looking things up in the table of techniques: by sign, by what a note has, by link.

What a sign means is the table's, changed by a tune's own legend.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from operator import attrgetter
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from rollstave.grid.typed import LegendSign, Link, Stroke
from rollstave.problems import Place
from rollstave.vocabulary.technique import MARKS, Technique
from rollstave.vocabulary.techniques import TECHNIQUES

_LONGEST = 4  # letters of a sign
_NEAR = 4  # characters between a note and the slide sign beside the next, if a beat takes no more
_BEATS = 4  # of a measure, about
ROUND = "()"  # the sign of a legend for round brackets
BY_NAME: Mapping[str, Technique] = {row.name: row for row in TECHNIQUES}
LINKS: Mapping[Link, Technique] = {
    row.value: row for row in TECHNIQUES if row.what == "link" and isinstance(row.value, Link)
}
EDGES = tuple(row for row in TECHNIQUES if row.what == "edge")
LEADS = frozenset(link for link, row in LINKS.items() if row.leads)
UNPICKED = frozenset(link for link, row in LINKS.items() if not row.picked)
HELD = frozenset(link for link, row in LINKS.items() if row.held)
_COMMON: Mapping[str, Technique] = {
    sign: row
    for row in reversed(TECHNIQUES)  # of two rows with one sign the first has it
    if row.what in ("link", "mark")
    for sign in row.signs
}
_ROUND = next(row for row in TECHNIQUES if row.brackets and row.around == ("(", ")"))


class Signs(Struct, frozen=True):
    """The signs of one tune. ``brackets`` is what a fret in round brackets is; in braces it is
    always a grace note. ``own`` is what the tune's own legend says."""

    meanings: Mapping[str, Technique]
    brackets: Technique = _ROUND
    own: tuple[LegendSign, ...] = ()
    either: frozenset[str] = frozenset()

    def with_own(self, sign: LegendSign) -> Signs:
        """The signs with one meaning changed."""
        row = BY_NAME[sign.means]
        own = (*self.own, sign)
        if sign.sign == ROUND:
            return replace(self, brackets=row, own=own)
        return replace(self, meanings={**self.meanings, sign.sign: row}, own=own)

    def spelling(self, row: Technique, meant: Technique | None = None) -> str:
        """How a technique is typed: its first sign that means it, or that means ``meant``; empty
        if none does."""
        meant = meant or row
        for sign in row.signs:
            if self.meanings.get(sign) is meant:
                return sign
        return next((sign for sign, found in self.meanings.items() if found is meant), "")

    def longest(self, text: str) -> str:
        """The longest sign that letters begin with, if what follows is signs too."""
        for length in range(min(_LONGEST, len(text)), 0, -1):
            word = text[:length]
            known = word if word in self.meanings else word.lower()
            if known in self.meanings and (length == len(text) or self.longest(text[length:])):
                return known
        return ""


COMMON = Signs(_COMMON)


def signs_of(own: Iterable[LegendSign]) -> Signs:
    """The common signs, changed by a tune's own."""
    signs = COMMON
    for sign in own:
        if sign.means in BY_NAME:
            signs = signs.with_own(sign)
    return signs


def says(line: str, sign: LegendSign) -> bool:
    """Whether a line of words, or what was kept of it, is the one that gives a sign its meaning."""
    return line == sign.line or (sign.sign[0] in line and line in sign.line)


def is_far(gap: int, width: int) -> bool:
    """True if a slide sign stands so many empty characters after a note that it is not slid from:
    more than about a beat of a measure ``width`` characters wide. Our choice, no source."""
    return gap > max(_NEAR, width // _BEATS)


# What a note has ----------------------------------------------------------------------------

_ON_NOTES = tuple(row for row in TECHNIQUES if row.what in ("mark", "edge") and not row.event)
_FIELDS = tuple(dict.fromkeys(row.field for row in _ON_NOTES if row.field != MARKS))
_values = attrgetter(*_FIELDS, MARKS)
# What most notes have; asked first, because it is quick.
_NOTHING = _values(Stroke(string=1, fret=0, place=Place(1, 1)))


def techniques_of(note: Any) -> tuple[Technique, ...]:
    """The marks and edges that a stroke or a note has, in the order of the table."""
    values = _values(note)
    return () if values == _NOTHING else _having(values)


@lru_cache(maxsize=256)
def _having(values: tuple[Any, ...]) -> tuple[Technique, ...]:
    has = dict(zip((*_FIELDS, MARKS), values, strict=True))
    return tuple(row for row in _ON_NOTES if _is(row, has[row.field]))


def _is(row: Technique, value: Any) -> bool:
    if row.field == MARKS:
        return row.name in value
    if row.what == "edge":
        return value is row.value
    return value is not None and value is not False


def setting(row: Technique, note: Any, value: object = None) -> dict[str, Any]:
    """The fields of a stroke or a note that a technique changes; ``value`` is how much of it."""
    if row.field == MARKS:
        return {MARKS: tuple(sorted({*note.marks, row.name}))}
    return {row.field: row.value if value is None else value}
