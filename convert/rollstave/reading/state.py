"""What is known of a text while it is read: the one object that every stage and rule works on."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Mapping, Sequence
from enum import Enum
from typing import Any

from msgspec import Struct, field

from rollstave.grid.typed import FreeText, GridMeasure, GridTune, Heading, LineKind, Link
from rollstave.instruments.instrument import Instrument
from rollstave.instruments.known import OWN, Known
from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.problems import Place, ProblemKind, ProblemList
from rollstave.reading.beside.line_words import Word
from rollstave.reading.labelling.chain import Step
from rollstave.reading.ledger import Ledger
from rollstave.reading.page.decode import Line
from rollstave.reading.rows.records import Block, DigitStyle, Row
from rollstave.reading.words.directions import Direction
from rollstave.vocabulary.signs import COMMON, Signs


class At(Enum):
    """Where a habit is put right, and what its rule takes and gives.

    A rule that gives None, or what it was given, has not found its habit.
    """

    LINES = "lines of a file"  # (state): it changes ``state.lines``
    ROWS = "rows of a file"  # (state): it changes ``state.rows``
    CHAPTER = "rows for one instrument"  # (state): it changes ``state.rows``
    GAP = "between rows"  # (state, runs before, run after) -> whether they are one system
    BLOCK = "rows without a gap"  # (state, rows) -> rows or None
    SYSTEM = "rows of a system"  # (state, rows) -> rows or None
    SYSTEMS = "all systems"  # (state): it changes ``state.blocks`` or how they are read
    MEASURES = "measures of a system"  # (state, slots) -> slots or None
    BESIDE = "words beside a system"  # (state, words, slots) -> words or None
    READ = "measures with their words"  # (state, measures, slots) -> measures or None
    TUNE = "measures of a tune"  # (state, measures) -> measures or None


class Habit(Struct, frozen=True):
    """An odd way of typing that is brought to plain typing.

    ``recognises`` is a sentence on what shows it, ``rule`` the function that puts it right, and
    ``reports`` the kind of problem that says so, where it may be doubted.
    """

    name: str
    at: At
    recognises: str
    rule: Callable[..., Any]
    reports: ProblemKind | None = None


def by_place(habits: Sequence[Habit]) -> Mapping[At, Sequence[Habit]]:
    """The habits of each place, in the order of the table."""
    return {at: tuple(habit for habit in habits if habit.at is at) for at in At}


class TuneSoFar(Struct):
    """A tune while it is read."""

    first_line: int
    headings: list[Heading] = field(default_factory=list)
    measures: list[GridMeasure] = field(default_factory=list)
    notes: list[FreeText] = field(default_factory=list)
    directions: list[Direction] = field(default_factory=list)
    labels: tuple[str, ...] = ()
    section: str | None = None
    section_names: list[str] = field(default_factory=list)
    # Headings over the next system, and the column under which it changes, None for all of it.
    changes: list[tuple[Heading, int | None]] = field(default_factory=list)
    asked: list[Heading] = field(default_factory=list)  # what words may say, and people are asked
    said_endings: list[int] = field(default_factory=list)  # measures before those said in words
    carried: dict[int, Link] = field(default_factory=dict)
    struck: dict[int, int] = field(default_factory=dict)  # characters since each string's last note
    systems: int = 0
    typed: int = 0
    title_guessed: bool = False
    sure_title: bool = False  # the chain of lines is sure of the title's line
    title_judged: bool = False  # what speaks for the title or against it has been said
    numbered: bool = False  # a number stands before the title
    version: bool = False  # another version of the tune before, whose headings it has

    def has_heading(self, key: str) -> bool:
        return any(h.key == key for h in self.headings)

    @property
    def title(self) -> Heading | None:
        return next((h for h in self.headings if h.key == "title"), None)


class ReadingState(Struct):
    """A file, or a chapter of it, on its way from text to grid tunes.

    The fields stand in the order in which the stages fill them.
    """

    habits: Mapping[At, Sequence[Habit]]
    problems: ProblemList
    ledger: Ledger
    text: str = ""  # of the file
    first_line: int = 1  # the number of the first line
    known: Known = OWN  # the instruments whose tunings words may name
    typed: Sequence[Line] = ()  # the lines as they were typed
    lines: list[Line] = field(default_factory=list)  # the lines as plain typing
    fronted: bool = False  # something stood before every line and is taken off
    markup: bool = False  # the lines come from a page with tags
    rows: list[Row | None] = field(default_factory=list)  # a row, or None, for each line
    instrument: Instrument = FIVE_STRING_BANJO
    labels: tuple[str, ...] = ()  # of the first system that has some
    blocks: list[Block] = field(default_factory=list)
    block_at: dict[int, Block] = field(default_factory=dict)  # by the index of its first line
    in_block: set[int] = field(default_factory=set)  # indices of lines
    chains: dict[int, list[tuple[int, Step]]] = field(default_factory=dict)  # of each line of words
    tabbed: tuple[list[bool], int, int] | None = None  # which lines are rows, the first, the last
    judged: dict[int, dict[str, float]] = field(default_factory=dict)  # what a line may be
    signs: Signs = COMMON
    digits: DigitStyle = field(default_factory=DigitStyle)
    exercises: dict[int, str] = field(default_factory=dict)  # headings by the index of their line
    # Lines at which further tunes begin: "" for a name, "version" for one of the tune before,
    # "numbered" for one of several with numbers.
    further: dict[int, str] = field(default_factory=dict)
    own_peg: Place | None = None  # what says that the short string is counted from its peg
    tunes: list[TuneSoFar] = field(default_factory=list)
    over: list[tuple[LineKind, Word, Line]] = field(default_factory=list)  # the next system
    # Names of parts over the next system besides the first, and the column over which each stands.
    parts_over: list[tuple[str, int]] = field(default_factory=list)
    section_line: Line | None = None  # of a section that has no measures yet
    taken: set[int] = field(default_factory=set)  # lines that a heading above them has taken
    numbering: set[int] = field(default_factory=set)  # lines that number the measures
    said_numbers: bool = False  # that the measures are numbered has been said
    ended: bool = False  # a stage has found that there is nothing more to read
    grid: tuple[GridTune, ...] = ()

    def line_numbered(self, number: int) -> Line | None:
        """The plain line of a number."""
        at = bisect_left(self.lines, number, key=lambda line: line.number)
        found = self.lines[at] if at < len(self.lines) else None
        return found if found is not None and found.number == number else None

    @property
    def tune(self) -> TuneSoFar:
        """The tune that lines belong to at this moment."""
        return self.tunes[-1]
