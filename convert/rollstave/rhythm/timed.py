"""What the rhythm stage gives: onsets and durations for each measure, how sure and why.

All times are in quarter notes, as exact fractions, counted from the start of the measure.
"""

from __future__ import annotations

from enum import Enum
from fractions import Fraction

from msgspec import Struct

from rollstave.rhythm.meter import Meter


class Source(Enum):
    """Where the rhythm of a measure came from."""

    COLUMNS = "columns"
    ROLL = "roll"
    WRITTEN = "written"
    REPETITION = "repetition"
    ORDER = "order"


class Alternative(Struct, frozen=True):
    """Another reading of a measure that came close."""

    onsets: tuple[Fraction, ...]
    durations: tuple[Fraction, ...]
    probability: float
    reason: str


class TimedMeasure(Struct, frozen=True):
    """Onset and duration for each column of a grid measure, in its order.

    A duration reaches to the next onset or to the end of the measure, ``length``. ``confidence``
    is the probability that every onset is right; ``sure`` that it needs no second look. A
    ``complement`` is a short measure at the end of a strain that its ``pickup`` makes whole.
    """

    onsets: tuple[Fraction, ...]
    durations: tuple[Fraction, ...]
    length: Fraction
    confidence: float
    sure: bool
    source: Source
    reasons: tuple[str, ...]
    alternatives: tuple[Alternative, ...] = ()
    pickup: bool = False
    complement: bool = False


class RhythmReading(Struct, frozen=True):
    """The rhythm of a tune: the meter that it begins in, why that meter, and its measures.
    ``meters`` are those of the measures where the meter changes, empty where it does not."""

    meter: Meter
    meter_reason: str
    measures: tuple[TimedMeasure, ...]
    meter_confidence: float = 1.0
    meters: tuple[Meter, ...] = ()

    def meter_at(self, index: int) -> Meter:
        """The meter of a measure."""
        return self.meters[index] if self.meters else self.meter
