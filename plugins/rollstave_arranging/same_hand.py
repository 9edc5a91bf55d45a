"""The right hand of a tune in which only the left hand has moved.

What is struck at the same times is struck by the same fingers (common practice, no source: the roll
goes on, whatever the left hand does), also where the strokes around would now suggest others. A
note that went to another string went to one of its finger.
"""

from __future__ import annotations

from msgspec.structs import replace

from rollstave import Event, Measure, Score


def with_hand_of(old: Score, new: Score) -> Score:
    """The new score with the suggested fingers of the old one in every measure that strikes as many
    strings at the same times, those struck together the same; letters that were typed stand in
    both."""
    measures = zip(old.measures, new.measures, strict=True)
    return replace(new, measures=tuple(_fingered(was, now) for was, now in measures))


def _fingered(old: Measure, new: Measure) -> Measure:
    if [_struck(e) for e in old.events] != [_struck(e) for e in new.events]:
        return new
    pairs = zip(old.events, new.events, strict=True)
    return replace(new, events=tuple(_of(was, now) for was, now in pairs))


def _struck(event: Event) -> tuple[object, ...]:
    """When an event is struck, on which strings if on several, and what the right hand picks."""
    alone = len(event.notes) == 1
    notes = ((None if alone else note.string, note.finger is None) for note in event.notes)
    return (event.onset, event.brush, *notes)


def _of(old: Event, new: Event) -> Event:
    notes = zip(old.notes, new.notes, strict=True)
    return replace(
        new,
        notes=tuple(
            replace(now, finger=was.finger, inferred_finger=was.inferred_finger)
            for was, now in notes
        ),
    )
