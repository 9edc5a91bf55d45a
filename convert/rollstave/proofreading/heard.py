"""What the checks share: scales, and how usual a step from note to note is."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from rollstave.api import Tune
from rollstave.instruments.setup import NoSuchFret, Setup

MAJOR = (0, 2, 4, 5, 7, 9, 11)
# How usual a melodic step of so many semitones is (0 to 12, and wider), as shares in the fiddle
# tunes and rolls of the benchmark's development part, rounded.
_STEPS = (9, 14, 24, 11, 12, 9, 3, 5, 2, 2, 1, 1, 1.5, 0.5)
_LOG_STEPS = tuple(math.log(share) for share in _STEPS)


def midi_or_none(setup: Setup, string: int, fret: int) -> int | None:
    """The MIDI number of a fret, None where the neck has none."""
    try:
        return setup.midi(string, fret)
    except NoSuchFret:
        return None


def best_scale(counts: Mapping[int, float]) -> tuple[frozenset[int], float]:
    """The major scale (or mode of it) that holds most of the counted pitch classes, and the share
    that it holds; 1 where nothing is counted."""
    whole = sum(counts.values())
    held = [sum(counts.get((t + step) % 12, 0) for step in MAJOR) for t in range(12)]
    best = max(range(12), key=lambda t: held[t])
    scale = frozenset((best + step) % 12 for step in MAJOR)
    return scale, held[best] / whole if whole else 1.0


def step_to(midi: int, near: Iterable[int]) -> float:
    """How usual the smallest step between a note and those beside it is, as a logarithm; 0 where
    there are none."""
    steps = [abs(midi - other) for other in near]
    return _LOG_STEPS[min(len(_LOG_STEPS) - 1, min(steps))] if steps else 0.0


def named_by_shape(tune: Tune) -> int:
    """How many semitones the chord names lie below what sounds: the capo's, where the names are
    those of the shapes that are held, else 0."""
    setup = tune.score.setup
    return setup.instrument.semitones(setup.capo) if tune.score.chords_by_shape else 0


def smoothness(chords: Iterable[Sequence[int]]) -> tuple[float, int]:
    """The sum of :func:`step_to` along a melody, and how many steps were summed. Of notes struck
    together the mean counts."""
    total, number = 0.0, 0
    before: Sequence[int] = ()
    for chord in chords:
        if not chord:
            continue
        if before:
            total += sum(step_to(midi, before) for midi in chord) / len(chord)
            number += 1
        before = chord
    return total, number
