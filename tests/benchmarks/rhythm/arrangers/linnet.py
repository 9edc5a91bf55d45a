"""The melody with drone fills.

Two right hands, one to a tune. The down-picker strikes the melody with the nail; a note of two
beats becomes a quarter and then two eighths, a brush (or the first string) and the thumb on
string 5; a note of one beat may be halved by the thumb. The three-finger player breaks a long
note by the open strings 5 and 1 (or 2), never with the finger that has just played, and
pinches a drone with the melody on strong beats. In 6/8 the group is three eighths; in 2/4 all
is twice as fast. How much is filled, brushed and pinched is the tune's own. A last note may be
brushed.

Facts of the trade used: the down-picking figure, the brush on the second of its three strokes,
T on 5 4 3, I on 2, M on 1, a pinch as two or three strings together.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from ..model import ArrangedTune, CorpusTune, Stroke, TuneKind
from .neck import (
    FINGER,
    Place,
    Taste,
    beat_of,
    choose_tuning,
    compound,
    fill,
    find_key,
    finger,
    melody,
    phrase_ends,
    pitch,
    slot_of,
    slurs,
    sour,
)


@dataclass(frozen=True, slots=True)
class _Hand:
    """One player's habits for one tune."""

    tuning: str
    down: bool
    fill: float
    halve: float
    brush: float
    pinch: float
    wide: bool


#: Three-finger fills by how many slots the note has: where, and the wish for a string.
_FILLS: dict[int, tuple[tuple[tuple[int, int], ...], ...]] = {
    2: (((1, 1),), ((1, 5),)),
    3: (((1, 1), (2, 5)), ((1, 5), (2, 1)), ((2, 1),), ((2, 5),)),
    4: (
        ((1, 1), (2, 5), (3, 1)),
        ((2, 1), (3, 5)),
        ((1, 5), (2, 1)),
        ((2, 5), (3, 1)),
        ((1, 2), (2, 5), (3, 1)),
        ((1, 1), (2, 5)),
    ),
    6: (
        ((1, 1), (2, 5), (3, 1), (4, 5), (5, 1)),
        ((1, 2), (2, 1), (3, 5), (4, 2), (5, 1)),
        ((2, 1), (3, 5), (4, 1), (5, 5)),
        ((2, 1), (4, 1), (5, 5)),
    ),
}


def _brush(hand: _Hand, held: Place, rng: random.Random) -> list[Stroke]:
    """The top strings open, the melody's own fret held; strings that grate are missed."""
    sounding = pitch(hand.tuning, *held)
    strings = rng.choice(((1, 2), (1, 2, 3), (1, 2, 3, 4)) if hand.wide else ((1, 2), (1, 2, 3)))
    strokes = []
    for string in strings:
        fret = held.fret if string == held.string else 0
        if string == held.string or not sour(pitch(hand.tuning, string, fret), sounding):
            strokes.append(Stroke(string, fret))
    return strokes or [Stroke(5, 0)]


def _drone(hand: _Hand, wish: int, held: Place, last: str) -> Stroke | None:
    """An open string to break a note with, by a finger that is free; the wish comes first.
    The string on which the melody rings is left to it."""
    for string in (wish, 5, 1, 2):
        if string != held.string and FINGER[string] != last:
            return Stroke(string, 0)
    return None


def _break_down(
    hand: _Hand, held: Place, n: int, three: bool, on_beat: bool, rng: random.Random
) -> dict[int, list[Stroke]]:
    """Down-picking: strokes after the melody note, by slot."""
    thumb = [Stroke(5, 0)]

    def second() -> list[Stroke]:
        if rng.random() < hand.brush or held.string == 1:
            return _brush(hand, held, rng)
        return [Stroke(1, 0)]

    added: dict[int, list[Stroke]] = {}
    if three:
        if n >= 3 and on_beat:
            for k in range(0, n - 2, 3):
                if k or rng.random() < 0.6:
                    added[k + 1] = second()
                added[k + 2] = thumb
        elif n == 2 and rng.random() < hand.halve * 0.4:
            added[1] = thumb
        return added
    if n == 2 and on_beat and rng.random() < hand.halve:
        added[1] = thumb
    for k in range(2, n, 2):
        if k % 4 == 0 and n > 6:
            added[k] = [Stroke(1, 0)] if held.string != 1 else [Stroke(2, 0)]
        else:
            added[k] = second()
            if k + 1 < n:
                added[k + 1] = thumb
    return added


def _break_fingers(hand: _Hand, held: Place, n: int, rng: random.Random) -> dict[int, list[Stroke]]:
    """Three fingers: strokes after the melody note, by slot."""
    if n == 2 and rng.random() >= hand.halve:
        return {}
    added: dict[int, list[Stroke]] = {}
    if n == 4 and rng.random() < hand.pinch * 0.5:
        strings = [s for s in (5, 2, 1) if s != held.string]
        return {2: [Stroke(s, 0) for s in (strings if rng.random() < 0.4 else strings[-2:])]}
    plan = rng.choice(_FILLS.get(n) or (_FILLS[4] if n > 4 else ((),)))
    last, at = FINGER[held.string], 0
    for slot, wish in plan:
        stroke = _drone(hand, wish, held, last if slot == at + 1 else "")
        if stroke is not None:
            added[slot] = [stroke]
            last, at = FINGER[stroke.string], slot
    return added


