"""Letters of fingers stand at notes that fingers strike."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby, pairwise

from rollstave.grid.typed import Attachment, GridMeasure, LineKind
from rollstave.reading.doubting.read import Read
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.signs import UNPICKED


def letters_at_picked_notes(read: Read) -> None:
    """Say in which measure a letter stands at a note that is not picked, while one that is has
    none: the letters seem to stand beside their notes."""
    for measure in read.grid.measures:
        letters = measure.attached(LineKind.PICKING)
        if letters and _beside(measure, {a.column for a in letters}):
            read.say(
                kinds.LETTER_BESIDE,
                "a letter stands at a note here that no finger strikes, and a note that is struck "
                "has none; type each letter under its note",
                letters[0].place,
            )


def _beside(measure: GridMeasure, lettered: set[int | None]) -> bool:
    unpicked = {
        i
        for i, column in enumerate(measure.columns)
        if all(stroke.link in UNPICKED for stroke in column.strokes)
    }
    bare = set(range(len(measure.columns))) - lettered - unpicked
    return bool(bare) and bool(unpicked & lettered)


_FEWEST = 4  # words of a line that show what it is


def signs_that_are_sung(read: Read) -> None:
    """Say which line of single letters and figures is read as words to sing."""
    for line in _lines(read, LineKind.LYRICS):
        short = sum(_is_sign(word.text.strip(".-")) for word in line)
        if len(line) >= _FEWEST and 2 * short > len(line):
            read.say(
                kinds.KEPT_AS_WORDS,
                "these letters are read as words to sing; if they are something else, say at the "
                "left end of the line what",
                line[0].place,
            )


_OF_HANDS = frozenset("pimatdu")  # what fingers and strokes are called (common practice)
_RUN = 4  # such letters that touch


def _is_sign(text: str) -> bool:
    """True for one letter or figure, and for letters of fingers that touch: ``pimapima``."""
    return len(text) <= 1 or (len(text) >= _RUN and _OF_HANDS.issuperset(text.lower()))


def counts_that_count(read: Read) -> None:
    """Say which line of figures is read as counts and does not count."""
    for line in _lines(read, LineKind.COUNTS):
        figures = [int(word.text) for word in line if word.text.isdecimal()]
        falls = sum(later < before and later != 1 for before, later in pairwise(figures))
        if len(figures) >= _FEWEST and 4 * falls > len(figures):
            read.say(
                kinds.KEPT_AS_WORDS,
                "these figures are read as counts, and they do not count up; if they are something "
                "else, say at the left end of the line what",
                line[0].place,
            )


def _lines(read: Read, kind: LineKind) -> Iterator[list[Attachment]]:
    """The words of a kind line by line."""
    found = [a for measure in read.grid.measures for a in measure.attachments if a.kind is kind]
    for _, line in groupby(found, key=lambda a: a.place.line):
        yield list(line)
