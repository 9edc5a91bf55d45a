"""What players with a pattern have in common: the tune goes to certain strokes of it.

A person says in ``places`` which strokes have which notes of the tune, on which strings, and in
``pattern`` what the fingers do otherwise. How often a roll is broken differs from tune to tune.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from typing import NamedTuple

from ...rhythm.model import CorpusTune, MelodyNote
from . import breaks
from .base import Bar, Hold, Roller, Want


class Put(NamedTuple):
    """A note of the tune, and strings in order of liking."""

    note: MelodyNote
    strings: tuple[int, ...]


class Patterned(Roller):
    """One player whose fingers keep to patterns; letters of these are keys of ``fills``."""

    fills: Mapping[str, tuple[int, ...]] = {
        "t": (4, 3),
        "o": (3, 4),
        "i": (2, 3),
        "m": (1, 2),
        "5": (5, 1),
    }
    partners: tuple[tuple[int, ...], ...] = ((), (), (1,), (5,), (1, 5))

    def __init__(self, tune: CorpusTune, rng: random.Random) -> None:
        super().__init__(tune, rng)
        self.partner = rng.choice(self.partners)  # strings struck with the tune now and then
        self.paired = rng.choice((0.1, 0.3, 0.8))
        self.held = rng.choice((0.0, 0.1, 0.3))
        self.hammered, self.walked = rng.uniform(0.0, 0.2), rng.uniform(0.0, 0.2)
        self.slides = rng.choice((0.0, 0.1, 0.25))
        self.plucks = rng.choice(((1, 2), (1, 2, 3), (1, 2, 5), (1,)))
        self.ended = rng.uniform(0.1, 0.9)

    def places(self, bar: Bar) -> dict[int, Put]:
        """The tune in this measure, by stroke."""
        raise NotImplementedError

    def pattern(self, bar: Bar) -> str:
        """A letter for each stroke; a dot is none."""
        raise NotImplementedError

    def play(self, bar: Bar) -> None:
        rng = self.rng
        places, pattern = self.places(bar), (self.pattern(bar) * 12)[: bar.size]
        held: list[Hold] = []
        for span, chord in self.halves(bar):
            wants = {s: Want(self.midi(p.note), p.strings) for s, p in places.items() if s in span}
            hold = self.hold(chord, wants)
            held.append(hold)
            self._strokes(bar, pattern, span, hold)
        if bar.final or (bar.ending and rng.random() < self.ended):
            half = max(bar.size // self.group // 2, 1) * self.group
            breaks.pluck(self, bar, half, held[-1], self.plucks)
            return
        if rng.random() < self.walked and breaks.walk(self, bar):
            return
        if rng.random() < self.held:
            breaks.hold(self, bar, rng.choice((1, 1, 2)))
        if rng.random() < self.hammered:
            breaks.hammer(self, bar, held[-1])
        starts = [slot for slot in sorted(places) if bar.has_melody(slot)]
        if starts and rng.random() < self.slides:
            breaks.lead_in(self, bar, rng.choice(starts), 0.5)

    def _strokes(self, bar: Bar, pattern: str, span: range, held: Hold) -> None:
        ringing = None
        for slot in span:
            string = self.melody(bar, slot, held)
            if string is not None:
                ringing = string
                if self.partner and self.rng.random() < self.paired:
                    for other in self.partner:
                        self.fill(bar, slot, held, *(s for s in (other,) if s != string))
            elif pattern[slot] != ".":
                strings = self.fills[pattern[slot]]
                self.fill(bar, slot, held, *(s for s in strings if s != ringing))

    def following(self, bar: Bar) -> MelodyNote | None:
        """The note that the next measure begins with."""
        measures = self.source.measures
        after = measures[bar.index + 1].notes if bar.index + 1 < len(measures) else ()
        return after[0] if after and after[0].onset == 0 else None
