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
