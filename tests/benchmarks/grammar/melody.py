"""Tunes by seed: chords, shapes, rolls and melodies for any tuning."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from random import Random

from tests.benchmarks.grammar.model import Event, Measure, Meter, Note, Tuning, Unreadable

PITCH = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
NAMES = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B")
Slots = dict[int, list[tuple[int, int]]]
Harmony = tuple[str, str]  # a chord, in a key
# Semitones over the key, and whether the chord is minor.
PROGRESSIONS = (
    ((0, 0, 5, 0), (0, 0, 7, 0)),
    ((0, 5, 0, 7), (0, 5, 7, 0)),
    ((0, 7, 7, 0), (0, 7, 7, 0)),
    ((5, 0, 7, 0), (5, 0, 7, 0)),
)
ROLLS = {
    8: (
        (3, 2, 5, 1, 4, 2, 5, 1),
        (3, 2, 1, 5, 1, 2, 3, 1),
        (2, 1, 5, 2, 1, 5, 2, 1),
        (4, 2, 5, 2, 1, 2, 3, 2),
        (3, 2, 5, 2, 1, 2, 4, 2),
        (1, 2, 5, 1, 2, 5, 1, 2),
    ),
    6: ((3, 2, 1, 5, 2, 1), (4, 2, 1, 3, 2, 1), (3, 2, 5, 1, 2, 5)),
}
FINGERS = {1: "M", 2: "I", 3: "T", 4: "T", 5: "T"}


def pitch_class(name: str) -> int:
    return PITCH[name[0]] + {"#": 1, "b": -1}.get(name[1:2], 0)


def shape(tuning: Tuning, chord: str, low: int) -> dict[int, int]:
    """The lowest chord tone from a fret upward on each string; a short string stays open."""
    root, third = pitch_class(chord), 3 if chord.endswith("m") else 4
    tones = {(root + step) % 12 for step in (0, third, 7)}
    frets = {}
    for index, pitch in enumerate(tuning.pitches):
        string = tuning.strings - index
        if string == 5 and tuning.instrument == "banjo":
            frets[string] = 0
            continue
        frets[string] = next(f for f in range(low, low + 12) if (pitch + f) % 12 in tones)
    return frets


def scale_notes(tuning: Tuning, key: str, low: int) -> list[tuple[int, int]]:
    """The notes of the key's scale in a position, upward: (string, fret)."""
    steps = (0, 2, 3, 5, 7, 8, 10) if key.endswith("m") else (0, 2, 4, 5, 7, 9, 11)
    tones = {(pitch_class(key) + step) % 12 for step in steps}
    found = []
    for string in range(min(tuning.strings, 4), 0, -1):
        pitch = tuning.pitches[tuning.strings - string]
        higher = tuning.pitches[tuning.strings - string + 1] if string > 1 else pitch + 8
        reach = min(higher - pitch, 8)
        found += [(string, f) for f in range(low, low + reach) if (pitch + f) % 12 in tones]
    return found


