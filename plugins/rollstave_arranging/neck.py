"""The neck under the hand: where a pitch lies, and how far frets are apart.

A fret divides what is left of the string by the twelfth root of two, so fret n lies
``scale * (1 - 2 ** (-n / 12))`` from the nut (equal temperament). The scale is 26 1/4 inches, as
most banjos have it; what a hand reaches is common practice, no source: a finger for each fret in
first position is everyday, one fret more there is wide, and beyond that few can play.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import lru_cache

from rollstave import NoSuchFret, Setup

SCALE = 26.25 * 25.4  # millimetres
EASY = 101.0  # millimetres between the outer fingers: frets 1 and 4
WIDEST = 130.0  # frets 1 and 5

Spot = tuple[int, int, bool]  # string, fret, and whether it is the extra fret after it


def distance(fret: int) -> float:
    """Millimetres from the nut to a fret."""
    return SCALE * (1.0 - math.pow(2.0, -fret / 12.0))


@lru_cache(maxsize=1024)
def stretch(low: int, high: int) -> float:
    """Millimetres between two frets, both counted from the nut."""
    return distance(high) - distance(low)


def reach_of(frets: Iterable[int], capo: int = 0) -> float:
    """Millimetres between the outer stopped frets of a grip; 0 where one or none is stopped."""
    stopped = [fret for fret in frets if fret]
    return stretch(min(stopped) + capo, max(stopped) + capo) if stopped else 0.0


@lru_cache(maxsize=2048)
def spots_of(midi: int, setup: Setup) -> tuple[Spot, ...]:
    """Every place of the neck that sounds a MIDI number, string 1 first."""
    found: list[Spot] = []
    for string in range(1, setup.instrument.strings + 1):
        for fret in range(setup.instrument.frets - setup.capo + 1):
            for half in (False, True) if fret in setup.instrument.half_frets else (False,):
                try:
                    if setup.midi(string, fret, half) == midi:
                        found.append((string, fret, half))
                except NoSuchFret:
                    continue
    return tuple(found)


def short_of(setup: Setup) -> int | None:
    """The number of the short string; None on an instrument that has none."""
    short = setup.instrument.short_string
    return short.string if short else None
