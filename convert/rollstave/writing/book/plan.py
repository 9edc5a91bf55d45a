"""What a book holds and in which order: its plan, its tunes, the names they are sorted by."""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec import Struct

from rollstave.notating.syllables import syllable_of
from rollstave.score.records import Score

ORDERS = ("tuning", "title", "given")
_ARTICLES = re.compile(r"\A(the|an?)\s+(?=\S)", re.IGNORECASE)
_FIRST_LINE = 8  # words, where no comma or full stop ends the line before


class BookPlan(Struct, frozen=True):
    """How a book is made. ``order`` is one of ``ORDERS``: by tuning and title, by title, or as the
    tunes are given. ``foreword`` are its paragraphs, with an empty line between two. ``chords`` and
    ``signs`` say whether it has a page of the chord shapes and one of the signs."""

    order: str = "tuning"
    foreword: str = ""
    chords: bool = True
    signs: bool = True


class Entry(Struct, frozen=True):
    """A tune of a book: its score, its pages as SVG, and its label in the document."""

    score: Score
    pages: tuple[bytes, ...]
    label: str

    @property
    def tuning(self) -> str:
        """The tuning as contents and index name it: ``Sawmill (gDGCD)``."""
        tuning = self.score.setup.tuning
        if not tuning.name:
            return tuning.written
        return f"{tuning.name[0].upper()}{tuning.name[1:]} ({tuning.written})"

    @property
    def spread(self) -> bool:
        """True if its pages should lie open side by side."""
        return len(self.pages) > 1


class Group(Struct, frozen=True):
    """Tunes under one heading; no heading where there is but one group."""

    name: str
    entries: tuple[Entry, ...]


def grouped(entries: Sequence[Entry], order: str) -> list[Group]:
    """The tunes of a book in their order. Groups of a tuning stand in order of their first tune."""
    if order == "given":
        return [Group("", tuple(entries))]
    if order == "title":
        return [Group("", tuple(sorted(entries, key=by_title)))]
    groups: dict[str, list[Entry]] = {}
    for entry in entries:
        groups.setdefault(entry.tuning, []).append(entry)
    return [Group(name, tuple(sorted(found, key=by_title))) for name, found in groups.items()]


def by_title(entry: Entry) -> list[tuple[bool, int, str]]:
    """A key that sorts titles as libraries do: without case and article, numbers by their size and
    before letters (ALA Filing Rules, 1980, from memory)."""
    title = _ARTICLES.sub("", entry.score.title.casefold(), count=1)
    parts = re.split(r"(\d+)", title)
    return [(False, int(p), "") if p.isdecimal() else (True, 0, p) for p in parts if p]


def listed(title: str) -> str:
    """A title as an index has it: ``Lantern Stairs, The``."""
    match = _ARTICLES.match(title)
    return f"{title[match.end() :]}, {match[1]}" if match else title


def first_line(score: Score) -> str:
    """The first line of the first verse, for the index; empty where nothing is sung."""
    words: list[str] = []
    goes_on = False
    for measure in score.measures:
        for event in measure.events:
            if not event.lyric:
                continue
            text, hyphen = syllable_of(event.lyric)
            if goes_on and words:
                words[-1] += text
            elif len(words) == _FIRST_LINE:
                return " ".join(words)
            else:
                words.append(text)
            goes_on = hyphen
            if not hyphen and text.endswith((",", ".", ";", "!", "?", ":")):
                return " ".join(words).rstrip(",.;:")
    return " ".join(words)
