"""What a fit learns from: which tunes, laid out by whom and typed by whom.

Tunes whose number is a multiple of 5 are never among them; of the others those with a remainder
of 4 are held out of the weights, for the blend and the calibration.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from .corpus import COLLECTION, load, load_first, sources
from .model import ArrangedTune, CorpusTune, Style, TypedTune
from .people import (
    ARRANGERS_OF_SONGS,
    FITTED,
    ROLL,
    ROLL_TUNES,
    SONGS,
    Sources,
    arranged,
    typed,
)
from .split import is_for_tuning

FIT_SEED = 1001  # not the seed of any report
ROLLS_LEARNED = 800  # numbers of roll tunes below this one
TWICE = ("fiddle",)  # arrangers whose chances are many: each melody is laid out again


@dataclass(frozen=True, slots=True)
class Recipe:
    """``tunes``: at most so many of each collection, drawn by the seed; None for all there are."""

    sources: Sources = FITTED
    seed: int = FIT_SEED
    tunes: int | None = None


@dataclass(frozen=True, slots=True)
class Lesson:
    """One tune to learn from, as one arranger and one typist make it."""

    arranger: str
    typist: str
    source: CorpusTune | int
    seed: int
    collection: str = ""

    @property
    def number(self) -> int:
        return self.source if isinstance(self.source, int) else self.source.number

    @property
    def held_out(self) -> bool:
        return _is_held_out(self.number)

    def make(self, style: Style) -> tuple[ArrangedTune, TypedTune]:
        """The tune laid out, and typed."""
        tune = arranged(self.arranger, self.source, self.seed)
        return tune, typed(self.typist, tune, style, self.seed)


def lessons(recipe: Recipe) -> Iterator[Lesson]:
    """What the weights and the blend learn from; typists share out the tunes."""
    for collection in recipe.sources.collections:
        melodies = _melodies(recipe, collection)
        for arranger in _arrangers(recipe, collection):
            for seed in (0, 1) if arranger in TWICE else (0,):
                for tune in melodies:
                    yield _lesson(recipe, arranger, collection, tune, seed)
    if ROLL in recipe.sources.arrangers:
        numbers = [n for n in range(ROLLS_LEARNED) if is_for_tuning(n)]
        for number in numbers[: recipe.tunes]:
            yield _lesson(recipe, ROLL, "", number, 0)


def exams(recipe: Recipe) -> Iterator[Lesson]:
    """What the calibration is measured on: tunes held out, each several times with other seeds."""
    for collection in recipe.sources.collections:
        melodies = [t for t in _melodies(recipe, collection) if _is_held_out(t.number)]
        for arranger in _arrangers(recipe, collection):
            for seed in (7, 8) if arranger != "bare" else ():
                for tune in melodies:
                    yield _lesson(recipe, arranger, collection, tune, seed)
    if ROLL in recipe.sources.arrangers:
        numbers = [n for n in range(ROLL_TUNES) if _is_held_out(n)]
        for seed in range(7, 12):
            for number in numbers[: recipe.tunes]:
                yield _lesson(recipe, ROLL, "", number, seed)


def _is_held_out(number: int) -> bool:
    return number % 5 == 4


def _arrangers(recipe: Recipe, collection: str) -> list[str]:
    names = [name for name in recipe.sources.arrangers if name != ROLL]
    return [n for n in names if n in ARRANGERS_OF_SONGS] if collection == SONGS else names


@lru_cache
def _melodies(recipe: Recipe, collection: str) -> list[CorpusTune]:
    if recipe.tunes is None:
        return [t for t in load(collection).tunes if is_for_tuning(t.number)]
    numbers = [n for n in range(len(sources(collection))) if is_for_tuning(n)]
    random.Random(f"{recipe.seed}:{collection}").shuffle(numbers)
    if collection == COLLECTION:  # which is kept as a whole for the other benchmarks
        there = {tune.number: tune for tune in load().tunes}
        found = [there[n] for n in numbers if n in there][: recipe.tunes]
    else:
        found = load_first(collection, numbers, recipe.tunes)
    return sorted(found, key=lambda tune: tune.number)


def _lesson(
    recipe: Recipe, arranger: str, collection: str, source: CorpusTune | int, seed: int
) -> Lesson:
    number = source if isinstance(source, int) else source.number
    # Not by the number itself: its remainder says what is held out.
    rng = random.Random(f"{recipe.seed + seed}:{arranger}:{collection}:{number}")
    typist = rng.choice(recipe.sources.typists)
    return Lesson(arranger, typist, source, recipe.seed + seed, collection)
