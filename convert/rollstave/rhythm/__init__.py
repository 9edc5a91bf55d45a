"""From grid measures to onsets and durations: ``infer_rhythm`` is the one way in."""

from rollstave.rhythm.infer import infer_rhythm
from rollstave.rhythm.model import Meter, RhythmReading, Source, TimedMeasure

__all__ = ["Meter", "RhythmReading", "Source", "TimedMeasure", "infer_rhythm"]
