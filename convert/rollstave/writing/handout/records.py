"""What a hand-out is: parts under a heading, each of blocks in order. Public.

A hand-out says nothing that was not put into it: whoever makes one decides the music and the
words, the writers only set them.
"""

from __future__ import annotations

from msgspec import Struct

from rollstave.deciding.shapes import NamedShape
from rollstave.score.records import Score


class Words(Struct, frozen=True):
    """A paragraph. ``inferred`` words say what was worked out and not typed: they are in italics.
    ``teacher`` words are the typist's own, and stand apart from ours by a line at their side."""

    text: str
    inferred: bool = False
    teacher: bool = False


class Shapes(Struct, frozen=True):
    """Chord shapes side by side, each with the words under it that ``captions`` has for it.
    ``name`` stands over them."""

    shapes: tuple[NamedShape, ...]
    captions: tuple[str, ...] = ()
    name: str = ""


class ChartBar(Struct, frozen=True):
    """A measure of a chart: its number, its chords in order, and a few words under them. ``left``
    and ``right`` are True where a repeat begins or ends; ``ending`` is the number of an ending
    that begins here."""

    number: int
    chords: tuple[str, ...]
    under: str = ""
    left: bool = False
    right: bool = False
    ending: str = ""


class Chart(Struct, frozen=True):
    """The chords of a part of a tune, measure by measure, so many measures to a line."""

    bars: tuple[ChartBar, ...]
    name: str = ""
    per_line: int = 4

    @property
    def lines(self) -> list[tuple[ChartBar, ...]]:
        """Its measures line by line; a pickup stands before those of the first."""
        first = self.per_line + (self.bars[0].number == 0 if self.bars else 0)
        starts = [0, *range(first, len(self.bars), self.per_line)]
        ends = (*starts[1:], len(self.bars))
        return [self.bars[a:b] for a, b in zip(starts, ends, strict=True) if a < b]


class Exercise(Struct, frozen=True):
    """A few measures under a heading. ``why`` says what they are for, or what to look after.

    ``name`` is the heading, and what a page that plays calls it. ``score`` has nothing but these
    measures; its setup and key are those of all exercises of a hand-out. ``per_line`` is
    how many measures stand on a line; 0 breaks lines as a sheet does, at phrases.
    """

    name: str
    score: Score
    why: str = ""
    per_line: int = 4


Block = Words | Shapes | Chart | Exercise


class Part(Struct, frozen=True):
    """A part of a hand-out under its own heading. With ``own_page`` it begins a page."""

    name: str
    blocks: tuple[Block, ...]
    own_page: bool = False


class Handout(Struct, frozen=True):
    """A hand-out: its title, the tune or the setup that it is for, its parts in order. Tuning,
    capo and tempo of ``score`` are told at the head; its measures are not shown."""

    title: str
    score: Score
    parts: tuple[Part, ...]

    @property
    def exercises(self) -> tuple[Exercise, ...]:
        """All exercises in order."""
        return tuple(b for part in self.parts for b in part.blocks if isinstance(b, Exercise))
