"""Rolls with the melody in them, as old-time three-finger players and bluegrass players do it.

The arranger moves the tune so that the notes on its beats lie on the lower strings, finds a
chord for each measure or half measure from the melody, and a left-hand shape on strings 3 to 1
near the melody and near the last shape. A tune has one or two rolls of its own. The thumb plays
the melody on the beat, moving between strings 4 and 3 (and 2, in bluegrass style, when the
index finger goes to 3 for it); where a beat of the roll falls to another finger the melody is
taken there if the shape allows; index and middle fingers fill on 2 and 1; the fifth string is a
drone. Where the melody is high, the middle finger leads in a backward roll.

A roll is seldom left whole; ``BREAKS`` is the written list of what players do to it.

Facts of the trade used: T on 5 4 3, I on 2, M on 1, in bluegrass style T also on 2 and I on 3;
the finger orders of forward, backward, forward-reverse, alternating-thumb and paired rolls;
eighths in 4/4, 2/2, 6/8 and 3/4, sixteenths in 2/4; a stroke held over; pinches, usually a
quarter note; plucks of the top two strings for a roll's second half; string 4 walking into the
root of the next chord; string 4 left out or open where it is not part of the shape.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cache
from typing import NamedTuple

from ..model import (
    ArrangedMeasure,
    ArrangedTune,
    CorpusMeasure,
    CorpusTune,
    Event,
    MelodyNote,
    Stroke,
    TuneKind,
)
from .neck import (
    FINGER,
    MAX_FRET,
    REACH,
    TUNINGS,
    Key,
    Taste,
    beat_of,
    choose_tuning,
    compound,
    fill,
    find_key,
    finger,
    melody,
    on_neck,
    phrase_ends,
    pitch,
    slot_of,
    slurs,
    sour,
    spread,
)

#: t: thumb on 3 or 4 (or 2); 5: thumb on the drone; i: index on 2; m: middle on 1.
EIGHT: dict[str, str] = {
    "forward": "tim5im5m",
    "forward, thumb inside": "timtim5m",
    "backward": "mi5mi5m5",
    "forward-reverse": "tim5mitm",
    "forward-reverse, thumb inside": "timtmi5m",
    "alternating thumb": "ti5mti5m",
    "alternating thumb, bass": "titmti5m",
    "paired": "ti5imiti",
}
SIX_COMPOUND: dict[str, str] = {
    "forward": "tim5im",
    "two forward": "timtim",
    "forward-reverse": "tim5mi",
    "mixed": "timtmi",
    "middle first": "tmi5mi",
}
SIX_SIMPLE: dict[str, str] = {
    "forward": "tim5im",
    "alternating": "ti5m5m",
    "alternating, bass": "titm5m",
    "reverse": "tim5mi",
    "one and two": "timimi",
    "paired": "ti5iti",
}
#: What players do to a roll.
BREAKS = (
    "pinch",  # a pinch in place of two strokes
    "hold",  # strokes left out, the note before lasts
    "lead in",  # slide or hammer-on into the first note, which takes a stroke's place
    "half roll",  # half a roll, then the melody alone, or the other way round
    "walk",  # string 4 walks into the root of the next chord
    "plucks",  # one or two plucks of the top two strings for the second half
    "alone",  # a measure of the melody alone
)


class Chord(NamedTuple):
    root: int
    minor: bool

    @property
    def tones(self) -> frozenset[int]:
        third = 3 if self.minor else 4
        return frozenset((self.root + s) % 12 for s in (0, third, 7))


class Mark(NamedTuple):
    """A melody note that the arrangement carries: for checks. ``midi`` is the corpus's."""

    measure: int
    onset: Fraction
    string: int
    midi: int


class Shape(NamedTuple):
    """Frets on strings 1, 2, 3, and 4 (None: left out)."""

    one: int
    two: int
    three: int
    four: int | None

    def fret(self, string: int) -> int | None:
        return self[string - 1]


class _Carried(NamedTuple):
    slot: int
    string: int
    fret: int
    midi: int


@dataclass(slots=True)
class _Hands:
    """One player's habits for one tune."""

    tuning: str
    key: Key
    move: int
    slot: Fraction
    group: int
    rolls: dict[int, tuple[str, str]]
    main: float
    bluegrass: bool
    dense: bool
    halves: bool
    broken: float
    weights: list[float]
    rng: random.Random
    shape: Shape | None = None
    marks: list[Mark] = field(default_factory=list)

    @property
    def fast(self) -> bool:
        return self.slot == Fraction(1, 4)


