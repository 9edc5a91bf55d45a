"""Cutting a file where the instrument changes: tunes that name their own instrument."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from rollstave.instruments.known import OWN, Known
from rollstave.reading.ledger import Ledger
from rollstave.reading.page.decode import Line, split_lines
from rollstave.reading.page.scrub import scrub
from rollstave.reading.rows.finding import find_rows
from rollstave.reading.words.headings import read_headings
from rollstave.reading.words.titles import could_be_title, is_ruler
from rollstave.reading.words.tuning_words import knowing


class Part(Struct, frozen=True):
    """A piece of a file for one instrument, and the number of its first line."""

    text: str
    first_line: int


def parts_of(text: str, known: Known = OWN) -> tuple[Part, ...]:
    """The file as one piece, unless a tune after the first names an instrument: then a piece for
    each tune that begins with a title or an instrument of its own. ``known`` are the instruments
    that there are."""
    if text.lower().count("instrument") == 0:
        return (Part(text, 1),)
    typed = split_lines(text)
    lines = scrub(typed, Ledger())
    rows = find_rows(lines)
    is_row = [row is not None for row in rows]
    with knowing(known):
        firsts = _firsts(lines, is_row)
    # A line that mail had cut is several lines of the file.
    starts = [0, *(lines[first].number - 1 for first in firsts)]
    pieces = []
    for start, end in zip(starts, [*starts[1:], len(typed)], strict=True):
        piece = "\n".join(line.typed for line in typed[start:end])
        pieces.append(Part(piece, start + 1))
    return tuple(pieces) if firsts else (Part(text, 1),)


def _firsts(lines: Sequence[Line], is_row: Sequence[bool]) -> list[int]:
    """The index of the first line of each piece but the first."""
    keys = [
        set() if row or line.blank else {h.key for h in read_headings(line) or ()}
        for line, row in zip(lines, is_row, strict=True)
    ]
    first = is_row.index(True) if True in is_row else len(lines)
    if not any("instrument" in found for found in keys[first:]):
        return []
    starts = [0]
    for index in range(first, len(lines)):
        if keys[index] & {"instrument", "title"}:
            start = _beginning(lines, is_row, keys, index)
            # Only where a tab stands between is it another tune.
            if any(is_row[starts[-1] : start]):
                starts.append(start)
    return starts[1:]


def _beginning(
    lines: Sequence[Line], is_row: Sequence[bool], keys: Sequence[set[str]], index: int
) -> int:
    """The first line of the headings that a line belongs to, with a title alone above them."""
    start = index
    while start and not is_row[start - 1] and not lines[start - 1].blank:
        start -= 1
    above = start - 1
    while above > 0 and lines[above].blank:
        above -= 1
    alone = (
        above > 0 and not is_row[above] and (lines[above - 1].blank or is_ruler(lines[above - 1]))
    )
    titled = any("title" in found for found in keys[start : index + 1])
    named = titled or (lines[start].text.strip() and not keys[start] and start < index)
    if not named and alone and could_be_title(lines[above]):
        return above
    return start
