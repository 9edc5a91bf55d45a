"""How many meters can be told at all where the typist names none.

A tune in 2/4 in sixteenths, typed evenly, has the same text as one in 4/4 or 2/2 in eighths. A
meter is possible for a text if every full measure of it, its times stretched to that meter, is a
pattern of that meter in the tunes that may be tuned on. Of the tunes that are alike in what is
possible and in the dance their title names, whoever names one meter for all gets at best the
commonest right: the sum of those is the ceiling, with the answers known.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from fractions import Fraction

from rollstave.deciding.dances import dance_of
from rollstave.rhythm.meters import METERS
from rollstave.rhythm.model_data import rhythm_data

from .dances import titles
from .model import ArrangedTune, MeasureKind, TuneKind

TICKS = 24


def possible(tune: ArrangedTune) -> frozenset[str]:
    """The meters that the tune could be in, by its text; its own always."""
    known: dict[str, set[tuple[int, tuple[int, ...]]]] = {}
    for key, entries in rhythm_data().patterns.items():
        seen = known.setdefault(key.split(" ")[0], set())
        seen.update((length, onsets) for length, onsets, _ in entries)
    found = {str(tune.meter)}
    full = [m for m in tune.measures if m.kind is MeasureKind.FULL and m.events]
    for meter in METERS:
        scale = Fraction(meter.length) / tune.meter.length
        patterns = known.get(str(meter), set())
        stretched = (
            (int(m.length * scale * TICKS), tuple(e.onset * scale * TICKS for e in m.events))
            for m in full
        )
        if all(pattern in patterns for pattern in stretched):
            found.add(str(meter))
    return frozenset(found)


def ceiling(tunes: Iterable[ArrangedTune]) -> float:
    """The share of tunes whose meter is right if each class of alike tunes gets its commonest."""
    classes: dict[tuple[frozenset[str], str | None], Counter[str]] = {}
    for tune in tunes:
        named = titles()[tune.number] if tune.kind is TuneKind.FIDDLE else ""
        key = possible(tune), dance_of([named])
        classes.setdefault(key, Counter())[str(tune.meter)] += 1
    total = sum(sum(counts.values()) for counts in classes.values())
    return sum(max(counts.values()) for counts in classes.values()) / total