Struck = dict[int, list[Stroke]]


def _patterns(n: int, group: int) -> list[str]:
    """Rolls of n strokes; other lengths are pieced together or cut from the usual ones."""
    if n == 8 and group == 2:
        return list(EIGHT.values())
    if n == 6:
        return list((SIX_COMPOUND if group == 3 else SIX_SIMPLE).values())
    if group == 3:
        return [("tim" * n)[:n], ("tim5im" * n)[:n], ("tim5mi" * n)[:n]]
    if n == 4:
        return ["ti5m", "timi", "titm"]
    return [("ti5m" * n)[:n], ("titmti5m" * n)[:n]]


@cache
def _chords(key: Key) -> tuple[tuple[Chord, float], ...]:
    """Chords of the scale, and how readily players use them (0 is the tonic's)."""
    found = []
    price = {0: 0.0, 5: 0.12, 7: 0.1, 9: 0.3, 2: 0.35, 10: 0.2, 3: 0.2, 4: 0.5, 8: 0.3}
    for root in sorted(key.scale):
        for minor in (False, True):
            chord = Chord(root, minor)
            if chord.tones <= key.scale:
                found.append((chord, price.get((root - key.tonic) % 12, 0.6)))
    return tuple(found)


def _find_chord(
    hands: _Hands, notes: Sequence[MelodyNote], before: Chord | None, close: bool
) -> Chord:
    """The chord whose tones last longest in the melody; a note on the beat weighs more."""
    best, best_score = Chord(hands.key.tonic, hands.key.minor), -9.0
    total = float(sum(n.duration for n in notes)) or 1.0
    for chord, price in _chords(hands.key):
        score = -price * (1.5 if close else 1.0) + (0.06 if chord == before else 0.0)
        for k, note in enumerate(notes):
            weight = float(note.duration) / total
            if k == 0 or (note.onset / hands.slot) % hands.group == 0:
                weight *= 1.5
            tone = (note.midi + hands.move) % 12
            score += weight * ((0.1 if tone == chord.root else 0.0) + (tone in chord.tones))
        if score > best_score:
            best, best_score = chord, score
    return best


@cache
def _shapes(tuning: str, chord: Chord) -> tuple[Shape, ...]:
    """Every way to hold the chord on strings 3 to 1 within the hand's reach. The root or the
    third must be there. String 4 joins if it can, is open if that is a chord tone, or rests."""
    opens = TUNINGS[tuning]

    def tones(string: int) -> list[int]:
        return [f for f in range(MAX_FRET + 1) if (opens[string - 1] + f) % 12 in chord.tones]

    found = []
    for one in tones(1):
        for two in tones(2):
            for three in tones(3):
                frets = (one, two, three)
                if spread(frets) > REACH:
                    continue
                if 0 in frets and max(frets) > 5:
                    continue
                names = {(o + f) % 12 for o, f in zip(opens, frets, strict=False)}
                if chord.root not in names and len(names) < 2:
                    continue
                joined = [f for f in tones(4) if spread((*frets, f)) <= REACH]
                low = [f for f in joined if f <= max(5, *frets)]
                root = [f for f in low if (opens[3] + f) % 12 == chord.root]
                four = min(root or low, default=None)
                found.append(Shape(one, two, three, four))
    return tuple(found) or (Shape(0, 0, 0, 0),)


