"""The neck of the banjo, and what the three arrangers share: tunings, keys, fingering, slurs.

Facts of the trade used here: the tunings and their pitches; string 5 starts beside fret 5, so
its frets are 0 or 6 and more and fret n sounds n - 5 semitones above it; a thumb for strings 5,
4 and 3, the index finger for 2, the middle finger for 1. Good keys of a tuning are those whose
tonic and fifth are open strings, or nearly so.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from ..model import ArrangedMeasure, CorpusMeasure, CorpusTune, Event, MelodyNote, Meter, Stroke

#: Open pitches of strings 1 to 5.
TUNINGS: dict[str, tuple[int, int, int, int, int]] = {
    "gDGBD": (62, 59, 55, 50, 67),
    "gCGBD": (62, 59, 55, 48, 67),
    "gCGCD": (62, 60, 55, 48, 67),
    "gDGCD": (62, 60, 55, 50, 67),
    "aDADE": (64, 62, 57, 50, 69),
}
MAX_FRET = 17
#: The hand covers this many frets without moving.
REACH = 4
FINGER = {5: "T", 4: "T", 3: "T", 2: "I", 1: "M"}

#: Tonics (pitch classes) that lie well: with a major third, and with a minor third.
GOOD_KEYS: dict[str, tuple[dict[int, float], dict[int, float]]] = {
    "gDGBD": ({7: 0.0, 2: 0.5, 0: 0.6}, {9: 0.1, 4: 0.2, 2: 0.4}),
    "gCGBD": ({0: 0.0, 7: 0.4}, {9: 0.2, 4: 0.5, 2: 0.4}),
    "gCGCD": ({0: 0.0, 5: 0.7, 7: 0.5}, {2: 0.2, 9: 0.3, 0: 0.5}),
    "gDGCD": ({7: 0.4, 0: 0.5}, {7: 0.0, 2: 0.2, 9: 0.4}),
    "aDADE": ({2: 0.0, 9: 0.4}, {11: 0.3, 4: 0.2, 2: 0.4, 9: 0.3}),
}


class Key(NamedTuple):
    """Tonic and scale as pitch classes; ``minor`` if the third is."""

    tonic: int
    scale: frozenset[int]
    minor: bool

    def moved(self, semitones: int) -> Key:
        return Key(
            (self.tonic + semitones) % 12,
            frozenset((p + semitones) % 12 for p in self.scale),
            self.minor,
        )


class Place(NamedTuple):
    string: int
    fret: int


@dataclass(frozen=True, slots=True)
class Taste:
    """What a player likes: small numbers are cheap. ``clash`` is the price of one finger for
    two strokes in a row no more than ``speed`` apart."""

    fifth: float = 3.0
    high: float = 0.12
    open_bonus: float = 0.35
    shift: float = 0.5
    clash: float = 0.0
    speed: Fraction = Fraction(1, 4)
    melody_strings: Mapping[int, float] | None = None


def pitch(tuning: str, string: int, fret: int) -> int:
    """The sounding pitch."""
    base = TUNINGS[tuning][string - 1]
    if string == 5 and fret:
        if fret < 6:
            raise ValueError(f"no fret {fret} on string 5")
        return base + fret - 5
    return base + fret


def places(tuning: str, midi: int, strings: Iterable[int] = (1, 2, 3, 4, 5)) -> list[Place]:
    """Where a pitch can be had."""
    found = []
    for string in strings:
        up = midi - TUNINGS[tuning][string - 1]
        fret = up + 5 if string == 5 and up > 0 else up
        if 0 <= fret <= MAX_FRET:
            found.append(Place(string, fret))
    return found


def sour(a: int, b: int) -> bool:
    """Do two pitches grate: semitone, major seventh, tritone?"""
    return (a - b) % 12 in (1, 6, 11)


def spread(frets: Iterable[int]) -> int:
    """Frets the hand has to cover; open strings need no finger."""
    held = [f for f in frets if f]
    return max(held) - min(held) + 1 if held else 0


def melody(measure: CorpusMeasure) -> list[MelodyNote]:
    """The notes in order, one for each onset (the highest), inside the measure."""
    best: dict[Fraction, MelodyNote] = {}
    for note in measure.notes:
        onset = Fraction(note.onset)
        if 0 <= onset < measure.length and (onset not in best or note.midi > best[onset].midi):
            best[onset] = MelodyNote(onset, Fraction(note.duration), note.midi)
    return [best[o] for o in sorted(best)]


def find_key(tune: CorpusTune) -> Key:
    """Tonic by the key signature and the last note; the fifth is taken for a tonic only if its
    own chord weighs more in the melody."""
    major = 7 * tune.fifths % 12
    scale = frozenset((major + s) % 12 for s in (0, 2, 4, 5, 7, 9, 11))
    weight = [Fraction(0)] * 12
    last = None
    for measure in tune.measures:
        for note in melody(measure):
            weight[note.midi % 12] += note.duration
            last = note.midi
    if last is None:
        return Key(major, scale, False)
    degree = (last - major) % 12
    if degree == 7:
        mixolydian = sum(weight[(major + s) % 12] for s in (7, 11, 5))
        plain = sum(weight[(major + s) % 12] for s in (0, 4, 11))
        return Key((major + 7) % 12 if mixolydian > plain else major, scale, False)
    if degree in (2, 9):
        return Key((major + degree) % 12, scale, True)
    return Key(major, scale, False)


def choose_tuning(
    tune: CorpusTune,
    key: Key,
    rng: random.Random,
    names: Mapping[str, float],
    comfort: tuple[int, int],
    pitches: Sequence[int],
) -> tuple[str, int]:
    """A tuning and a transposition: a good key of the tuning, every note on the neck, most of
    them within ``comfort`` (semitones above string 4), with a liking for open strings."""
    every = [n.midi for m in tune.measures for n in melody(m)] or [62]
    weighed = list(pitches) or every
    options: list[tuple[float, str, int]] = []
    for name, dislike in names.items():
        opens = {p % 12 for p in TUNINGS[name]}
        low, high = TUNINGS[name][3], TUNINGS[name][0] + MAX_FRET
        for any_key in (False, True):
            for move in range(-36, 37):
                if min(every) + move < low or max(every) + move > high:
                    continue
                tonic = (key.tonic + move) % 12
                good = GOOD_KEYS[name][key.minor]
                if tonic not in good and not any_key:
                    continue
                cost = dislike + good.get(tonic, 3.0)
                for p in weighed:
                    up = p + move - low
                    out = max(comfort[0] - up, up - comfort[1], 0)
                    cost += (0.3 * out - 0.4 * ((p + move) % 12 in opens)) / len(weighed) * 2
                options.append((cost, name, move))
            if options:
                break
    if not options:
        name = min(names, key=lambda n: names[n])
        middle = round(sum(every) / len(every))
        return name, TUNINGS[name][3] + 14 - middle
    best = min(o[0] for o in options)
    weights = [math.exp(-3.0 * (o[0] - best)) for o in options]
    _, name, move = rng.choices(options, weights)[0]
    return name, move


def on_neck(tuning: str, midi: int) -> int:
    """The pitch itself, or by octaves the nearest the neck has (for tunes too wide for it)."""
    while midi < TUNINGS[tuning][3]:
        midi += 12
    while midi > TUNINGS[tuning][0] + MAX_FRET:
        midi -= 12
    return midi


_POSITIONS = (1, 2, 3, 4, 5, 7, 8, 9, 10, 12, 14)


def finger(
    tuning: str, pitches: Sequence[int], gaps: Sequence[Fraction], taste: Taste
) -> list[Place]:
    """A string and fret for every note, by the cheapest way of the left hand through them.

    The hand lies at a position and reaches four frets; moving it costs, less while an open
    string sounds or after a long note. ``gaps[i]`` is the time from note i to the next.
    """
    if not pitches:
        return []
    State = tuple[int, int, int]
    trail: list[dict[State, tuple[float, State | None]]] = []
    for i, midi in enumerate(pitches):
        layer: dict[State, tuple[float, State | None]] = {}
        for string, fret in places(tuning, on_neck(tuning, midi)):
            own = taste.high * fret + (0.25 * (fret - 7) if fret > 7 else 0.0)
            own -= taste.open_bonus if fret == 0 and string != 5 else 0.0
            own += taste.fifth if string == 5 else 0.0
            own += 2.0 if string == 5 and fret else 0.0
            own += (taste.melody_strings or {}).get(string, 0.0)
            for position in _POSITIONS:
                if fret and not position <= fret < position + REACH:
                    continue
                state = (string, fret, position)
                if not trail:
                    layer[state] = (own + 0.1 * position, None)
                    continue
                best: tuple[float, State | None] = (math.inf, None)
                for before, (cost, _) in trail[-1].items():
                    if before[2] != position:
                        move = taste.shift + 0.2 * abs(before[2] - position)
                        if before[1] == 0:
                            move *= 0.6
                        if gaps[i - 1] >= 1:
                            move *= 0.6
                        cost += move
                    skip = abs(min(before[0], 4) - min(string, 4))
                    cost += 0.15 * max(skip - 1, 0)
                    if taste.clash and gaps[i - 1] <= taste.speed:
                        cost += taste.clash * (FINGER[before[0]] == FINGER[string])
                    if cost < best[0]:
                        best = (cost, before)
                layer[state] = (best[0] + own, best[1])
        trail.append(layer)
    way = [min(trail[-1], key=lambda s: trail[-1][s][0])]
    for layer in reversed(trail[1:]):
        came_from = layer[way[-1]][1]
        assert came_from is not None
        way.append(came_from)
    return [Place(s[0], s[1]) for s in reversed(way)]


def slurs(
    line: Sequence[Place],
    onsets: Sequence[Fraction],
    beat: Fraction,
    rate: float,
    slides: float,
    rng: random.Random,
) -> list[str | None]:
    """Signs for the notes of one measure that the left hand makes.

    Players slur off the beat more than onto it, up with a hammer-on and down with a pull-off,
    as far as the hand reaches; a slide starts from a stopped string. Two signs in a row only
    as hammer-on and pull-off back to where it began.
    """
    links: list[str | None] = [None] * len(line)
    for i in range(1, len(line)):
        (s0, f0), (s1, f1) = line[i - 1], line[i]
        gap = onsets[i] - onsets[i - 1]
        if s0 != s1 or s1 == 5 or f0 == f1 or gap > 1:
            continue
        chance = rate * (0.25 if onsets[i] % beat == 0 else 1.0) * (0.4 if gap == 1 else 1.0)
        if links[i - 1] is not None:
            back = links[i - 1] == "h" and f1 < f0 and i >= 2 and line[i - 2] == line[i]
            chance *= 0.5 if back else 0.0
        if rng.random() >= chance:
            continue
        reach = 4 if 0 in (f0, f1) else REACH - 1
        slide = f0 > 0 and f1 > 0 and abs(f1 - f0) <= 4 and rng.random() < slides
        if slide:
            links[i] = "/" if f1 > f0 else "\\"
        elif abs(f1 - f0) <= reach:
            links[i] = "h" if f1 > f0 else "p"
    return links


def beat_of(meter: Meter) -> Fraction:
    """The beat as felt: a dotted quarter in 6/8 and its kin, else the written unit (a quarter
    in 2/2, whose eighths are slurred in pairs)."""
    if compound(meter):
        return Fraction(3, 2)
    return min(Fraction(4, meter.unit), Fraction(1))


def compound(meter: Meter) -> bool:
    return meter.unit >= 8 and meter.count % 3 == 0


def slot_of(meter: Meter) -> Fraction:
    """The even note of a roll: sixteenths in 2/4, else eighths."""
    short = not compound(meter) and meter.length <= 2
    return Fraction(1, 4) if short else Fraction(1, 2)


def fill(measure: CorpusMeasure, struck: Mapping[Fraction, Iterable[Stroke]]) -> ArrangedMeasure:
    """A measure from its strokes: each event lasts to the next one or the end."""
    onsets = sorted(o for o in struck if 0 <= o < measure.length)
    ends = [*onsets[1:], measure.length] if onsets else []
    events = tuple(
        Event(o, e - o, tuple(sorted(struck[o], key=lambda s: s.string)))
        for o, e in zip(onsets, ends, strict=True)
    )
    return ArrangedMeasure(measure.length, events, measure.kind, measure.left, measure.right)


def phrase_ends(tune: CorpusTune) -> set[int]:
    """Indexes of measures that close a phrase: every fourth full measure of a part, and the
    last before a repeat or double bar."""
    ends: set[int] = set()
    count = 0
    for i, m in enumerate(tune.measures):
        if m.left != "|":
            count = 0
        if not m.is_pickup:
            count += 1
        if m.right != "|" or i == len(tune.measures) - 1 or count == 4:
            if not m.is_pickup:
                ends.add(i)
            count = 0
    return ends
