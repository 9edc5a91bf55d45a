"""The name within the line of a title: what stands before it and behind it says something else.

``Tab no. 12 -- THE LANTERN``, ``Lantern Song - strumming part``, ``riff for the Mill Blues``: the
pieces of the line are held against each other. Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from rollstave.patterns import rare
from rollstave.reading.words.dividing import Piece, pieces
from rollstave.reading.words.titles import heads_a_sheet, looks_named
from rollstave.vocabulary.headings import INSTRUMENTS

# What such a thing is called: "riff for the Mill Blues" is a riff, and "Mill Blues" the tune.
_THING = rare(
    r"(?:riff|lick|tab|tablature|chords?|intro|solo|break|arrangement|part|melody|bass\s+line)"
    r"\s+(?:for|of|to|from)\s+(?:the\s+)?(?=\S+\s+\S)",
    re.IGNORECASE,
)
_HEADED = rare(r"(?:tune|title|song|name)(?:\s{2,}|\t)(?=\S)", re.IGNORECASE)
_COUNTED = rare(r"(?:tab|tune|song|lesson|no\.?|number|page|sheet)\b.{0,16}?\d+\W*", re.IGNORECASE)
# What no name of a tune says behind it.
_NO_NAME = rare(
    r"\b(?:tab|part|version|arrang\w+|strumm?\w*|finger-?picking|picking|played|play|learned|typed"
    rf"|for\s+(?:the\s+)?(?:\w+\s+)?(?:{INSTRUMENTS}))\b",
    re.IGNORECASE,
)
_GOES_ON = rare(r"(?:or|the|a|an|of|and|in|on|at|to|o')\b")  # as names do behind a comma
_DASHES = ("-", "--", "---")
_DIVIDERS = frozenset(("", ",", "-", "--", "---", ";"))


def name_part(text: str) -> tuple[int, int]:
    """Where the name of the tune begins and ends in the words of a title."""
    start, end = 0, len(text)
    if match := _HEADED.match(text):
        start = match.end()
    if match := _THING.match(text, start):
        start = match.end()
    found = [
        Piece(piece.start + start, piece.text, piece.divider) for piece in pieces(text[start:])
    ]
    first = _first(found)
    if first:
        start = found[first].start
    sheet = bool(found) and heads_a_sheet(found[first].text)  # what follows belongs to its head
    for piece in () if sheet else found[first + 1 :]:
        if piece.divider in _DIVIDERS and _says_no_name(found[first], piece):
            end = found[found.index(piece) - 1].start + len(found[found.index(piece) - 1].text)
            break
    inside = text[start:end]
    return (
        (start, end)
        if inside.strip() and inside.count("(") == inside.count(")")
        else (0, len(text))
    )


def _first(found: Sequence[Piece]) -> int:
    """The piece that the name begins with: one that is written as a name, if what stands before
    it counts tabs."""
    for index, piece in enumerate(found[:-1]):
        before = _COUNTED.fullmatch(piece.text)
        after = found[index + 1]
        dashed = after.divider in _DASHES and looks_named(after.text)
        if dashed and heads_a_sheet(piece.text) and not heads_a_sheet(after.text):
            return index + 1  # NOTE TO SELF - Brickfield Stomp
        if not before or after.divider not in _DIVIDERS:
            return index
        if not (after.text.isupper() or looks_named(after.text)) or len(after.text.split()) < 2:
            return index
    return max(0, len(found) - 1) if len(found) > 1 else 0


def _says_no_name(first: Piece, piece: Piece) -> bool:
    """True for a piece behind the name that is written otherwise, or says how it is played."""
    small = piece.text[:1].islower()
    if not small:
        return False
    if _NO_NAME.search(piece.text):
        return True
    return first.text[:1].isupper() and looks_named(first.text) and not _GOES_ON.match(piece.text)