def roll(tuning: Tuning, meter: Meter, harmony: Harmony, low: int, random: Random) -> Slots:
    """A roll over a held shape, here and there its melody note moved."""
    frets = shape(tuning, harmony[0], low)
    count = 6 if meter.slots == 6 else 8
    pattern = random.choice(ROLLS[count])
    slots = {s: [(string, frets[string])] for s, string in enumerate(pattern)}
    if random.random() < 0.25:
        del slots[random.choice((count - 1, count // 2 + 1))]
    return slots


def pinches(tuning: Tuning, meter: Meter, harmony: Harmony, low: int, random: Random) -> Slots:
    """A melody on the beats, pinches of the outer strings between."""
    frets, last = shape(tuning, harmony[0], low), 5 if tuning.instrument == "banjo" else 3
    slots: Slots = {}
    for index, slot in enumerate(range(0, meter.slots, 2)):
        if index % 2 == 0:
            string = random.choice((2, 3, 4))
            slots[slot] = [(string, frets[string])]
        else:
            slots[slot] = [(1, frets[1]), (last, frets[last])]
    return slots


def down_picking(tuning: Tuning, meter: Meter, harmony: Harmony, low: int, random: Random) -> Slots:
    """A melody note, a brush, the thumb string: twice a measure."""
    frets = shape(tuning, harmony[0], low)
    slots: Slots = {}
    for start in range(0, meter.slots, 4):
        string = random.choice((1, 2, 3, 4))
        slots[start] = [(string, frets[string])]
        if start + 2 < meter.slots:
            width = random.choice((1, 2, 3))
            slots[start + 2] = [(s, frets[s]) for s in range(1, width + 1)]
        if start + 3 < meter.slots:
            slots[start + 3] = [(5, 0)]
    return slots


def melody(tuning: Tuning, meter: Meter, harmony: Harmony, low: int, random: Random) -> Slots:
    """Steps up and down a scale, in quarter and eighth notes."""
    notes = scale_notes(tuning, harmony[1], low)
    at, slot, slots = random.randrange(len(notes)), 0, {}
    while slot < meter.slots:
        slots[slot] = [notes[at]]
        at = max(0, min(len(notes) - 1, at + random.choice((-2, -1, -1, 1, 1, 2))))
        slot += 1 if slot % 2 else random.choice((1, 2, 2))
    return slots


def bass_and_chord(
    tuning: Tuning, meter: Meter, harmony: Harmony, low: int, random: Random
) -> Slots:
    """A low note on the beat, the top strings after it."""
    frets = shape(tuning, harmony[0], low)
    slots: Slots = {}
    for index, slot in enumerate(range(0, meter.slots, 2)):
        low_string = tuning.strings - (random.random() < 0.4)
        first = index % 2 == 0 if meter.slots == 8 else index == 0
        slots[slot] = (
            [(low_string, frets[low_string])] if first else [(s, frets[s]) for s in (1, 2, 3)]
        )
    return slots


def arpeggios(tuning: Tuning, meter: Meter, harmony: Harmony, low: int, random: Random) -> Slots:
    """The shape up and down, a note a slot."""
    frets = shape(tuning, harmony[0], low)
    top = min(tuning.strings, 4)
    order = [*range(top, 0, -1), *range(2, top)]
    start = random.randrange(2)
    return {
        s: [(order[(s + start) % len(order)], frets[order[(s + start) % len(order)]])]
        for s in range(meter.slots)
    }


def double_stops(tuning: Tuning, meter: Meter, harmony: Harmony, low: int, random: Random) -> Slots:
    """Two neighbours together, mostly a beat apart."""
    frets, slot = shape(tuning, harmony[0], low), 0
    slots: Slots = {}
    while slot < meter.slots:
        string = random.choice((1, 1, 2, 3))
        slots[slot] = [(string, frets[string]), (string + 1, frets[string + 1])]
        slot += 1 if slot % 2 else random.choice((1, 2, 2, 2))
    return slots


def strums(tuning: Tuning, meter: Meter, harmony: Harmony, low: int, random: Random) -> Slots:
    """All long strings on the beats, the top ones here and there between."""
    frets = shape(tuning, harmony[0], low)
    long = [s for s in frets if not (s == 5 and tuning.instrument == "banjo")]
    slots: Slots = {}
    for slot in range(0, meter.slots, meter.beat):
        slots[slot] = [(s, frets[s]) for s in long]
        if meter.beat > 1 and random.random() < 0.4:
            slots[slot + meter.beat // 2] = [(s, frets[s]) for s in (1, 2)]
    return slots


Kind = Callable[[Tuning, Meter, Harmony, int, Random], Slots]


def measure_of(slots: Slots, count: int, chord: str = "") -> Measure:
    """A measure of what is struck in each slot, from the first; what follows a note ends it."""
    starts = sorted(s for s in slots if s < count)
    events = []
    if not starts or starts[0] > 0:
        events.append(
            Event(slot=Fraction(0), slots=Fraction(starts[0] if starts else count), notes=())
        )
    for start, end in zip(starts, [*starts[1:], count], strict=True):
        notes = tuple(Note(string, fret) for string, fret in sorted(slots[start]))
        letter = FINGERS.get(notes[0].string, "") if len(notes) == 1 else ""
        events.append(
            Event(slot=Fraction(start), slots=Fraction(end - start), notes=notes, letter=letter)
        )
    return Measure(slots=count, events=tuple(events), chords=((0, chord),) if chord else ())


def chord_names(key: str, count: int, random: Random) -> list[str]:
    """A chord a measure, ending at home."""
    tonic = pitch_class(key)
    minor = key.endswith("m")
    steps = [s for half in random.choice(PROGRESSIONS) for s in half]
    if minor:
        steps = [{5: 10, 7: 10}.get(s, s) for s in steps]
    names = [NAMES[(tonic + s) % 12] + ("m" if minor and s == 0 else "") for s in steps]
    return [*(names * 3)[: count - 1], names[0] if steps[0] == 0 else names[-1]]


def slur(measure: Measure, link: str, random: Random) -> Measure:
    """The measure with one of its single notes slurred into a new one in the next slot."""
    events = list(measure.events)
    places = [
        i
        for i, e in enumerate(events)
        if len(e.notes) == 1
        and not e.notes[0].link
        and e.slot + 1 < measure.slots
        and e.slot % 2 == 0
        and e.notes[0].string < 5
        and (e.slots > 1 or len(events[i + 1].notes) == 1)
        and (e.slots > 1 or i + 2 >= len(events) or not any(n.link for n in events[i + 2].notes))
    ]
    if not places:
        return measure
    index = random.choice(places)
    event = events[index]
    note = event.notes[0]
    low, high = note.fret, note.fret + 2
    first, second = (high, low) if link == "p" else (low, high)
    end = event.slot + event.slots
    replaced = [
        replace(event, slots=Fraction(1), notes=(replace(note, fret=first),)),
        Event(
            slot=event.slot + 1,
            slots=max(Fraction(1), end - event.slot - 1),
            notes=(Note(note.string, second, link=link),),
        ),
    ]
    cut = index + 1
    if event.slots == 1:
        replaced[1] = replace(replaced[1], slots=events[index + 1].slots)
        cut += 1
    events[index:cut] = replaced
    return replace(measure, events=tuple(events))


def marked(measure: Measure, mark: str, random: Random) -> Measure:
    """The measure with one of its single notes played in a manner of its own."""
    places = [
        i
        for i, e in enumerate(measure.events)
        if len(e.notes) == 1 and not e.notes[0].link and e.notes[0].string < 5
    ]
    places = [i for i in places if not _leads_on(measure, i)]
    if mark in "b~":
        places = [i for i in places if measure.events[i].notes[0].fret]
    if not places:
        return measure
    index = random.choice(places)
    note = replace(measure.events[index].notes[0], mark=mark)
    if mark == "*":
        note = replace(note, fret=random.choice((12, 12, 7, 5)))
    events = list(measure.events)
    events[index] = replace(events[index], notes=(note,))
    return replace(measure, events=tuple(events))


def _leads_on(measure: Measure, index: int) -> bool:
    after = measure.events[index + 1 : index + 2]
    return any(note.link for event in after for note in event.notes)


def rested(measure: Measure, random: Random) -> Measure:
    """The measure with a long note cut off by a rest."""
    places = [
        i
        for i, e in enumerate(measure.events)
        if e.slots > 1 and e.notes and not _leads_on(measure, i) and not e.notes[0].link
    ]
    if not places:
        return measure
    index = random.choice(places)
    event = measure.events[index]
    rest = Event(slot=event.slot + 1, slots=event.slots - 1, notes=())
    events = list(measure.events)
    events[index : index + 1] = [replace(event, slots=Fraction(1)), rest]
    return replace(measure, events=tuple(events))


def triplet(measure: Measure, random: Random) -> Measure:
    """The measure with a beat's note broken into three."""
    places = [
        i
        for i, e in enumerate(measure.events)
        if e.slots == 2
        and e.slot % 2 == 0
        and len(e.notes) == 1
        and not e.notes[0].link + e.notes[0].mark
        and e.notes[0].string < 5
        and e.notes[0].fret < 8
        and not _leads_on(measure, i)
    ]
    if not places:
        return measure
    index = random.choice(places)
    event, third = measure.events[index], Fraction(2, 3)
    note = event.notes[0]
    notes = [
        replace(event, slot=event.slot + i * third, slots=third, notes=(replace(note, fret=f),))
        for i, f in enumerate((note.fret, note.fret + 2, note.fret))
    ]
    notes[1:] = [replace(later, letter="") for later in notes[1:]]
    events = list(measure.events)
    events[index : index + 1] = notes
    return replace(measure, events=tuple(events), triplets=(*measure.triplets, int(event.slot)))


def tied(before: Measure, measure: Measure) -> Measure:
    """The measure with its first note tied to the last one before, where it can be."""
    last, first = before.events[-1], measure.events[0]
    if len(last.notes) != 1 or last.notes[0].mark or _leads_on(measure, 0) or not first.notes:
        raise Unreadable("nothing to tie")
    note = replace(last.notes[0], link="=")
    return replace(measure, events=(replace(first, notes=(note,), letter=""), *measure.events[1:]))
