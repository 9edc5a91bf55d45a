"""A score for a combination: the tune that a typist is given."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from random import Random
from typing import Any

from tests.benchmarks.grammar import melody
from tests.benchmarks.grammar.model import Event, Measure, Note, Part, Tune, Tuning, Unreadable
from tests.benchmarks.grammar.words import PEOPLE, section_of, title


def compose(data: dict[str, Any], random: Random) -> Tune:
    """A tune of the kind, the tuning, the time drawn."""
    tuning, meter = data["tuning"], data["meter"]
    _playable(tuning, data)
    key = random.choice(tuning.keys)
    parts = [
        Part(name="", measures=_part(data, key, (count, data["position"][min(i, 1)]), random))
        for i, count in enumerate(data["length"])
    ]
    tune = Tune(title=title(random), tuning=tuning, meter=meter, key=key, parts=parts)
    if not data["repeat"]:
        _pickup(tune, data["pickup"], random)
    _slurs_and_marks(tune, data, random)
    if data["repeat"]:
        _repeats(tune, data)
    elif data["endings"]:
        raise Unreadable("endings without a repeat")
    _has_what_was_drawn(tune, data)
    if data["slip"]:
        _slip(tune, data["slip"], random)
    if data["jumps"] and data["jumps"].over:
        tune.measures[-1].sign = data["jumps"].text
        for part, word in zip(parts, data["jumps"].over, strict=False):
            part.measures[0].sign = word
    if data["part headings"]:
        for part, name in zip(parts, data["part headings"], strict=False):
            part.name = name
            part.measures[0].section = section_of(name)
    tune.composer = random.choice(PEOPLE)
    return tune


def _playable(tuning: Tuning, data: dict[str, Any]) -> None:
    banjo, kind, meter = tuning.instrument == "banjo", data["kind"], data["meter"]
    if kind in (melody.roll, melody.down_picking) and not banjo:
        raise Unreadable("a roll on another instrument")
    if banjo and kind is melody.bass_and_chord:
        raise Unreadable("bass and chords on a banjo")
    if kind is melody.roll and meter.slots == 4:
        raise Unreadable("a roll in four slots")
    if kind is melody.down_picking and meter.slots != 8:
        raise Unreadable("no room for the pattern")
    if kind is not melody.roll and meter.written == "2/4" and meter.slots == 8:
        raise Unreadable("sixteenths are for rolls")
    if kind is melody.roll and meter.slots in (9, 10):
        raise Unreadable("a roll that does not fill the measure")
    if kind in (melody.pinches, melody.bass_and_chord) and meter.written in ("6/8", "9/8"):
        raise Unreadable("no pattern of six")
    if data["chords"] and kind is melody.melody:
        raise Unreadable("chords that a melody does not follow")
    if data["letters"] and kind is not melody.roll:
        raise Unreadable("letters are for rolls")
    if data["pickup"] >= meter.slots - 1:
        raise Unreadable("a pickup as long as a measure")


def _part(data: dict[str, Any], key: str, size: tuple[int, int], random: Random) -> list[Measure]:
    tuning, meter = data["tuning"], data["meter"]
    count, low = size
    measures = []
    for index, chord in enumerate(melody.chord_names(key, count, random)):
        slots = data["kind"](tuning, meter, (chord, key), low, random)
        if index == count - 1 and random.random() < 0.5:
            slots = {s: notes for s, notes in slots.items() if s <= meter.slots // 2}
        measures.append(melody.measure_of(slots, meter.slots, chord))
    return measures


def _pickup(tune: Tune, slots: int, random: Random) -> None:
    if not slots:
        return
    frets = melody.shape(tune.tuning, tune.key, 0)
    events = tuple(
        Event(
            slot=Fraction(s),
            slots=Fraction(1),
            notes=(Note(3, frets[3]) if s % 2 else Note(2, frets[2]),),
        )
        for s in range(slots)
    )
    tune.parts[0].measures.insert(0, Measure(slots=slots, events=events))
    if random.random() < 0.5:
        last = tune.parts[-1].measures[-1]
        left = {
            int(e.slot): [(n.string, n.fret) for n in e.notes]
            for e in last.events
            if e.slot < last.slots - slots
        }
        tune.parts[-1].measures[-1] = melody.measure_of(left, last.slots - slots, last.chords[0][1])


def _slurs_and_marks(tune: Tune, data: dict[str, Any], random: Random) -> None:
    before = None
    for part in tune.parts:
        for index, measure in enumerate(part.measures):
            if data["links"] and random.random() < 0.5:
                link = random.choice(sorted(data["links"].signs))
                measure = melody.slur(measure, link, random)
            if data["marks"] and random.random() < 0.3:
                measure = melody.marked(measure, data["marks"].mark, random)
            if data["ties"] and before and index and random.random() < 0.25:
                measure = _tied(before, measure)
            if data["rests"] and random.random() < 0.5:
                measure = melody.rested(measure, random)
            if data["like measures"] and before and index and random.random() < 0.4:
                measure = _same(before, measure)
            if data["triplets"] and not measure.same and random.random() < 0.4:
                measure = melody.triplet(measure, random)
            part.measures[index] = before = measure


def _same(before: Measure, measure: Measure) -> Measure:
    """The measure as the one before, where it can be typed as a sign."""
    tied = any(note.link == "=" for note in before.events[0].notes)
    if tied or measure.slots != before.slots:
        return measure
    return replace(measure, events=before.events, chords=before.chords, triplets=(), same=True)


def _has_what_was_drawn(tune: Tune, data: dict[str, Any]) -> None:
    """A value that leaves no trace says nothing of itself."""
    events = [event for m in tune.measures for event in m.events]
    notes = [note for event in events for note in event.notes]
    traces = {
        "links": any(n.link in "hps" for n in notes if n.link),
        "marks": any(n.mark for n in notes),
        "ties": any(n.link == "=" for n in notes),
        "rests": any(not e.notes for e in events),
        "like measures": any(m.same for m in tune.measures),
        "triplets": any(m.triplets for m in tune.measures),
    }
    for choice, there in traces.items():
        if data[choice] and not there:
            raise Unreadable(f"nothing to show for {choice}")


def _slip(tune: Tune, slip: str, random: Random) -> None:
    """One measure with a column too many or too few."""
    whole = [i for i, m in enumerate(tune.measures) if m.slots == tune.meter.slots and not m.same]
    index = random.choice(whole)
    tune.measures[index].slip = slip
    tune.doubtful.append(f"measure {index + 1}: {slip}")


def _tied(before: Measure, measure: Measure) -> Measure:
    try:
        return melody.tied(before, measure)
    except Unreadable:
        return measure


def _repeats(tune: Tune, data: dict[str, Any]) -> None:
    repeat = data["repeat"]
    for part in tune.parts:
        measures = part.measures
        measures[0].left = "repeat" if repeat.opens else "implied"
        if data["endings"] and len(measures) >= 4:
            again = melody.measure_of(
                {0: [(n.string, n.fret) for n in _first_notes(measures[0])]},
                measures[-1].slots,
                measures[-1].chords[0][1],
            )
            measures.append(again)
            measures[-2].ending, measures[-1].ending = "1", "2"
            measures[-2].right = "repeat"
            if repeat.right is None:
                measures[-2].right = ""
        else:
            measures[-1].right = "repeat"


def _first_notes(measure: Measure) -> list[Note]:
    return list(next(e.notes for e in measure.events if e.notes))
