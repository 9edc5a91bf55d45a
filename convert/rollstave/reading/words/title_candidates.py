"""What may be the title among the lines over the first rows: every line, and the pieces of it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from msgspec import Struct

from rollstave.patterns import rare
from rollstave.reading.page.decode import Line
from rollstave.reading.words import titles
from rollstave.reading.words.dividing import pieces
from rollstave.reading.words.name_part import name_part
from rollstave.reading.words.names import named_in
from rollstave.reading.words.title_line import split_title

_MOST_LINES = 40
_MOST_PIECES = 5  # of a line; more are a list or a sentence
_LONGEST = 70  # characters of a name
_LONGEST_LINE = 300


class Candidate(Struct, frozen=True):
    """Words of a line of the head that may be the title: the index of the line, where they begin
    and end in it, the name without what dresses it, and how they were found (``cut`` as the rules
    for the line of a title cut it, ``piece``, ``quoted``, ``told``)."""

    index: int
    start: int
    end: int
    name: str
    found: str


def lines_shown(lines: Sequence[Line]) -> list[int]:
    """The indices of the lines of a head that have words; of many, the top of the page and what
    stands over the rows."""
    shown = [
        index
        for index, line in enumerate(lines)
        if len(line.text) <= _LONGEST_LINE and any(map(str.isalpha, line.text))
    ]
    if len(shown) > _MOST_LINES:
        shown = [*shown[: _MOST_LINES // 2], *shown[-_MOST_LINES // 2 :]]
    return shown


def candidates(lines: Sequence[Line], shown: Sequence[int]) -> list[Candidate]:
    """The candidates of some lines of a head, none of them twice."""
    found: dict[tuple[int, int, int], Candidate] = {}
    for index in shown:
        for start, end, name, how in _of_line(lines[index]):
            if 1 < len(name) <= _LONGEST and any(map(str.isalpha, name)):
                candidate = Candidate(index=index, start=start, end=end, name=name, found=how)
                found.setdefault((index, start, end), candidate)
    return list(found.values())


_QUOTED = rare(r"[\"“„«](?P<n>[^\"“”„«»]{2,70}?)[,.!]?[\"”»“]", cues=('"', "“", "„", "«"))
_BETWEEN = re.compile(r":\s+|\s{2,}|\s+(?:by|--?-?|/|\|)\s+|\s*[!?]+\s+")


def _of_line(line: Line) -> Iterator[tuple[int, int, str, str]]:
    text = line.text
    yield from _cut(line)
    if '"' in text or not text.isascii():
        for match in _QUOTED.finditer(text):
            yield *match.span("n"), match["n"].strip(), "quoted"
    for name, start in named_in(text):
        yield start, start + len(name), name, "told"
    for start in _starts(text)[1 : _MOST_PIECES + 1]:
        for at, end, name, _ in _cut(line, start):
            yield at, end, name, "piece"


def _starts(text: str) -> list[int]:
    """Where the pieces of a line begin."""
    found = []
    for piece in pieces(text):
        at = 0
        for match in _BETWEEN.finditer(piece.text):
            if piece.text[at : match.start()].strip():
                found.append(piece.start + at)
            at = match.end()
        if piece.text[at:].strip():
            found.append(piece.start + at)
    return found


def _cut(line: Line, first: int = 0) -> Iterator[tuple[int, int, str, str]]:
    """The name as the rules for the line of a title cut it out of what stands from ``first`` on."""
    rest = line.text[first:].strip()
    text = titles.undressed(rest) if rest else ""
    begins, _ = name_part(text)
    text = text[begins:]
    title, _ = split_title(line, max(0, line.text.find(text, first)), text)
    start, end = name_part(title)
    if titles.heads_a_sheet(title) and not titles.heads_a_sheet(title[start:end]):
        start, end = 0, len(title)
    bare = title[start:end].strip(" ,;-")
    name = titles.undressed(bare) if bare else ""
    at = line.text.find(name, first)
    if name and at >= 0:
        yield at, at + len(name), name, "cut"
    elif name:  # "T I T L E"
        at = line.text.index(rest)
        yield at, at + len(rest), name, "cut"
