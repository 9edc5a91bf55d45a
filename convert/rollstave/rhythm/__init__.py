"""From grid measures to onsets and durations: ``infer_stretches`` is the one way in."""

from rollstave.rhythm.infer import infer_rhythm
from rollstave.rhythm.meter import Meter, MeterPrior
from rollstave.rhythm.stretches import infer_stretches
from rollstave.rhythm.timed import RhythmReading, Source, TimedMeasure

__all__ = [
    "Meter",
    "MeterPrior",
    "RhythmReading",
    "Source",
    "TimedMeasure",
    "infer_rhythm",
    "infer_stretches",
]
