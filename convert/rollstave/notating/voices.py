"""A measure of several voices, each notated by itself: the first with its stems up, the others with
theirs down (common practice in guitar music, no source). Most measures have one voice and none of
this.
"""

from __future__ import annotations

from fractions import Fraction

from msgspec.structs import replace

from rollstave.notating.notation import NotatedMeasure, notate, notate_measure
from rollstave.score.records import Event, Measure, Note, Score

_NO_EVENT = -1  # the place of a rest: it is part of no event


def has_voices(measure: Measure) -> bool:
    """True for a measure with more than one voice."""
    return any(note.voice > 1 for event in measure.events for note in event.notes)


def notated_voices(score: Score) -> dict[int, tuple[tuple[int, NotatedMeasure], ...]]:
    """The voices of each measure that has several, by its index: the number of each, and its
    symbols, which name the events of the measure. The first is there though it may only rest."""
    places = [measure.index for measure in score.measures if has_voices(measure)]
    if not places:
        return {}  # nearly always
    meters, keys = score.meters, score.keys
    all_at_once = notate(score)
    found = {}
    for index in places:
        measure = score.measures[index]
        numbers = {1, *(n.voice for e in measure.events for n in e.notes)}
        voices = []
        for number in sorted(numbers):
            alone, places_of = _alone(measure, number)
            before = all_at_once[index - 1].altered if index else {}
            notated = notate_measure(
                alone, meters[index], keys[index], score.setup.instrument, before
            )
            symbols = tuple(
                replace(s, event_index=places_of[s.event_index], stem_up=number == 1)
                for s in notated.symbols
            )
            voices.append((number, NotatedMeasure(measure, symbols, notated.whole_rest)))
        found[index] = tuple(voices)
    return found


def _alone(measure: Measure, voice: int) -> tuple[Measure, list[int]]:
    """A measure with the notes of one voice, rests between them, and for each of its events the
    place in the measure of the event that it is part of."""
    struck = [
        (place, event, tuple(n for n in event.notes if n.voice == voice))
        for place, event in enumerate(measure.events)
    ]
    struck = [one for one in struck if one[2]]
    events: list[Event] = []
    places: list[int] = []
    now = Fraction(0)
    for position, (place, event, notes) in enumerate(struck):
        if event.onset > now:
            events.append(Event(now, event.onset - now, ()))
            places.append(_NO_EVENT)
        after = struck[position + 1][1].onset if position + 1 < len(struck) else measure.length
        now = min(after, event.onset + max(_held(note, event) for note in notes))
        first = notes[0] is event.notes[0]  # syllables and grace notes stand once
        events.append(
            replace(
                event,
                duration=now - event.onset,
                notes=notes,
                lyric=event.lyric if first else None,
                verses=event.verses if first else (),
                grace=event.grace if first else (),
            )
        )
        places.append(place)
    if now < measure.length:
        events.append(Event(now, measure.length - now, ()))
        places.append(_NO_EVENT)
    return replace(measure, events=tuple(events)), places


def _held(note: Note, event: Event) -> Fraction:
    return event.duration if note.lasts is None else note.lasts
