"""The shapes of data that the parts of the benchmark hand to each other.

Onsets, durations and lengths are in quarter notes, counted from the start of the measure.
Strings are numbered 1 to 5 from the top line of the tab; pitches are MIDI numbers.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction
from typing import NamedTuple


@dataclass(frozen=True, slots=True)
class Meter:
    """A meter as written: 6/8 is ``Meter(6, 8)``."""

    count: int
    unit: int

    @property
    def length(self) -> Fraction:
        """Quarter notes in a full measure."""
        return Fraction(4 * self.count, self.unit)

    def __str__(self) -> str:
        return f"{self.count}/{self.unit}"


class MeasureKind(StrEnum):
    """How the length of a measure stands to the meter.

    ``PICKUP``: shorter, at the start of the tune or after a repeat or double bar.
    ``COMPLEMENT``: shorter, before a repeat or double bar or at the end, and together with a
    pickup of the same tune as long as a full measure. ``ODD``: any other length; nearly all are
    errors of the corpus. They are typed as they stand and left out of the scores.
    """

    FULL = "full"
    PICKUP = "pickup"
    COMPLEMENT = "complement"
    ODD = "odd"


class Bar(StrEnum):
    """What a bar line looks like."""

    SINGLE = "|"
    DOUBLE = "||"
    REPEAT_START = "|:"
    REPEAT_END = ":|"


class TuneKind(StrEnum):
    """Where a tune comes from: an arranged or a bare fiddle tune, or a tune made of rolls."""

    FIDDLE = "fiddle"
    BARE = "bare"
    ROLL = "roll"


class MelodyNote(NamedTuple):
    """A note of a melody; it lasts until the next onset or the end of the measure."""

    onset: Fraction
    duration: Fraction
    midi: int


@dataclass(frozen=True, slots=True)
class CorpusMeasure:
    """A measure of a melody. ``number`` is the corpus's own measure number."""

    number: int
    length: Fraction
    notes: tuple[MelodyNote, ...]
    kind: MeasureKind
    left: Bar = Bar.SINGLE
    right: Bar = Bar.SINGLE

    @property
    def is_pickup(self) -> bool:
        return self.kind is MeasureKind.PICKUP


@dataclass(frozen=True, slots=True)
class CorpusTune:
    """A melody. ``number`` counts the corpus's files from 0 in sorted path order."""

    number: int
    meter: Meter
    fifths: int
    measures: tuple[CorpusMeasure, ...]


class Stroke(NamedTuple):
    """One string struck. ``link`` is the sign typed before the fret: ``h p / \\`` or None."""

    string: int
    fret: int
    link: str | None = None


class Event(NamedTuple):
    """Strings struck together. Strokes are in the order of the tab's rows."""

    onset: Fraction
    duration: Fraction
    strokes: tuple[Stroke, ...]

    @property
    def linked(self) -> bool:
        return any(s.link is not None for s in self.strokes)

    @property
    def width(self) -> int:
        """Characters of its widest fret."""
        return max(len(str(s.fret)) for s in self.strokes)

    def width_in(self, string: int) -> int:
        """Characters of its fret on that string; 0 if it does not strike it."""
        return max((len(str(s.fret)) for s in self.strokes if s.string == string), default=0)


@dataclass(frozen=True, slots=True)
class ArrangedMeasure:
    """A measure laid out on the banjo, its rhythm known."""

    length: Fraction
    events: tuple[Event, ...]
    kind: MeasureKind = MeasureKind.FULL
    left: Bar = Bar.SINGLE
    right: Bar = Bar.SINGLE


@dataclass(frozen=True, slots=True)
class ArrangedTune:
    """A tune laid out on the banjo. ``tuning`` is its written form, as ``gDGBD``."""

    kind: TuneKind
    number: int
    meter: Meter
    tuning: str
    measures: tuple[ArrangedMeasure, ...]


class Style(StrEnum):
    """How a tune is typed; see ``typist``."""

    EVEN = "even"
    PUSHED = "pushed"
    SLOPPY = "sloppy"
    SQUEEZED = "squeezed"
    COUNTED = "counted"
    LETTERED = "lettered"
    DRAWN = "drawn"


@dataclass(frozen=True, slots=True)
class TypedMeasure:
    """The truth about one typed measure, one entry for each note column, in order.

    ``places`` are the line and column, both counted from 1, of each column's topmost fret.
    """

    length: Fraction
    onsets: tuple[Fraction, ...]
    durations: tuple[Fraction, ...]
    places: tuple[tuple[int, int], ...]
    kind: MeasureKind


@dataclass(frozen=True, slots=True)
class TypedTune:
    """A tune as text, and its truth."""

    text: str
    meter: Meter
    measures: tuple[TypedMeasure, ...]


@dataclass(frozen=True, slots=True)
class SolvedMeasure:
    """What a solver says about one measure. ``confidence`` is a probability."""

    onsets: tuple[Fraction, ...]
    durations: tuple[Fraction, ...]
    confidence: float = 0.0
    sure: bool = False


@dataclass(frozen=True, slots=True)
class SolvedTune:
    """What a solver says about a tune. ``seconds``: the inference alone, if it is known."""

    meter: Meter
    measures: tuple[SolvedMeasure, ...]
    seconds: float | None = None
