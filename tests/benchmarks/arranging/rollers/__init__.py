"""People who lay a melody out in three-finger rolls, each by habits of their own.

The first five are written without sight of the melody finder, the others by who mends it, to fit it
on habits as different as could be thought of; in ``meadow`` each tune has a player whose habits are
thrown. Each module has ``arrange(tune, rng)``, which gives
the arranged tune and where its melody is (measure, onset, string), and ``told(tune, rng)``, which
also says of each fill what chord it belongs to. ``score_and_melody`` has the arrangement typed and
read.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from fractions import Fraction
from functools import cache
from types import ModuleType

import rollstave
from rollstave import Score

from ...rhythm.corpus import load
from ...rhythm.melodies import melody
from ...rhythm.model import ArrangedTune, CorpusTune, Style
from ...rhythm.typist import type_tune
from . import (
    alder,
    bramble,
    clover,
    dogwood,
    elder,
    fern,
    gorse,
    hazel,
    ivy,
    juniper,
    larch,
    meadow,
)
from .base import Told

Arrange = Callable[
    [CorpusTune, random.Random], tuple[ArrangedTune, frozenset[tuple[int, Fraction, int]]]
]
Tell = Callable[[CorpusTune, random.Random], Told]
SEED = 7
FIDDLE = 10_000  # tunes from this number on are those of music21's corpus
_PEOPLE = (alder, bramble, clover, fern, gorse, hazel, ivy, juniper, larch, meadow)
_UNOPENED = (dogwood, elder)


def _name(person: ModuleType) -> str:
    return person.__name__.rpartition(".")[2]


ROLLERS: dict[str, Arrange] = {_name(person): person.arrange for person in _PEOPLE}
# Nobody who fits or mends the finder has opened these; nothing is fitted on them.
UNOPENED: dict[str, Arrange] = {_name(person): person.arrange for person in _UNOPENED}
TOLD: dict[str, Tell] = {_name(person): person.told for person in (*_PEOPLE, *_UNOPENED)}


def tune_of(number: int) -> CorpusTune:
    """An invented melody, or from ``FIDDLE`` on a fiddle tune."""
    return melody(number) if number < FIDDLE else _fiddle_tunes()[number - FIDDLE]


def fiddle_tunes() -> int:
    """How many there are."""
    return len(_fiddle_tunes())


@cache
def _fiddle_tunes() -> tuple[CorpusTune, ...]:
    return load().tunes


def score_and_melody(
    arrange: Arrange, number: int, seed: int = SEED
) -> tuple[Score, frozenset[tuple[int, Fraction, int]]] | None:
    """A tune's score and melody; None where it is read with other onsets than it was made with."""
    name = arrange.__module__.rpartition(".")[2]
    tune = tune_of(number)
    made, truth = arrange(tune, random.Random(f"{seed}:{number}:{name}"))
    (read,) = rollstave.read(type_tune(made, Style.COUNTED, seed).text)
    there = [[e.onset for e in m.events if e.notes] for m in read.score.measures]
    if there != [[e.onset for e in m.events] for m in made.measures]:
        return None
    return read.score, truth
