"""Roll-style tunes of our own making: every note has its slot, so the rhythm is known.

A slot is an eighth note in 4/4, 2/2, 3/4 and 6/8 and a sixteenth in 2/4. A measure is a roll
(``roll_tables``), or a roll broken by pinches of two slots, or by plucks of the top two strings
at the end of a phrase, or down-picking. Chords change over measures, the tune has parts that
are repeated, written out or by repeat signs.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from .model import ArrangedMeasure, ArrangedTune, Bar, Event, MeasureKind, Meter, Stroke, TuneKind
from .roll_tables import DOWN_PICKING_EIGHT, DOWN_PICKING_SIX, EIGHT, SIX
from .shapes import shape, tonic
from .tunings import TUNINGS

# Meter: (weight, quarter notes of a slot). 3/4 and 6/8 take six-note rolls, the others eight.
METERS: dict[Meter, tuple[int, Fraction]] = {
    Meter(4, 4): (8, Fraction(1, 2)),
    Meter(2, 2): (4, Fraction(1, 2)),
    Meter(2, 4): (5, Fraction(1, 4)),
    Meter(3, 4): (2, Fraction(1, 2)),
    Meter(6, 8): (2, Fraction(1, 2)),
}
# Chords of eight measures, as semitones above the tonic; "m" after the number: a minor chord.
PROGRESSIONS = (
    "0 0 5 0 0 7 7 0",
    "0 5 0 7 0 5 7 0",
    "9m 0 9m 7 5 0 7 0",
    "0 10 0 7 0 10 7 0",
)
FORMS = ("AB", "AABB", "AABA", "ABAB")

Slots = list[tuple[int, tuple[Stroke, ...]]]  # (slots it lasts, strings struck)


@dataclass(frozen=True, slots=True)
class Hand:
    """How a tune is played: patterns it uses, and chances per measure."""

    patterns: tuple[str, ...]
    down_picking: bool
    broken: float
    linked: float
    split: float


def roll_tune(number: int, seed: int) -> ArrangedTune:
    """The roll tune of that number."""
    rng = random.Random(f"{seed}:rolls:{number}")
    meter = rng.choices(list(METERS), [weight for weight, _ in METERS.values()])[0]
    slot = METERS[meter][1]
    table = SIX if int(meter.length / slot) == 6 else EIGHT
    tuning = rng.choice(sorted(TUNINGS))
    hand = Hand(
        patterns=tuple(rng.sample(sorted(table), rng.randint(1, 3))),
        down_picking=meter.unit != 8 and rng.random() < 0.2,
        broken=rng.choice((0.0, 0.15, 0.35)),
        linked=rng.choice((0.0, 0.1, 0.25)),
        split=rng.choice((0.0, 0.0, 0.1)),
    )
    size = rng.choice((8, 8, 4)) if rng.random() < 0.5 else 8
    parts = {name: _part(rng, tuning, meter, slot, hand, size) for name in "AB"}
    signs = rng.random() < 0.4
    form = "AB" if signs else rng.choice(FORMS)
    if len(form) * size < 16:
        form *= 16 // (len(form) * size)
    measures: list[ArrangedMeasure] = []
    for name in form:
        part = list(parts[name])
        if signs:
            part[0] = replace(part[0], left=Bar.REPEAT_START)
            part[-1] = replace(part[-1], right=Bar.REPEAT_END)
        measures += part
    if meter.unit != 8 and not signs and rng.random() < 0.4:
        measures = _with_pickup(measures, slot, parts["A"][0])
    if not signs:
        measures[-1] = replace(measures[-1], right=Bar.DOUBLE)
    return ArrangedTune(TuneKind.ROLL, number, meter, tuning, tuple(measures))


def _part(
    rng: random.Random, tuning: str, meter: Meter, slot: Fraction, hand: Hand, size: int
) -> list[ArrangedMeasure]:
    base = rng.choice((0, 0, 0, 5, 7, 9))
    chords = rng.choice(PROGRESSIONS).split()[-size:]
    measures: list[ArrangedMeasure] = []
    for index, chord in enumerate(chords):
        if index in (2, 4) and rng.random() < 0.4:
            measures.append(measures[0])  # the phrase begins again
            continue
        root = (tonic(tuning) + int(chord.rstrip("m"))) % 12
        frets = shape(tuning, root, chord.endswith("m"), base)
        at_end = index == size - 1 or (index == size // 2 - 1 and rng.random() < 0.5)
        slots = _measure(rng, int(meter.length / slot), frets, hand, at_end)
        measures.append(ArrangedMeasure(meter.length, _events(slots, slot, rng, hand)))
    return measures


def _measure(
    rng: random.Random, count: int, frets: dict[int, int], hand: Hand, at_end: bool
) -> Slots:
    if hand.down_picking:
        slots = _down_picking(rng, count, frets)
    else:
        slots = _roll(rng, count, frets, hand)
    half = count // 2
    if at_end:
        return _first(slots, half) + _ending(rng, half, frets)
    if rng.random() < hand.broken:
        pinch: Slots = [(2, _pinch(rng, frets))]
        if rng.random() < 0.4:
            return pinch + _from(slots, 2)
        if rng.random() < 0.5:
            return _first(slots, count - 2) + pinch
        return _first(slots, count - 4) + pinch + [(2, _pinch(rng, frets))]
    return slots


def _roll(rng: random.Random, count: int, frets: dict[int, int], hand: Hand) -> Slots:
    fingers, strings = (SIX if count == 6 else EIGHT)[rng.choice(hand.patterns)]
    assert len(fingers) == len(strings) == count
    melody = rng.choice((3, 3, 4))
    number = {"t": melody, "o": 7 - melody}
    slots: Slots = []
    for letter in strings:
        string = number[letter] if letter in number else int(letter)
        slots.append((1, (Stroke(string, frets[string]),)))
    if rng.random() < hand.linked:
        _link_a_slot(slots, rng)
    return slots


def _link_a_slot(slots: Slots, rng: random.Random) -> None:
    """One thumb note on string 3 or 4 goes on by the left hand in the next slot."""
    places = [i for i in range(len(slots) - 1) if slots[i][1][0].string in (3, 4)]
    if places:
        index = rng.choice(places)
        first = slots[index][1][0]
        slots[index + 1] = (1, (_next_fret(first, rng),))


def _next_fret(stroke: Stroke, rng: random.Random) -> Stroke:
    """Where the left hand goes from a stroke, with its sign."""
    step = rng.choice((1, 2))
    if stroke.fret > step and rng.random() < 0.3:
        return Stroke(stroke.string, stroke.fret - step, "p")
    sign = "/" if stroke.fret and rng.random() < 0.3 else "h"
    return Stroke(stroke.string, stroke.fret + step, sign)


def _down_picking(rng: random.Random, count: int, frets: dict[int, int]) -> Slots:
    melody = rng.choice((1, 2, 3, 4))
    other = rng.choice((1, 2, 3, 4))
    chord = (1, 2, 3) if rng.random() < 0.6 else (1,)
    strings = {"t": (melody,), "o": (other,), "b": chord, "5": (5,)}
    table = DOWN_PICKING_SIX if count == 6 else DOWN_PICKING_EIGHT
    return [(n, tuple(Stroke(s, frets[s]) for s in strings[what])) for n, what in table]


def _pinch(rng: random.Random, frets: dict[int, int]) -> tuple[Stroke, ...]:
    strings = rng.choice(((1, 5), (1, 3), (1, 4), (1, 2, 5), (1, 2, 3)))
    return tuple(Stroke(s, frets[s]) for s in strings)


def _ending(rng: random.Random, slots: int, frets: dict[int, int]) -> Slots:
    """The second half of a phrase's last measure: two or three plucks, or a pinch left to ring."""
    top: tuple[Stroke, ...] = (Stroke(1, frets[1]), Stroke(2, frets[2]))
    if slots == 3:
        return [(2, top), (1, top)] if rng.random() < 0.5 else [(3, _pinch(rng, frets))]
    choice = rng.random()
    if choice < 0.4:
        return [(2, top), (2, top)]
    if choice < 0.6:
        return [(1, top), (1, top), (2, top)]
    return [(slots, _pinch(rng, frets))]


