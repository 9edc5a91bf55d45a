"""Which measures have several voices, and how long their notes are held."""

from __future__ import annotations

from fractions import Fraction

from rollstave.score.records import Event, Measure, Note


def has_voices(measure: Measure) -> bool:
    """True for a measure with more than one voice."""
    return any(note.voice > 1 for event in measure.events for note in event.notes)


def held_for(note: Note, event: Event) -> Fraction:
    """How long a note of an event is held, in quarter notes."""
    return event.duration if note.lasts is None else note.lasts


NoteAt = tuple[Fraction, int]  # the onset of a note in its measure, and its string


def until_next(measure: Measure) -> dict[NoteAt, Fraction]:
    """How long each note of a measure lasts if it is held until the next of its voice is struck,
    or to the end of the measure."""
    ends: dict[int, Fraction] = {}  # by voice
    found: dict[NoteAt, Fraction] = {}
    for event in reversed(measure.events):
        for note in event.notes:
            found[event.onset, note.string] = ends.get(note.voice, measure.length) - event.onset
        for note in event.notes:
            ends[note.voice] = event.onset
    return found