def _pinched(hand: _Hand, held: Place, rng: random.Random) -> list[Stroke]:
    """Drones to strike together with a melody note: other fingers, nothing that grates."""
    sounding = pitch(hand.tuning, *held)
    free = [
        Stroke(s, 0)
        for s in (1, 2, 5)
        if FINGER[s] != FINGER[held.string] and not sour(pitch(hand.tuning, s, 0), sounding)
    ]
    return rng.sample(free, min(len(free), rng.choice((1, 1, 2))))


def _habits(tuning: str, rng: random.Random) -> _Hand:
    return _Hand(
        tuning,
        down=rng.random() < 0.5,
        fill=rng.uniform(0.45, 0.97),
        halve=rng.choice((0.0, 0.25, 0.6, 0.9)),
        brush=rng.choice((0.15, 0.5, 0.85)),
        pinch=rng.choice((0.0, 0.15, 0.35)),
        wide=rng.random() < 0.4,
    )


def _last_struck(hand: _Hand, line: Sequence[Place], i: int, rng: random.Random) -> list[Stroke]:
    """The last note: a brush up to it, if it is not on string 5."""
    held = line[i]
    if held.string == 5:
        return []
    sounding = pitch(hand.tuning, *held)
    rest = [s for s in (1, 2, 3, 4) if s != held.string]
    kept = [Stroke(s, 0) for s in rest if not sour(pitch(hand.tuning, s, 0), sounding)]
    return kept if rng.random() < 0.7 else kept[:2]


def arrange(tune: CorpusTune, rng: random.Random) -> ArrangedTune:
    """Lay the melody out and break its long notes with drones."""
    names = {"gDGBD": 0.0, "gCGBD": 0.4, "gCGCD": 0.0, "gDGCD": 0.1, "aDADE": 0.0}
    likes = {name: dislike + rng.uniform(0.0, 1.0) for name, dislike in names.items()}
    every = [n for m in tune.measures for n in melody(m)]
    tuning, move = choose_tuning(tune, find_key(tune), rng, likes, (0, 17), [n.midi for n in every])
    hand = _habits(tuning, rng)
    taste = Taste(fifth=8.0, high=0.14, open_bonus=rng.uniform(0.2, 0.6))
    way = iter(finger(tuning, [n.midi + move for n in every], [n.duration for n in every], taste))
    slot, beat, three = slot_of(tune.meter), beat_of(tune.meter), compound(tune.meter)
    if slot == Fraction(1, 4):
        beat = Fraction(1, 2)
    rate, slides = rng.choice((0.0, 0.2, 0.5)), rng.choice((0.0, 0.2))
    ends = phrase_ends(tune)
    measures = []
    for index, measure in enumerate(tune.measures):
        notes = melody(measure)
        line = [next(way) for _ in notes]
        onsets = [n.onset for n in notes]
        links = slurs(line, onsets, beat, rate, slides, rng)
        struck: dict[Fraction, list[Stroke]] = {}
        for i, onset in enumerate(onsets):
            end = onsets[i + 1] if i + 1 < len(onsets) else measure.length
            n, held = (end - onset) / slot, line[i]
            strokes = [Stroke(held.string, held.fret, links[i])]
            slurred = i + 1 < len(links) and links[i + 1] is not None
            on_beat = onset % beat == 0
            last = index == len(tune.measures) - 1 and i == len(onsets) - 1
            added: dict[int, list[Stroke]] = {}
            even = (onset / slot).denominator == 1 and n.denominator == 1 and n >= 2
            calm = measure.is_pickup or (index in ends and i == len(onsets) - 1)
            chance = hand.fill * (0.5 if calm else 1.0)
            if even and not slurred and held.string != 5 and rng.random() < chance:
                if hand.down:
                    added = _break_down(hand, held, int(n), three, on_beat, rng)
                else:
                    added = _break_fingers(hand, held, int(n), rng)
            if last and rng.random() < 0.5:
                strokes += _last_struck(hand, line, i, rng)
                added = {}
            elif (
                links[i] is None
                and not slurred
                and on_beat
                and not hand.down
                and held.string != 5
                and rng.random() < hand.pinch
            ):
                strokes += _pinched(hand, held, rng)
                if 1 in added and {FINGER[s.string] for s in strokes} & {
                    FINGER[s.string] for s in added[1]
                }:
                    del added[1]
            struck[onset] = strokes
            for k, extra in added.items():
                struck[onset + k * slot] = extra
        measures.append(fill(measure, struck))
    return ArrangedTune(TuneKind.FIDDLE, tune.number, tune.meter, tuning, tuple(measures))