def _wanted(hands: _Hands, notes: Sequence[MelodyNote], n: int) -> dict[int, tuple[int, bool]]:
    """Melody for the slots on the beat: the note sounding there, and whether it is new."""
    wanted: dict[int, tuple[int, bool]] = {}
    step = hands.group if hands.dense or n <= 4 else max(hands.group, n // 2)
    for slot in range(0, n, step):
        time = slot * hands.slot
        sounding = [m for m in notes if m.onset <= time]
        if sounding:
            new = sounding[-1].onset > time - step * hands.slot or slot == 0
            wanted[slot] = (sounding[-1].midi, new)
    return wanted


def _strings_for(hands: _Hands, token: str) -> tuple[int, ...]:
    if token == "t":
        return (4, 3, 2) if hands.bluegrass else (4, 3)
    return {"i": (2,), "m": (1,), "5": (5,)}[token]


def _place_melody(
    hands: _Hands, shape: Shape, roll: str, wanted: dict[int, tuple[int, bool]], span: range
) -> tuple[float, list[_Carried]]:
    """The melody notes that this shape lets the roll carry, and what the rest costs."""
    cost, carried = 0.0, []
    for slot in span:
        if slot not in wanted:
            continue
        midi, new = wanted[slot]
        best: tuple[float, int, int] | None = None
        for string in _strings_for(hands, roll[slot]):
            up = on_neck(hands.tuning, midi + hands.move) - TUNINGS[hands.tuning][string - 1]
            fret = up + 5 if string == 5 and up > 0 else up
            if not 0 <= fret <= MAX_FRET:
                continue
            others = [shape.fret(s) for s in (1, 2, 3) if s != string]
            if spread([fret, *(f for f in others if f is not None)]) > REACH:
                continue
            price = 0.05 * fret + (0.4 if string == 2 and roll[slot] == "t" else 0.0)
            price += 0.15 if fret > 0 and fret != shape.fret(min(string, 4)) else 0.0
            if best is None or price < best[0]:
                best = (price, string, fret)
        if best is None:
            cost += 12.0 if slot == 0 else 2.5 if roll[slot] == "t" and new else 0.6
        else:
            cost += best[0]
            carried.append(_Carried(slot, best[1], best[2], midi))
    return cost, carried


def _hold(
    hands: _Hands, chord: Chord, roll: str, wanted: dict[int, tuple[int, bool]], span: range
) -> tuple[Shape, list[_Carried], float]:
    """The shape for a chord: near the melody, near the last shape, low rather than high. If
    none lets the first note in, the open top strings are drones."""
    options: list[tuple[float, Shape, list[_Carried]]] = []
    for shape in (*_shapes(hands.tuning, chord), Shape(0, 0, 0, 0)):
        cost, carried = _place_melody(hands, shape, roll, wanted, span)
        cost += 0.07 * max(shape[:3]) + 0.1 * sum(f > 0 for f in shape[:3])
        if hands.shape is not None:
            cost += 0.12 * abs(max(shape[:3]) - max(hands.shape[:3]))
        tones = [(o + f) % 12 for o, f in zip(TUNINGS[hands.tuning], shape[:3], strict=False)]
        cost += 1.5 * sum(t not in chord.tones for t in tones)
        cost += 0.3 * (chord.root not in tones)
        cost += hands.rng.random() * 0.2
        options.append((cost, shape, carried))
    cost, shape, carried = min(options, key=lambda o: o[0])
    return shape, carried, cost


def _drone(hands: _Hands, shape: Shape, chord: Chord) -> list[Stroke]:
    """String 5: open; up the neck now and then stopped with the shape; left out if it grates
    against the root."""
    low = min((f for f in shape[:3] if f), default=0)
    if low >= 6 and hands.rng.random() < 0.3:
        for fret in range(max(6, low), min(low + REACH, MAX_FRET + 1)):
            tone = pitch(hands.tuning, 5, fret) % 12
            if tone in chord.tones and spread([fret, *shape[:3]]) <= REACH:
                return [Stroke(5, fret)]
    if (TUNINGS[hands.tuning][4] - chord.root) % 12 in (1, 11):
        return []
    return [Stroke(5, 0)]


def _roll_out(
    hands: _Hands, roll: str, span: range, shape: Shape, chord: Chord, carried: list[_Carried]
) -> Struck:
    """The strokes of a roll over one chord."""
    by_slot = {c.slot: c for c in carried}
    struck: Struck = {}
    bass = hands.rng.random() < 0.5
    for slot in span:
        token = roll[slot]
        if slot in by_slot:
            struck[slot] = [Stroke(by_slot[slot].string, by_slot[slot].fret)]
        elif token == "5":
            drone = _drone(hands, shape, chord)
            if drone:
                struck[slot] = drone
        elif token == "t":
            if bass and shape.four is not None:
                struck[slot] = [Stroke(4, shape.four)]
            else:
                struck[slot] = [Stroke(3, shape.three)]
            bass = not bass
        elif token == "i":
            near = [by_slot.get(slot - 1), by_slot.get(slot + 1)]
            if any(c is not None and c.string == 2 and roll[c.slot] == "t" for c in near):
                struck[slot] = [Stroke(3, shape.three)]
            else:
                struck[slot] = [Stroke(2, shape.two)]
        else:
            struck[slot] = [Stroke(1, shape.one)]
    return struck


def _pinch(shape: Shape, carried: _Carried | None, rng: random.Random) -> list[Stroke]:
    """Two or three strings together, a finger each: the melody or a thumb string, and the
    top ones."""
    if carried is None:
        thumb = Stroke(5, 0) if rng.random() < 0.5 else Stroke(3, shape.three)
        return [thumb, Stroke(1, shape.one), *([Stroke(2, shape.two)] * (rng.random() < 0.5))]
    strokes = [Stroke(carried.string, carried.fret)]
    if carried.string == 1:
        strokes.append(Stroke(5, 0) if rng.random() < 0.6 else Stroke(2, shape.two))
    else:
        strokes.append(Stroke(1, shape.one))
        if carried.string != 2 and rng.random() < 0.4:
            strokes.append(Stroke(2, shape.two))
    return strokes


def _lead_in(hands: _Hands, struck: Struck, carried: list[_Carried], at: int) -> None:
    """A slide or hammer-on into a melody note on the beat; the note itself comes a stroke
    later, made by the left hand."""
    for k, note in enumerate(carried):
        if note.slot != at or note.string == 5 or note.fret < 1 or len(struck.get(at, ())) != 1:
            continue
        if any(c.slot == at + 1 for c in carried):
            continue
        sources = [f for f in (note.fret - 1, note.fret - 2) if f >= 0]
        if note.fret in (3, 4):
            sources.append(0)
        scale = [f for f in sources if pitch(hands.tuning, note.string, f) % 12 in hands.key.scale]
        source = hands.rng.choice(scale or sources)
        slide = source > 0 and hands.rng.random() < 0.5
        struck[at] = [Stroke(note.string, source)]
        struck[at + 1] = [Stroke(note.string, note.fret, "/" if slide else "h")]
        carried[k] = note._replace(slot=at + 1)


def _walk(hands: _Hands, struck: Struck, root: int, n: int) -> list[int]:
    """The last half: steps on string 4 up (or down) into the next chord's root, a stroke to a
    beat; in 6/8 a stroke to an eighth. Steps of the scale or fret by fret."""
    low = TUNINGS[hands.tuning][3]
    goal = low + (root - low) % 12
    slots = list(range(n - 3, n)) if hands.group == 3 else list(range(n - 4, n, 2))
    if n == 8 and hands.group == 2 and not hands.fast and hands.rng.random() < 0.3:
        slots = [4, 6, 7]
    chromatic = hands.rng.random() < 0.25
    for step in (-1, 1):
        way: list[int] = []
        at = goal
        while len(way) < len(slots) and low <= at + step <= low + 9:
            at += step
            if chromatic or at % 12 in hands.key.scale:
                way.append(at - low)
        if len(way) == len(slots):
            for slot in [s for s in struck if s >= slots[0]]:
                del struck[slot]
            for slot, fret in zip(slots, reversed(way), strict=True):
                struck[slot] = [Stroke(4, fret)]
            return slots
    return []


def _alone(
    hands: _Hands, measure: CorpusMeasure, index: int, beat: Fraction, rate: float
) -> dict[Fraction, list[Stroke]]:
    """The melody alone. At sixteenth speed strings (so fingers) alternate, a slur helps where
    they do not, and a note that no finger is free for is left out."""
    notes = melody(measure)
    taste = Taste(fifth=2.0, clash=2.5 if hands.fast else 0.3)
    line = finger(
        hands.tuning, [n.midi + hands.move for n in notes], [n.duration for n in notes], taste
    )
    onsets = [n.onset for n in notes]
    links = slurs(line, onsets, beat, rate, 0.2, hands.rng)
    struck: dict[Fraction, list[Stroke]] = {}
    before: int | None = None
    for i, (onset, place) in enumerate(zip(onsets, line, strict=True)):
        link = links[i]
        if link is not None and before != i - 1:
            link = None
        near = before is not None and onset - onsets[before] <= Fraction(1, 4)
        if near and before is not None and link is None:
            old = line[before]
            if FINGER[old.string] == FINGER[place.string]:
                same = old.string == place.string and place.string != 5
                if same and 0 < abs(old.fret - place.fret) < REACH:
                    link = "h" if old.fret < place.fret else "p"
                else:
                    continue
        struck[onset] = [Stroke(place.string, place.fret, link)]
        hands.marks.append(Mark(index, onset, place.string, notes[i].midi))
        before = i
    return struck


def _settle(struck: Struck, carried: list[_Carried], firm: set[int]) -> None:
    """At sixteenth speed no finger plays twice in a row: the stroke that is not melody is left
    out and the note before it lasts. ``firm``: strokes to keep as melody is kept."""

    def used(slot: int) -> set[str]:
        return {FINGER[s.string] for s in struck.get(slot, ()) if s.link is None}

    again = True
    while again:
        again = False
        kept = {0, *firm, *(c.slot for c in carried)}
        kept |= {s - 1 for s in struck if any(k.link for k in struck[s])}
        for slot in sorted(struck):
            if not used(slot - 1) & used(slot):
                continue
            if len(struck[slot]) > 1 and slot - 1 not in kept:
                gone = slot - 1
            elif slot not in kept:
                gone = slot
            elif slot - 1 not in kept or any(k.link for k in struck.get(slot + 1, ())):
                gone = slot - 1
            else:
                gone = slot
            del struck[gone]
            carried[:] = [c for c in carried if c.slot != gone]
            again = True
            break


def _across(measures: list[ArrangedMeasure], marks: list[Mark]) -> None:
    """The same over the bar line: the last stroke of a measure gives way to the first of the
    next (a pickup of one note stays)."""
    for i in range(len(measures) - 1):
        following = measures[i + 1].events
        while len(measures[i].events) > 1 and following and not following[0].onset:
            *rest, ahead, last = measures[i].events
            if last.duration > Fraction(1, 4) or last.linked:
                break
            if not _fingers(last) & _fingers(following[0]):
                break
            longer = ahead._replace(duration=ahead.duration + last.duration)
            measures[i] = replace(measures[i], events=(*rest, longer))
            marks[:] = [m for m in marks if (m.measure, m.onset) != (i, last.onset)]


def _fingers(event: Event) -> set[str]:
    return {FINGER[s.string] for s in event.strokes if s.link is None}


def _break(
    hands: _Hands,
    name: str,
    struck: Struck,
    carried: list[_Carried],
    shape_at: Callable[[int], Shape],
    chords: Sequence[Chord],
    following: Chord | None,
    n: int,
    firm: set[int],
) -> None:
    """Do to the roll what ``name`` says; see ``BREAKS``. Strokes that must stay go to ``firm``."""
    rng = hands.rng
    half = n // 2 if hands.group == 3 or n != 6 else rng.choice((2, 4))
    by_slot = {c.slot: c for c in carried}

    def forget(slots: range) -> None:
        carried[:] = [c for c in carried if c.slot not in slots]

    def clear(slots: range) -> None:
        for slot in slots:
            struck.pop(slot, None)

    if name == "pinch":
        starts = [s for s in range(0, n - 1) if s % hands.group == 0]
        weights = [3.0 if s >= half else 1.0 for s in starts]
        at = rng.choices(starts, weights)[0]
        struck[at] = _pinch(shape_at(at), by_slot.get(at), rng)
        forget(range(at + 1, at + 2))
        clear(range(at + 1, at + 2))
    elif name == "hold":
        free = [s for s in struck if s and s not in by_slot]
        for slot in rng.sample(free, min(len(free), rng.choice((1, 1, 2)))):
            del struck[slot]
    elif name == "lead in":
        _lead_in(hands, struck, carried, 0)
        if hands.group == 2 and n == 8 and rng.random() < 0.2:
            _lead_in(hands, struck, carried, 4)
    elif name == "half roll":
        late = rng.random() < 0.7
        span = range(half, n) if late else range(0, half)
        for slot in span:
            if slot not in by_slot:
                struck.pop(slot, None)
        if span.start not in struck:
            shape = shape_at(span.start)
            struck[span.start] = [Stroke(3, shape.three)]
    elif name == "walk" and n >= 6:
        if following is not None and following != chords[-1] and rng.random() < 0.95:
            walked = _walk(hands, struck, following.root, n)
            if walked:
                forget(range(walked[0], n))
                firm.update(walked)
    elif name == "plucks" and n >= 4:
        shape = shape_at(half)
        forget(range(half, n))
        clear(range(half, n))
        pluck = [Stroke(1, shape.one), Stroke(2, shape.two)]
        struck[half] = list(pluck)
        if n - half >= 3 and rng.random() < 0.6:
            struck[half + 2] = list(pluck)
        if n - half >= 4 and rng.random() < 0.15:
            struck[half + 3] = [Stroke(5, 0)]


def _brush_end(
    hands: _Hands, struck: Struck, carried: list[_Carried], shape: Shape, n: int
) -> None:
    """The tune ends on a brush over the held chord, after half a roll or at once."""
    at = n // 2 if n >= 6 and hands.rng.random() < 0.75 else 0
    at += 2 if at and n == 8 and hands.rng.random() < 0.3 else 0
    for slot in [s for s in struck if s >= at]:
        del struck[slot]
    top = {c.slot: c for c in carried}.get(at)
    strokes = {1: shape.one, 2: shape.two, 3: shape.three}
    if shape.four is not None and hands.rng.random() < 0.7:
        strokes[4] = shape.four
    kept = [c for c in carried if c.slot < at]
    if top is not None and top.string != 5:
        joined = {**strokes, top.string: top.fret}
        sound = pitch(hands.tuning, top.string, top.fret)
        joined = {
            s: f
            for s, f in joined.items()
            if s == top.string or not sour(pitch(hands.tuning, s, f), sound)
        }
        if spread(joined.values()) <= REACH:
            strokes = joined
            kept.append(top)
    carried[:] = kept
    struck[at] = [Stroke(s, f) for s, f in sorted(strokes.items())]


def _habits(tune: CorpusTune, rng: random.Random) -> _Hands:
    """Tuning, place and habits. The notes on the beats should lie within an octave and a half
    of string 4."""
    slot, group = slot_of(tune.meter), 3 if compound(tune.meter) else 2
    beats = [
        n.midi for m in tune.measures for n in melody(m) if (n.onset / (slot * group)) % 1 == 0
    ]
    names = {"gDGBD": 0.0, "gCGBD": 0.2, "gCGCD": 0.7, "gDGCD": 0.9, "aDADE": 0.8}
    likes = {name: dislike + rng.uniform(0.0, 0.7) for name, dislike in names.items()}
    key = find_key(tune)
    tuning, move = choose_tuning(tune, key, rng, likes, (0, 13), beats)
    rolls = {}
    for n in {int(m.length / slot) for m in tune.measures}:
        patterns = _patterns(n, group)
        thumb_first = [p for p in patterns if p.startswith("t")] or patterns
        rolls[n] = (rng.choice(thumb_first), rng.choice(patterns))
    weights = [rng.uniform(0.2, 1.0) for _ in BREAKS]
    weights[BREAKS.index("plucks")] *= 0.4
    weights[BREAKS.index("lead in")] *= 1.6
    weights[BREAKS.index("alone")] *= rng.choice((0.2, 0.6, 1.2))
    return _Hands(
        tuning,
        key.moved(move),
        move,
        slot,
        group,
        rolls,
        main=rng.choice((0.6, 0.8, 1.0)),
        bluegrass=rng.random() < 0.5 and slot != Fraction(1, 4),
        dense=rng.random() < 0.7,
        halves=rng.random() < 0.5,
        broken=rng.uniform(0.15, 0.65),
        weights=weights,
        rng=rng,
    )


def _harmony(hands: _Hands, tune: CorpusTune) -> list[list[Chord]]:
    """One chord to a measure, or two where each half says something else clearly."""
    found: list[list[Chord]] = []
    before: Chord | None = None
    ends = phrase_ends(tune)
    for index, measure in enumerate(tune.measures):
        notes = melody(measure)
        whole = _find_chord(hands, notes, before, index in ends)
        chords = [whole]
        middle = measure.length / 2
        if hands.halves and (middle / hands.slot) % hands.group == 0 and measure.length >= 2:
            parts = [
                [n for n in notes if n.onset < middle],
                [n for n in notes if n.onset >= middle],
            ]
            if all(parts):
                first = _find_chord(hands, parts[0], before, False)
                second = _find_chord(hands, parts[1], first, index in ends)
                if first != second:
                    chords = [first, second]
        found.append(chords)
        before = chords[-1]
    return found


def _roll_for(hands: _Hands, n: int, wanted: dict[int, tuple[int, bool]]) -> str:
    """The tune's first or second roll; a backward one if the first note is too high for the
    thumb."""
    first, second = hands.rolls[n]
    roll = first if hands.rng.random() < hands.main else second
    if 0 in wanted:
        up = on_neck(hands.tuning, wanted[0][0] + hands.move) - TUNINGS[hands.tuning][2]
        if roll[0] == "t" and up > 12:
            return ("mi5" * n)[:n] if hands.group == 3 or n != 8 else "mi5mi5m5"
        lowest = TUNINGS[hands.tuning][0] - TUNINGS[hands.tuning][2]
        if roll[0] == "m" and up < lowest:
            return first
    return roll


def arrange_marked(tune: CorpusTune, rng: random.Random) -> tuple[ArrangedTune, list[Mark], int]:
    """As ``arrange``; also the melody notes it carries and the transposition, for checks."""
    hands = _habits(tune, rng)
    harmony = _harmony(hands, tune)
    ends, beat = phrase_ends(tune), beat_of(tune.meter)
    if hands.fast:
        beat = Fraction(1, 2)
    slur_rate = rng.uniform(0.1, 0.6)
    measures: list[ArrangedMeasure] = []
    for index, measure in enumerate(tune.measures):
        notes = melody(measure)
        n = measure.length / hands.slot
        final = index == len(tune.measures) - 1
        roll_here = n.denominator == 1 and n >= 4 and not measure.is_pickup
        name = None
        if index in ends and rng.random() < 0.5:
            name = "plucks"
        elif rng.random() < hands.broken:
            name = rng.choices(BREAKS, hands.weights)[0]
        if (not roll_here or name == "alone") and notes:
            struck_at = _alone(hands, measure, index, beat, slur_rate)
            measures.append(fill(measure, struck_at))
        elif not roll_here:
            measures.append(fill(measure, {}))
        else:
            size = int(n)
            wanted = _wanted(hands, notes, size)
            roll = _roll_for(hands, size, wanted)
            chords = harmony[index]
            following = harmony[index + 1][0] if not final else None
            spans = [range(0, size)]
            if len(chords) == 2:
                spans = [range(0, size // 2), range(size // 2, size)]
            struck: Struck = {}
            carried: list[_Carried] = []
            firm: set[int] = set()
            shapes: list[Shape] = []
            for chord, span in zip(chords, spans, strict=True):
                kept = {s: w for s, w in wanted.items() if s == 0 or w[1] or rng.random() < 0.4}
                shape, found, _ = _hold(hands, chord, roll, kept, span)
                hands.shape = shape
                shapes.append(shape)
                carried += found
                struck |= _roll_out(hands, roll, span, shape, chord, found)

            def shape_at(slot: int, shapes: list[Shape] = shapes, size: int = size) -> Shape:
                return shapes[-1] if slot >= size // 2 else shapes[0]

            if final and rng.random() < 0.7:
                _brush_end(hands, struck, carried, shapes[-1], size)
            elif name is not None:
                _break(hands, name, struck, carried, shape_at, chords, following, size, firm)
            if 0 not in struck:
                struck[0] = [Stroke(3, shapes[0].three)]
            if hands.fast:
                _settle(struck, carried, firm)
            for slot, strokes in struck.items():
                if spread(s.fret for s in strokes) > REACH:
                    own = {c.string for c in carried if c.slot == slot}
                    held = [s for s in strokes if s.string in own or s.fret == 0]
                    struck[slot] = held or strokes[:1]
            hands.marks += [Mark(index, c.slot * hands.slot, c.string, c.midi) for c in carried]
            measures.append(fill(measure, {s * hands.slot: v for s, v in struck.items()}))
    if hands.fast:
        _across(measures, hands.marks)
    arranged = ArrangedTune(TuneKind.ROLL, tune.number, tune.meter, hands.tuning, tuple(measures))
    return arranged, hands.marks, hands.move


def arrange(tune: CorpusTune, rng: random.Random) -> ArrangedTune:
    """Lay the tune out in rolls."""
    return arrange_marked(tune, rng)[0]
