"""The melody alone: single notes, one string at a time.

The arranger picks a tuning and a key of it whose tonic and fifth are open strings, moves the
tune so that it lies low on the neck, and fingers it by the cheapest way of a left hand that
reaches four frets. Some players like open strings and the short fifth string between melody
notes, some stay on the long strings. Hammer-ons and pull-offs come between neighbours on one
string, mostly off the beat; slides between stopped notes.

Facts of the trade used: tunings and pitches, the frets of string 5, signs h p / \\ .
"""

from __future__ import annotations

import random
from fractions import Fraction

from ..model import ArrangedTune, CorpusTune, Stroke, TuneKind
from .neck import Taste, beat_of, choose_tuning, fill, find_key, finger, melody, slurs


def arrange(tune: CorpusTune, rng: random.Random) -> ArrangedTune:
    """Lay the bare melody out on the banjo."""
    names = {"gDGBD": 0.0, "gCGBD": 0.3, "gCGCD": 0.2, "gDGCD": 0.3, "aDADE": 0.1}
    likes = {name: dislike + rng.uniform(0.0, 1.2) for name, dislike in names.items()}
    every = [n for m in tune.measures for n in melody(m)]
    tuning, move = choose_tuning(tune, find_key(tune), rng, likes, (0, 19), [n.midi for n in every])
    taste = Taste(
        fifth=rng.choice((0.2, 1.5, 5.0, 5.0)),
        high=rng.uniform(0.06, 0.2),
        open_bonus=rng.uniform(0.0, 0.6),
        shift=rng.uniform(0.3, 0.8),
        clash=rng.choice((0.0, 0.0, 0.4)),
        speed=Fraction(1, 2),
    )
    way = iter(finger(tuning, [n.midi + move for n in every], [n.duration for n in every], taste))
    rate, slides = rng.uniform(0.05, 0.75), rng.choice((0.0, 0.1, 0.3))
    measures = []
    for measure in tune.measures:
        notes = melody(measure)
        line = [next(way) for _ in notes]
        onsets = [n.onset for n in notes]
        links = slurs(line, onsets, beat_of(tune.meter), rate, slides, rng)
        struck = {
            onset: [Stroke(place.string, place.fret, link)]
            for onset, place, link in zip(onsets, line, links, strict=True)
        }
        measures.append(fill(measure, struck))
    return ArrangedTune(TuneKind.BARE, tune.number, tune.meter, tuning, tuple(measures))
