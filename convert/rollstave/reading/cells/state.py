"""A cell while it is read: what stands where, and what was typed before the next note."""

from __future__ import annotations

import re

from msgspec import Struct, field
from msgspec.structs import replace

from rollstave.grid.typed import Link, SlideEdge, Stroke
from rollstave.problems import Place, ProblemList
from rollstave.reading.cells.graces import Graces
from rollstave.reading.ledger import Ledger, Use
from rollstave.reading.rows.cutting import Cell
from rollstave.reading.rows.records import DigitStyle
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.signs import BY_NAME, COMMON, EDGES, LINKS, Signs, is_far, setting
from rollstave.vocabulary.technique import Technique

_WORD_SIGN = re.compile(r"\((?P<inside>[A-Za-z/\\~^]{1,4})\)|(?P<bare>[A-Za-z]{2,8})")
_FAR = 8  # characters between a slide sign and its note; no hand slides that long


class RowReading(Struct):
    """What one cell holds: its strokes by character index, the same for letters of rests, and signs
    left for the next cell."""

    strokes: list[tuple[int, Stroke]] = field(default_factory=list)
    sign_widths: dict[int, int] = field(default_factory=dict)
    pending: Link | None = None
    rest: int = 0  # characters after the last note
    graces: Graces = field(default_factory=Graces)
    rests: list[int] = field(default_factory=list)


class Manner(Struct, frozen=True):
    """How the cells of a tune are read. ``signs`` says what signs mean, ``digits`` which numbers
    are two notes, ``half_frets`` whether the neck has frets that are typed ``6+``. What is not
    understood is added to ``problems``; ``ledger`` is told what every character was taken for."""

    problems: ProblemList
    signs: Signs = COMMON
    digits: DigitStyle | None = None
    ledger: Ledger | None = None
    half_frets: bool = False


