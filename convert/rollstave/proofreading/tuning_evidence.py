"""What speaks for another tuning than the one that is named: the features of every known one.

The same strings and frets are heard in both: how much of it lies in one scale, in the tune and
phrase by phrase; how well it fits a key's profile; how smoothly it goes on; how often notes a
semitone apart are struck together. ``NAMES`` lists the features in order.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from rollstave.api import Tune
from rollstave.deciding.theory import key_correlations
from rollstave.instruments.instrument import Tuning
from rollstave.instruments.setup import Setup
from rollstave.proofreading.heard import MAJOR, best_scale, midi_or_none, smoothness

NAMES = (
    "scale",
    "profile",
    "smooth",
    "order",
    "clashes",
    "wide_scale",
    "phrases",
    "its_scale",
    "own_foreign",
    "its_profile",
    "its_smooth",
    "size",
    "own_phrases",
    "own_smooth",
)
_PHRASE = 24  # notes

Struck = Sequence[tuple[int, int]]  # (string, fret), struck together


class _Heard(Struct, frozen=True):
    """What a tune sounds like in one tuning."""

    scale: float
    wide_scale: float
    profile: float
    smooth: float
    entropy: float
    clashes: float
    phrases: float
    number: int


class Other(Struct, frozen=True):
    """Another tuning, with the share of notes in one scale as named and in this one."""

    tuning: Tuning
    own_share: float
    share: float
    features: tuple[float, ...]


def others(tune: Tune) -> Iterator[Other]:
    """The known tunings in which the long strings stand otherwise to each other."""
    setup = tune.score.setup
    struck = [
        [(s.string, s.fret) for s in column.strokes if s.fret is not None and not s.harmonic]
        for measure in tune.grid.measures
        for column in measure.columns
    ]
    short = setup.instrument.short_string
    long = [n for n in range(setup.instrument.strings) if short is None or n != short.string - 1]
    own = _hear(struck, setup)
    for tuning in setup.instrument.tunings:
        apart = {tuning.pitches[n].midi - setup.tuning.pitches[n].midi for n in long}
        if len(apart) == 1:  # the same music, higher or lower
            continue
        other = _hear(struck, replace(setup, tuning=tuning))
        yield Other(
            tuning=tuning,
            own_share=own.scale,
            share=other.scale,
            features=(
                other.scale - own.scale,
                other.profile - own.profile,
                other.smooth - own.smooth,
                own.entropy - other.entropy,
                other.clashes - own.clashes,
                other.wide_scale - own.wide_scale,
                other.phrases - own.phrases,
                other.scale,
                1 - own.scale,
                other.profile,
                other.smooth,
                math.log(max(1, own.number)) / 5,
                own.phrases,
                own.smooth,
            ),
        )


def _hear(struck: Sequence[Struck], setup: Setup) -> _Heard:
    short = setup.instrument.short_string
    drone = short.string if short else 0
    melody: list[list[int]] = []
    clashes = 0
    for together in struck:
        sounding = [
            midi
            for string, fret in together
            if string != drone and (midi := midi_or_none(setup, string, fret)) is not None
        ]
        melody.append(sounding)
        clashes += sum((a - b) % 12 == 1 for a in sounding for b in sounding)
    classes = [midi % 12 for chord in melody for midi in chord]
    counts = Counter(classes)
    number = len(classes)
    steps, made = smoothness(melody)
    wide = (*MAJOR, 10)
    return _Heard(
        scale=best_scale(counts)[1],
        wide_scale=max(sum(counts[(t + s) % 12] for s in wide) for t in range(12)) / max(1, number),
        profile=_profile(counts),
        smooth=steps / max(1, made),
        entropy=-sum(n / number * math.log(n / number) for n in counts.values()),
        clashes=clashes / max(1, number),
        phrases=_by_phrases(classes),
        number=number,
    )


def _by_phrases(classes: Sequence[int]) -> float:
    """The share of notes in the best scale of their phrase."""
    if not classes:
        return 1.0
    held = 0.0
    for start in range(0, len(classes), _PHRASE):
        phrase = classes[start : start + _PHRASE]
        held += best_scale(Counter(phrase))[1] * len(phrase)
    return held / len(classes)


def _profile(counts: Counter[int]) -> float:
    """The best correlation with a key's profile."""
    return max((fit for fit, _, _ in key_correlations(counts)), default=0.0)
