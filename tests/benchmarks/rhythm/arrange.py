"""Arranges a fiddle tune for the banjo, its rhythm still known.

The melody lies on strings 1 to 4 (``fingering``). For each tune chances are drawn: how often long
notes are filled with string 5 and drones so that they become bits of rolls (or the long, short,
short of down-picking), how often notes are doubled by an open string or by string 5, how often
neighbouring notes on a string are hammered, pulled or slid. Measures with the same melody are
mostly arranged alike, as a player would.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from .fingering import finger, transposition
from .model import (
    ArrangedMeasure,
    ArrangedTune,
    CorpusMeasure,
    CorpusTune,
    Event,
    Stroke,
    TuneKind,
)
from .tunings import TUNINGS, open_pitches

EIGHTH, SIXTEENTH = Fraction(1, 2), Fraction(1, 4)
SECOND_THOUGHT = 0.1  # chance that a measure heard before is arranged anew
HOMES = (0, 0, 0, 0, 5, 7)  # the fret at which a tune's left hand is at home


@dataclass(frozen=True, slots=True)
class Chances:
    """Chances, per place where it could happen, and the unit of the fills in quarter notes."""

    fill: float
    double: float
    link: float
    unit: Fraction
    down_picking: bool


def arrange(tune: CorpusTune, seed: int, bare: bool = False) -> ArrangedTune:
    """Lay a tune out on the banjo. ``bare``: the melody alone, one string at a time."""
    rng = random.Random(f"{seed}:arrange:{tune.number}")
    tuning = rng.choice(sorted(TUNINGS))
    home = rng.choice(HOMES)
    chances = Chances(
        fill=rng.choice((0.0, 0.3, 0.8)),
        double=rng.choice((0.0, 0.1, 0.3)),
        link=rng.choice((0.0, 0.1, 0.3)),
        unit=_fill_unit(tune),
        down_picking=rng.random() < 0.3,
    )
    pitches = open_pitches(tuning)
    melody = [note.midi for measure in tune.measures for note in measure.notes]
    shift = transposition(melody, pitches, home)
    where = iter(finger([midi + shift for midi in melody], pitches, home))
    measures = []
    for index, measure in enumerate(tune.measures):
        spots = [next(where) for _ in measure.notes]
        events = [
            Event(note.onset, note.duration, (Stroke(*spot),))
            for note, spot in zip(measure.notes, spots, strict=True)
        ]
        if not bare:
            salt = index if rng.random() < SECOND_THOUGHT else -1
            how = random.Random(f"{seed}:{tune.number}:{salt}:{_content(measure)}")
            events = _ornament(events, chances, how)
        measures.append(
            ArrangedMeasure(
                measure.length, tuple(events), measure.kind, measure.left, measure.right
            )
        )
    kind = TuneKind.BARE if bare else TuneKind.FIDDLE
    return ArrangedTune(kind, tune.number, tune.meter, tuning, tuple(measures))


def _content(measure: CorpusMeasure) -> str:
    return ";".join(f"{n.onset},{n.duration},{n.midi}" for n in measure.notes)


def _fill_unit(tune: CorpusTune) -> Fraction:
    """Eighths or sixteenths, whichever the tune has more of."""
    found = Counter(note.duration for measure in tune.measures for note in measure.notes)
    return SIXTEENTH if found[SIXTEENTH] > found[EIGHTH] else EIGHTH


def _ornament(events: Sequence[Event], chances: Chances, rng: random.Random) -> list[Event]:
    result: list[Event] = []
    for event in events:
        units = event.duration / chances.unit
        if units >= 2 and units.denominator == 1 and rng.random() < chances.fill:
            result += _filled(event, int(units), chances, rng)
        elif rng.random() < chances.double * (1 if units >= 2 else Fraction(1, 5)):
            result.append(_doubled(event, rng))
        else:
            result.append(event)
    return _linked(result, chances, rng)


def _filled(event: Event, units: int, chances: Chances, rng: random.Random) -> list[Event]:
    """A long note as melody, drones and string 5, each one unit long."""
    string = event.strokes[0].string
    drones = [s for s in (1, 2) if s != string]
    drone = rng.choice(drones)
    melody, thumb = event.strokes, (Stroke(5, 0),)
    open_drone = (Stroke(drone, 0),)
    if units % 4 == 0 and chances.down_picking:
        brush = tuple(Stroke(s, 0) for s in (1, 2, 3) if s != string)
        pattern = [(2, melody), (1, brush), (1, thumb)]
    elif units % 3 == 0:
        pattern = [(1, melody), (1, open_drone), (1, thumb)]
    elif units % 4 == 0:
        pattern = [(1, melody), (1, open_drone), (1, thumb), (1, (Stroke(drones[-1], 0),))]
    else:
        pattern = [(1, melody), (1, thumb)]
    length = sum(n for n, _ in pattern)
    result, onset, left = [], event.onset, units
    while left > 0:
        for n, strokes in pattern if left >= length else [(left, melody)]:
            result.append(Event(onset, n * chances.unit, strokes))
            onset += n * chances.unit
            left -= n
    return result


def _doubled(event: Event, rng: random.Random) -> Event:
    """The note with an open neighbour string, or pinched with string 5."""
    string = event.strokes[0].string
    partners = [s for s in (string - 1, string + 1) if 1 <= s <= 4] + [5]
    strokes = [*event.strokes, Stroke(rng.choice(partners), 0)]
    return event._replace(strokes=tuple(sorted(strokes)))


def _linked(events: Sequence[Event], chances: Chances, rng: random.Random) -> list[Event]:
    """Some steps on one string reached by the left hand: never two in a row."""
    result = list(events[:1])
    for event in events[1:]:
        before = result[-1]
        sign = _sign(before, event, rng)
        if sign and not before.linked and rng.random() < chances.link:
            event = event._replace(strokes=(event.strokes[0]._replace(link=sign),))
        result.append(event)
    return result


def _sign(before: Event, after: Event, rng: random.Random) -> str | None:
    if len(before.strokes) > 1 or len(after.strokes) > 1 or before.duration > 1:
        return None
    (string, fret, _), (string_after, fret_after, _) = before.strokes[0], after.strokes[0]
    if string != string_after or not 1 <= abs(fret - fret_after) <= 3:
        return None
    slide = fret > 0 and fret_after > 0 and rng.random() < 0.3
    if fret < fret_after:
        return "/" if slide else "h"
    return "\\" if slide else "p"