def _first(slots: Slots, count: int) -> Slots:
    """The first ``count`` slots; a note that goes on beyond is cut."""
    result, used = [], 0
    for n, strokes in slots:
        if used < count:
            result.append((min(n, count - used), strokes))
        used += n
    return result


def _from(slots: Slots, start: int) -> Slots:
    """The slots from ``start`` on; what a link started from before is picked instead."""
    result: Slots = []
    used = 0
    for n, strokes in slots:
        if used >= start:
            if not result:
                strokes = tuple(s._replace(link=None) for s in strokes)
            result.append((n, strokes))
        used += n
    return result


def _events(
    slots: Sequence[tuple[int, tuple[Stroke, ...]]], slot: Fraction, rng: random.Random, hand: Hand
) -> tuple[Event, ...]:
    """Slots as events in time; now and then a note is hammered within its slot."""
    split = rng.randrange(len(slots)) if rng.random() < hand.split else -1
    events: list[Event] = []
    onset = Fraction(0)
    for index, (n, strokes) in enumerate(slots):
        duration = n * slot
        first = strokes[0]
        follower = slots[index + 1][1] if index + 1 < len(slots) else ()
        free = len(strokes) == 1 and first.link is None and first.string != 5
        if index == split and n == 1 and free and not any(s.link for s in follower):
            half = duration / 2
            events.append(Event(onset, half, strokes))
            events.append(Event(onset + half, half, (_next_fret(first, rng),)))
        else:
            events.append(Event(onset, duration, strokes))
        onset += duration
    return tuple(events)


def _with_pickup(
    measures: list[ArrangedMeasure], slot: Fraction, first: ArrangedMeasure
) -> list[ArrangedMeasure]:
    """A pickup of two slots before, and a last measure shorter by as much."""
    string, fret, _ = first.events[0].strokes[0]
    notes = (Stroke(string, fret + 2 if string != 5 else 0), Stroke(2 if string != 2 else 1, 0))
    pickup = ArrangedMeasure(
        2 * slot,
        tuple(Event(i * slot, slot, (stroke,)) for i, stroke in enumerate(notes)),
        MeasureKind.PICKUP,
    )
    last = measures[-1]
    length = last.length - 2 * slot
    kept = [e for e in last.events if e.onset < length]
    kept[-1] = kept[-1]._replace(duration=length - kept[-1].onset)
    short = replace(last, length=length, events=tuple(kept), kind=MeasureKind.COMPLEMENT)
    return [pickup, *measures[:-1], short]
