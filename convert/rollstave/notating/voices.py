"""A measure of several voices, parted: the first has its stems up, the second down, and so on
(common practice in guitar music, no source). Most measures have one voice and none of this.
"""

from __future__ import annotations

from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from rollstave.score.records import Event, Measure
from rollstave.score.voices import held_for

NO_EVENT = -1  # the place of a rest: it is part of no event


class PartedVoice(Struct, frozen=True):
    """One voice of a measure. ``alone`` is the measure with its notes and rests between them;
    ``places`` has, for each event of that, the place in the measure of the event that it is part
    of, or :data:`NO_EVENT`."""

    number: int
    alone: Measure
    places: tuple[int, ...]


def parted(measure: Measure) -> tuple[PartedVoice, ...]:
    """The voices of a measure that has several, in order. The first is there though it may only
    rest."""
    numbers = {1, *(n.voice for e in measure.events for n in e.notes)}
    return tuple(_alone(measure, number) for number in sorted(numbers))


def _alone(measure: Measure, voice: int) -> PartedVoice:
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
            places.append(NO_EVENT)
        after = struck[position + 1][1].onset if position + 1 < len(struck) else measure.length
        now = min(after, event.onset + max(held_for(note, event) for note in notes))
        grace = event.grace if notes[0] is event.notes[0] else ()  # they stand once
        alone = replace(event, duration=now - event.onset, notes=notes, grace=grace)
        events.append(alone)
        places.append(place)
    if now < measure.length or not events:
        events.append(Event(now, measure.length - now, ()))
        places.append(NO_EVENT)
    return PartedVoice(voice, replace(measure, events=tuple(events)), tuple(places))
