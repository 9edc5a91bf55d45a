"""What the checks share: scales, and how usual a step from note to note is."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from rollstave.api import Tune
from rollstave.deciding.chords import chord_tones
from rollstave.instruments.setup import NoSuchFret, Setup

_MUCH_MORE = 1.5  # times as many notes in the chords tell whose names they are
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
    capo = tune.score.setup.capo
    if not capo:
        return 0
    short = tune.score.setup.instrument.short_string
    inside = [0, 0]
    for measure in tune.score.measures:
        named = [c for c in measure.chords if not c.inferred]
        for event in measure.events:
            over = [c for c in named if c.onset <= event.onset]
            tones = chord_tones(over[-1]) if over else None
            for note in event.notes if tones else ():
                if short is None or note.string != short.string:
                    for way, shift in enumerate((0, capo)):
                        inside[way] += (note.pitch.midi - shift) % 12 in (tones or ())
    return capo if inside[1] > _MUCH_MORE * inside[0] else 0


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
