"""Who arranges and who types: the project's own, and those that know nothing of the solver.

A typist, an arranger and a collection are each known by a name that nothing else has, so that any
one of them can be left out of a fit by its name alone.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, fields, replace

from .arrange import arrange
from .arrangers import kestrel, linnet, marten
from .corpus import COLLECTIONS
from .model import ArrangedTune, CorpusTune, Style, TypedTune
from .rolls import roll_tune
from .typist import type_tune
from .typists import finch, gorse, heron, ivy, juniper

Typist = Callable[[ArrangedTune, str, random.Random], TypedTune]
Arranger = Callable[[CorpusTune, random.Random], ArrangedTune]

OURS = "ours"
INDEPENDENT_TYPISTS: dict[str, Typist] = {
    "finch": finch.type_tune,
    "gorse": gorse.type_tune,
    "heron": heron.type_tune,
    "ivy": ivy.type_tune,
    "juniper": juniper.type_tune,
}
INDEPENDENT_ARRANGERS: dict[str, Arranger] = {
    "kestrel": kestrel.arrange,
    "linnet": linnet.arrange,
    "marten": marten.arrange,
}
TYPISTS = (OURS, *INDEPENDENT_TYPISTS)
ROLL = "roll"  # makes its tunes by itself, from a number
ARRANGERS = ("fiddle", "bare", ROLL, *INDEPENDENT_ARRANGERS)
SONGS = "essenFolksong"  # melodies of another sort: laid out as they are, never for banjo
ARRANGERS_OF_SONGS = ("bare", "kestrel")
ROLL_TUNES = 1000  # how many tunes the arranger of rolls is asked for


@dataclass(frozen=True, slots=True)
class Sources:
    """Typists, arrangers and collections by their names."""

    typists: tuple[str, ...]
    arrangers: tuple[str, ...]
    collections: tuple[str, ...]

    def without(self, name: str) -> Sources:
        """All but one. Raises ValueError if it is not among them, or was the last of its sort."""
        for sort in fields(self):
            names = getattr(self, sort.name)
            if name in names and len(names) > 1:
                return replace(self, **{sort.name: tuple(n for n in names if n != name)})
        raise ValueError(f"{name} is not among {self}, or there is no other")

    def check(self) -> Sources:
        """Itself, if all names are known. Raises ValueError otherwise."""
        known = {"typists": TYPISTS, "arrangers": ARRANGERS, "collections": COLLECTIONS}
        for sort, names in known.items():
            for name in getattr(self, sort):
                if name not in names:
                    raise ValueError(f"no {name} among the {sort}: {', '.join(names)}")
        return self


EVERYTHING = Sources(TYPISTS, ARRANGERS, COLLECTIONS)
FITTED = Sources((OURS,), ("fiddle", "bare", ROLL), COLLECTIONS[:1])  # what the package's data know


def arranged(arranger: str, source: CorpusTune | int, seed: int) -> ArrangedTune:
    """A melody laid out on the banjo, or the tune of rolls with a number; by the seed alone."""
    if isinstance(source, int):
        return roll_tune(source, seed)
    if arranger in INDEPENDENT_ARRANGERS:
        rng = random.Random(f"{seed}:{arranger}:{source.number}:{len(source.measures)}")
        return INDEPENDENT_ARRANGERS[arranger](source, rng)
    return arrange(source, seed, bare=arranger == "bare")


def typed(
    typist: str, tune: ArrangedTune, style: Style, seed: int, time_heading: bool = True
) -> TypedTune:
    """A tune as text and its truth. Determined by the seed.

    Only the project's own typist can leave the time heading out; of the others' texts the solver
    has to be told not to look at it.
    """
    if typist == OURS:
        return type_tune(tune, style, seed, time_heading)
    rng = random.Random(f"{seed}:{typist}:{tune.kind}:{tune.number}:{style}")
    return INDEPENDENT_TYPISTS[typist](tune, style, rng)