class CellState(Struct):
    """A cell while it is read. ``touching`` is the index right after the last note and what clings
    to it; ``waiting`` are marks typed before their note, with their places; ``slur_ends`` are
    brackets that close around joined notes. ``sign_at`` is where the sign stands that leads on,
    None for one typed before the bar, and ``sign_long`` its length; ``sign_width`` counts the
    characters of all signs since the last note, and ``sign_count`` those that lead. ``earlier`` is
    how many characters have stood since the last note of the string before this cell."""

    manner: Manner
    cell: Cell
    text: str
    string: int
    earlier: int | None
    reading: RowReading
    index: int = 0
    sign_at: int | None = None
    sign_long: int = 0
    sign_width: int = 0
    sign_count: int = 0
    touching: int = -1
    waiting: list[tuple[Technique, int, int]] = field(default_factory=list)
    slur_ends: set[int] = field(default_factory=set)

    @property
    def char(self) -> str:
        return self.text[self.index]

    def place(self, index: int) -> Place:
        return self.cell.row.line.place(self.cell.start + index)

    def unread(self, index: int, width: int, message: str) -> None:
        """Report characters that are left out."""
        self.manner.problems.add(
            kinds.UNREAD,
            f"{self.text[index : index + width]!r} {message}; it is left out of the music",
            self.place(index),
        )
        if self.manner.ledger is not None:
            start = self.cell.start + index
            self.manner.ledger.claim(self.cell.row.line, start, start + width, Use.REPORTED)

    def sign(self) -> tuple[str, int]:
        """The sign at the index and its width: a word (``sl``), one in brackets, or one
        character."""
        signs = self.manner.signs
        if match := _WORD_SIGN.match(self.text, self.index):
            if word := match["inside"]:
                known = word if word in signs.meanings else word.lower()
                if known in signs.meanings:
                    return known, len(match[0])
            elif known := signs.longest(match["bare"]):
                return known, len(known)
        return self.char, 1

    def amend(self, row: Technique, value: object = None) -> None:
        """Add a mark to the last note of the cell, if it has one."""
        if self.reading.strokes:
            digits, stroke = self.reading.strokes[-1]
            changed = replace(stroke, **setting(row, stroke, value))
            self.reading.strokes[-1] = (digits, changed)

    def lead(self, link: Link, width: int) -> None:
        """A sign that leads to the next note; the first of several counts."""
        if self.reading.pending is None:
            self.reading.pending = link
            self.sign_at, self.sign_long = self.index, width
        self.sign_width += width
        self.sign_count += 1

    def add(self, stroke: Stroke, digits: int) -> None:
        """A note, with what was typed before it."""
        reading = self.reading
        reading.strokes.append((digits, self._led(stroke)))
        if reading.graces.found:
            self.sign_width += reading.graces.take_note(digits)
        for row, _, _ in self.waiting:
            self.amend(row)
        self.waiting.clear()
        if self.sign_width:
            reading.sign_widths[digits] = self.sign_width
        reading.pending, self.sign_at = None, None
        self.sign_width = self.sign_count = 0

    def _led(self, stroke: Stroke) -> Stroke:
        """The stroke, reached as the sign before it says."""
        reading, link = self.reading, self.reading.pending
        if link is None:
            return stroke
        # A sign beside each of two notes says that one is slid from to the other.
        alone = link is Link.SLIDE and self.sign_at is not None and self.sign_count == 1
        if alone and (one_ended := self._one_ended(stroke, self.sign_at or 0)) is not None:
            return one_ended
        if reading.strokes or self.earlier is not None or LINKS[link].from_nowhere:
            return replace(stroke, link=self._either_way(link, stroke))
        if self.sign_at is not None:
            if link is Link.SLIDE:
                return self._slid_into(stroke, self.sign_at)
            self.unread(self.sign_at, self.sign_long, "leads here from no note of this string")
        return stroke

    def _either_way(self, link: Link, stroke: Stroke) -> Link:
        """The link, or the one that goes the other way, where the legend has one sign for both."""
        at = self.sign_at
        if at is None or not self.manner.signs.either or not self.reading.strokes:
            return link
        before = self.reading.strokes[-1][1].fret
        if self.text[at : at + self.sign_long] not in self.manner.signs.either or before is None:
            return link
        row = LINKS[link]
        if stroke.fret is None or (stroke.fret - before) * row.way >= 0 or not row.other:
            return link
        other = BY_NAME[row.other].value
        return other if isinstance(other, Link) else link

    def _one_ended(self, stroke: Stroke, at: int) -> Stroke | None:
        """The stroke after a single slide sign that joins no two notes: it stands too far from
        one of them. None if it joins two."""
        if self.reading.strokes:
            if self.index - at > _FAR:
                self.slide_away(at)
                self._say_far(self.index, "the note here", "slide sign before it", "a slide to")
                return stroke
            gap = at - self.touching
        elif self.earlier is not None:
            gap = at + self.earlier
        else:
            return None
        width = len(self.text)
        if self.index - at > self.sign_long or not is_far(gap, width):
            return None
        if gap < width:
            self._say_far(at, "the slide sign here", "note before it", "a slide from")
        return self._slid_into(stroke, at)

    def _say_far(self, index: int, here: str, there: str, what: str) -> None:
        self.manner.problems.add(
            kinds.FAR_SLIDE,
            f"{here} is too far from the {there}, so that it is read as {what} nowhere; type a "
            "sign beside both notes (5/---/7) if one is slid from to the other",
            self.place(index),
        )

    def _slid_into(self, stroke: Stroke, at: int) -> Stroke:
        return replace(stroke, slide_from=_edge("slide_from", self.text[at]))

    def slide_away(self, at: int) -> None:
        """A slide sign after the last note leads to none."""
        digits, stroke = self.reading.strokes[-1]
        away = replace(stroke, slide_to=_edge("slide_to", self.text[at]))
        self.reading.strokes[-1] = (digits, away)

    def close(self) -> None:
        """What is left at the end of the cell: marks without a note are reported. A sign without
        a note after it is a slide to nowhere or, in the last two characters, carried over the bar;
        an earlier one has no target."""
        for _, start, width in self.waiting:
            self.unread(start, width, "stands at no note")
        pending, at = self.reading.pending, self.sign_at
        if pending is None or at is None or at >= len(self.text) - 2:
            return
        if pending is Link.SLIDE and self.reading.strokes:
            self.slide_away(at)
        elif not LINKS[pending].held:
            self.unread(at, self.sign_long, "leads to no note")
        self.reading.pending = None


def _edge(name: str, sign: str) -> SlideEdge:
    """Which way a slide from or to nowhere goes, by its sign."""
    edges = [row for row in EDGES if row.field == name and isinstance(row.value, SlideEdge)]
    found = next((row for row in edges if sign in row.signs), edges[0])
    assert isinstance(found.value, SlideEdge)
    return found.value
