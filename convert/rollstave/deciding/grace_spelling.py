"""A grace note outside the key that lies a half step under its note is a raised step.

``A# B`` and no ``Bb B``, as a chromatic lower neighbour is written (Gould, Behind Bars, 2011, from
memory); it also saves the natural sign. Nothing becomes doubly sharp.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from rollstave.pitch import Pitch, with_step
from rollstave.score.records import Event, GraceNote, Measure

_STEPS = "CDEFGAB"


def graces_raised(measures: Sequence[Measure]) -> tuple[Measure, ...]:
    """The measures with such grace notes spelled anew."""
    return tuple(
        replace(m, events=tuple(_raised(e) for e in m.events))
        if any(e.grace for e in m.events)
        else m
        for m in measures
    )


def _raised(event: Event) -> Event:
    """The event with its last grace notes spelled: those before them lead to other grace notes."""
    if not event.grace:
        return event
    mains = {note.string: note.pitch for note in event.notes}
    last = tuple(_under(grace, mains.get(grace.string)) for grace in event.grace[-1])
    return replace(event, grace=(*event.grace[:-1], last))


def _under(grace: GraceNote, main: Pitch | None) -> GraceNote:
    pitch = grace.pitch
    if main is None or main.midi - pitch.midi != 1 or main.step != pitch.step:
        return grace
    below = _STEPS[_STEPS.index(pitch.step) - 1]
    raised = with_step(pitch.midi, below)
    return replace(grace, pitch=raised) if raised.alter < 2 else grace
