"""Measures of exercises: cut out of a tune, or made of a roll and a shape."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

from msgspec.structs import replace

from rollstave import (
    Bar,
    Event,
    Link,
    Measure,
    Meter,
    Note,
    Pitch,
    Place,
    Rhythm,
    Score,
    Source,
    chord_named,
    settled,
)

Frets = tuple[int | None, ...]
Stroke = tuple[int, ...]  # the strings that are struck together; none is a rest

SLURS = frozenset(Link)  # what sounds on, or is made without a stroke of the right hand

_NOWHERE = Place(0, 0)
_WRITTEN = Rhythm(confidence=1.0, sure=True, source=Source.WRITTEN, reasons=("an exercise",))


def looped(score: Score, measures: Sequence[Measure]) -> Score:
    """Measures as a score of their own that is repeated: an exercise. Bars, endings and jumps that
    they had in the tune are gone, and no slur leads in from what is not there."""
    found = []
    struck: set[int] = set()
    for index, measure in enumerate(measures):
        events = []
        for event in measure.events:
            notes = tuple(
                n if n.link is None or n.string in struck else replace(n, link=None)
                for n in event.notes
            )
            struck |= {n.string for n in notes}
            struck |= {n.string for group in event.grace for n in group}
            events.append(replace(event, notes=notes, lyric=None, verses=()))
        found.append(_plain(measure, index, tuple(events)))
    if not found:
        raise ValueError("an exercise has at least one measure")
    found[0] = replace(found[0], left=Bar.REPEAT_START, change=None)
    found[-1] = replace(found[-1], right=Bar.REPEAT_END)
    return replace(of_measures(score, found), meter=_meter(score, measures[0]))


def _meter(score: Score, measure: Measure) -> Meter:
    """The meter of a measure that is cut out of a score; that of the score for any other."""
    here = measure.index < len(score.measures) and score.measures[measure.index] is measure
    return score.meters[measure.index] if here else score.meter


def _plain(measure: Measure, index: int, events: tuple[Event, ...]) -> Measure:
    return replace(
        measure,
        index=index,
        events=events,
        left=Bar.NONE,
        right=Bar.SINGLE,
        ending=None,
        ending_stop=False,
        in_ending=None,
        section=None,
        times=None,
        jump=None,
        fine=False,
        segno=False,
        to_coda=False,
        coda=False,
    )


def of_measures(score: Score, measures: Sequence[Measure]) -> Score:
    """A score of these measures in the tuning, key and time of another, without its words."""
    return replace(score, measures=tuple(measures), notes=(), note_measures=(), beside=None)


def struck(
    score: Score,
    strokes: Sequence[Stroke],
    frets: Frets,
    chord: str = "",
    number: int = 1,
    lengths: Sequence[Fraction] = (),
) -> Measure:
    """A measure of a roll over a shape: ``strokes`` in order, ``frets`` for string 1 first (None
    and what is not in it: open). They share the measure evenly, where no ``lengths`` are given.
    """
    length = score.meter.length
    lasts = lengths or (length / len(strokes),) * len(strokes)
    events = []
    onset = Fraction(0)
    for strings, duration in zip(strokes, lasts, strict=True):
        notes = tuple(_note(n, frets[n - 1] or 0 if n <= len(frets) else 0) for n in strings)
        events.append(Event(onset=onset, duration=duration, notes=notes))
        onset += duration
    names = (chord_named(chord),) if chord else ()
    return Measure(
        index=0,
        number=number,
        length=length,
        events=tuple(events),
        rhythm=_WRITTEN,
        chords=names,
    )


def _note(string: int, fret: int) -> Note:
    # The pitch follows from string and fret; ``exercise`` settles it.
    return Note(string=string, fret=fret, pitch=Pitch("C", 0, 4), place=_NOWHERE)


def exercise(score: Score, measures: Sequence[Measure]) -> Score:
    """Made measures as a score that is repeated: pitches, fingers and held frets are settled.
    Raises rollstave.NoSuchFret for a fret that the neck does not have."""
    return settled(looped(score, measures))


def without_letters(score: Score) -> Score:
    """The score without letters for the picking hand."""

    def plain(event: Event) -> Event:
        return replace(event, notes=tuple(replace(n, finger=None) for n in event.notes))

    measures = [replace(m, events=tuple(map(plain, m.events))) for m in score.measures]
    return replace(score, measures=tuple(measures))


# Measures of the tune over another shape -------------------------------------------------------


def strokes_of(measure: Measure) -> tuple[Event, ...]:
    """The events that the right hand strikes: what a slur makes is part of the stroke that leads
    to it, and grace notes are left out."""
    found: list[Event] = []
    for event in measure.events:
        picked = tuple(n for n in event.notes if n.link not in SLURS)
        if event.notes and not picked and found:
            longer = found[-1].duration + event.duration
            found[-1] = replace(found[-1], duration=longer)
        else:
            found.append(replace(event, notes=picked or event.notes, grace=()))
    return tuple(found)


def over(
    measure: Measure, where: Callable[[int], tuple[int, int] | None], chord: str, number: int
) -> Measure:
    """The strokes of a measure with other notes: ``where`` says of a string which string and fret
    are struck instead, None for none. A stroke that loses all of its notes is held over."""
    events: list[Event] = []
    for event in strokes_of(measure):
        notes = {}
        for note in event.notes:
            there = where(note.string)
            if there is not None and there[0] not in notes:
                notes[there[0]] = _like(note, *there)
        if event.notes and not notes and events:
            longer = events[-1].duration + event.duration
            events[-1] = replace(events[-1], duration=longer)
            continue
        plain = replace(event, notes=tuple(notes[n] for n in sorted(notes)), lyric=None, verses=())
        events.append(plain)
    return Measure(
        index=0,
        number=number,
        length=measure.length,
        events=tuple(events),
        rhythm=_WRITTEN,
        chords=(chord_named(chord),) if chord else (),
    )


def _like(note: Note, string: int, fret: int) -> Note:
    """A plain note with the finger of another, where it stays on its string."""
    made = _note(string, fret)
    if note.string != string:
        return made
    return replace(made, finger=note.finger, inferred_finger=note.inferred_finger)
