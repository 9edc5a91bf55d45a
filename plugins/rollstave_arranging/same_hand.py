"""The right hand of a tune in which only the left hand has moved.

What is struck at the same times is struck by the same fingers (common practice, no source: the roll
goes on, whatever the left hand does), also where the strokes around would now suggest others. A
note that went to another string went to one of its finger.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec.structs import replace

from rollstave import Event, Finger, Measure, Score
from rollstave_arranging.fingering import at_home
from rollstave_arranging.flow import NoteAt


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


def with_letters(score: Score, letters: Mapping[NoteAt, Finger]) -> Score:
    """The score with the letters of its rolls written out in the measures where the strings alone
    do not say them: the right hand does what it did."""
    measures = []
    for measure in score.measures:
        wanted = [
            (number, note, letters.get((measure.index, number, note.string)))
            for number, event in enumerate(measure.events)
            for note in event.notes
        ]
        plain = (
            finger is None or (finger is note.finger and at_home(finger, note.string))
            for _, note, finger in wanted
        )
        if all(plain):
            measures.append(measure)
            continue
        fingers = {(number, note.string): finger for number, note, finger in wanted if finger}
        events = tuple(
            replace(
                event,
                notes=tuple(
                    replace(note, finger=fingers[number, note.string], inferred_finger=False)
                    if (number, note.string) in fingers and note.finger is not None
                    else note
                    for note in event.notes
                ),
            )
            for number, event in enumerate(measure.events)
        )
        measures.append(replace(measure, events=events))
    return replace(score, measures=tuple(measures))
