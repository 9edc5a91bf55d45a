"""The grid: a tab as typed, before anything musical is decided.

Positions inside a measure are character columns counted from 0 at the first character after the
bar line (and after repeat dots). Places in the file are line and column counted from 1.
"""

from __future__ import annotations

from enum import Enum

from msgspec import Struct

from rollstave.problems import Place


class Link(Enum):
    """How a note is reached from the note before it on the same string; a tap also from nowhere."""

    HAMMER_ON = "hammer-on"
    PULL_OFF = "pull-off"
    SLIDE = "slide"
    TAP = "tap"
    TIE = "tie"


class SlideEdge(Enum):
    """A slide with only one end typed, and which way it goes."""

    UP = "up"
    DOWN = "down"


class Stroke(Struct, frozen=True):
    """One note as typed in one row. ``fret`` is None for a muted stroke without a fret.

    ``width`` is how many characters the fret takes, with its brackets. ``bend`` is the rise in
    semitones (2 where the typist did not say). ``link`` says how the note before it on the same
    string leads here; ``slide_from`` and ``slide_to`` are slides from or to nowhere.
    ``half`` is the extra fret after ``fret`` that some necks have, typed ``6+``. ``marks`` are
    techniques that have no field of their own, by name.
    """

    string: int
    fret: int | None
    place: Place
    width: int = 1
    link: Link | None = None
    muted: bool = False
    ghost: bool = False
    harmonic: bool = False
    bend: int | None = None
    vibrato: bool = False
    slide_from: SlideEdge | None = None
    slide_to: SlideEdge | None = None
    let_ring: bool = False
    brushed: bool = False
    half: bool = False
    marks: tuple[str, ...] = ()


class GraceStroke(Struct, frozen=True):
    """A small quick note before a stroke, typed ``{2}``; it takes no time of its own.

    ``position`` is that of its digits in the measure. ``leads`` says how the next note on its
    string is reached from it, as in ``{2}h3``.
    """

    string: int
    fret: int
    place: Place
    position: int
    leads: Link | None = None
    half: bool = False


class Column(Struct, frozen=True):
    """Strokes typed in one column: struck together. ``position`` in characters.

    ``width`` is the width of its widest stroke; ``sign_width`` counts the characters of signs
    (``h``, ``/``) typed between the note before and this one. ``grace`` are the grace notes
    before it, in the order in which they were typed.
    """

    position: int
    strokes: tuple[Stroke, ...]
    width: int = 1
    sign_width: int = 0
    brush: bool = False
    grace: tuple[GraceStroke, ...] = ()

    @property
    def strings(self) -> tuple[int, ...]:
        """The strings that are struck, as the strokes have them."""
        return tuple(s.string for s in self.strokes)

    @property
    def place(self) -> Place:
        """Where its first stroke was typed."""
        return self.strokes[0].place

    @property
    def linked(self) -> bool:
        """True if no stroke of the column is picked: all are reached by the left hand."""
        return all(s.link is not None for s in self.strokes)


class Bar(Enum):
    """What a bar line looks like."""

    NONE = "none"
    SINGLE = "single"
    DOUBLE = "double"
    REPEAT_START = "repeat start"
    REPEAT_END = "repeat end"
    FINAL = "final"


class LineKind(Enum):
    """What a line above or below a system holds."""

    CHORDS = "chords"
    ENDINGS = "endings"
    COUNTS = "counts"
    PICKING = "picking"
    STROKES = "down-strokes and up-strokes"
    LEFT_HAND = "left hand"
    DURATIONS = "durations"
    VOICES = "times of voices"
    STEMS = "stems and beams"
    LYRICS = "lyrics"
    JUMPS = "words and signs of jumps"
    HAND = "words of brush and pinch"

    # Each is there once. Enum's own hash is a call of Python, and every line asks by its kinds.
    __hash__ = object.__hash__


class Attachment(Struct, frozen=True):
    """A word over or under a measure: its kind, text, position in the measure and its column.

    ``column`` is the index of the measure's column it stands at, or None if it stands at none
    (a count between two notes, a chord name where nothing is struck).
    """

    kind: LineKind
    text: str
    position: int
    column: int | None
    place: Place


class Heading(Struct, frozen=True):
    """A heading as typed: its key (``"tuning"``), its text and where the text starts."""

    key: str
    text: str
    place: Place


class GridMeasure(Struct, frozen=True):
    """One measure as typed.

    ``width`` is the number of characters between the bars. ``index`` counts measures in the tune
    from 0. ``system`` counts systems from 0. ``ending`` is the number of an ending that starts
    here, as ``"1"``; ``ending_stop`` marks the measure where it closes. ``times`` is how often a
    repeat that ends here is played, if the typist said; ``jump`` is what sends the player back
    after this measure (``"D.C. al Fine"``), and ``fine`` where such a second pass ends. ``segno``
    and ``coda`` mark measures that jumps lead to; after ``to_coda`` a second pass goes on at the
    coda. ``changes`` are the headings over it in the midst of a tune, ``rests`` the positions of
    letters of rests.
    """

    index: int
    system: int
    width: int
    columns: tuple[Column, ...]
    left: Bar = Bar.NONE
    right: Bar = Bar.SINGLE
    ending: str | None = None
    ending_stop: bool = False
    section: str | None = None
    attachments: tuple[Attachment, ...] = ()
    first_line: int = 0
    last_line: int = 0
    first_column: int = 1
    times: int | None = None
    jump: str | None = None
    fine: bool = False
    segno: bool = False
    to_coda: bool = False
    coda: bool = False
    changes: tuple[Heading, ...] = ()
    rests: tuple[int, ...] = ()

    def attached(self, kind: LineKind) -> tuple[Attachment, ...]:
        """The words of one kind of line over or under the measure."""
        return tuple(a for a in self.attachments if a.kind is kind)


class FreeText(Struct, frozen=True):
    """A line of words that belongs to no system; ``before_measure`` is where it stood, and
    ``of_measure`` the index of the measure that a remark points at. ``beside`` is True for words
    at the end of a row, which speak of the measures before that one."""

    text: str
    place: Place
    before_measure: int
    of_measure: int | None = None
    beside: bool = False


class LegendSign(Struct, frozen=True):
    """A sign that a file's own legend gives a meaning: ``sign`` as typed, ``()`` for round
    brackets; ``means`` the name of a technique; ``line`` the line that says so."""

    sign: str
    means: str
    line: str


class GridTune(Struct, frozen=True):
    """One tune of a file as typed. ``labels`` are the row labels, string 1 first, or empty;
    ``signs`` what the file's own legend says of its signs; ``asked`` what words may say, of which
    nothing was made."""

    headings: tuple[Heading, ...]
    measures: tuple[GridMeasure, ...]
    notes: tuple[FreeText, ...] = ()
    labels: tuple[str, ...] = ()
    strings: int = 5
    first_line: int = 1
    signs: tuple[LegendSign, ...] = ()
    asked: tuple[Heading, ...] = ()
