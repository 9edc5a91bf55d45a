"""Tunes to rework: the rhythm benchmark's arrangements, read as any tab is."""

from __future__ import annotations

from functools import lru_cache

import rollstave
from rollstave import Score

from ..rhythm.arrange import arrange
from ..rhythm.melodies import melody
from ..rhythm.model import ArrangedTune, Style
from ..rhythm.rolls import roll_tune
from ..rhythm.typist import type_tune

SEED = 7


def arranged(number: int) -> ArrangedTune:
    """Even numbers are tunes of rolls, odd ones invented melodies laid out with drones."""
    return arrange(melody(number), SEED) if number % 2 else roll_tune(number, SEED)


@lru_cache(maxsize=512)
def score_of(number: int) -> Score:
    (tune,) = rollstave.read(type_tune(arranged(number), Style.COUNTED, SEED).text)
    return tune.score
