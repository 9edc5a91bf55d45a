"""Measures of a drill: a roll over shapes of chords, with the roll's own fingers, or a strum."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from msgspec.structs import replace

from rollstave import (
    ChordName,
    Event,
    Finger,
    Key,
    Measure,
    Meter,
    NamedShape,
    NoSuchFret,
    Note,
    Pitch,
    Place,
    Rhythm,
    Score,
    Setup,
    Source,
    chord_named,
)
from rollstave_teaching.held import usable
from rollstave_teaching.measures import exercise
from rollstave_teaching.roll_words import Roll, refusal
from rollstave_teaching.strums import BASS, OTHER, REST, Strum, struck_strings

_NOWHERE = Place(0, 0)
_WRITTEN = Rhythm(confidence=1.0, sure=True, source=Source.WRITTEN, reasons=("an exercise",))


def blank(title: str, setup: Setup, key: Key, meter: Meter) -> Score:
    """A score without music: what the exercises of a drill have in common."""
    return Score(title=title, setup=setup, key=key, meter=meter, tempo=None, measures=())


def rolled(
    score: Score, roll: Roll, shapes: Sequence[NamedShape | None], number: int = 1
) -> Measure:
    """A measure of a roll over shapes that share it evenly; None is the open strings.

    A string that is not in the shape sounds open if it belongs to the chord, else the thumb takes
    its other string; a stroke for which there is none is held over.
    """
    count = len(roll.strings)
    each = score.meter.length / count
    events: list[Event] = []
    for at, (finger, string) in enumerate(zip(roll.fingers, roll.strings, strict=True)):
        shape = shapes[at * len(shapes) // count]
        where = (string, 0) if shape is None else usable(score, shape, string)
        if where is None and events:
            events[-1] = replace(events[-1], duration=events[-1].duration + each)
            continue
        notes = () if where is None else (_note(*where, finger),)
        events.append(Event(onset=at * each, duration=each, notes=notes))
    names = tuple(
        replace(chord_named(shape.name), onset=score.meter.length * place / len(shapes))
        for place, shape in enumerate(shapes)
        if shape is not None
    )
    return _measure(score, events, number, names=names)


def played(
    score: Score, pattern: Roll | Strum, shapes: Sequence[NamedShape], number: int = 1
) -> Measure:
    """A measure of a roll or a strum over shapes that share it evenly."""
    if isinstance(pattern, Roll):
        return rolled(score, pattern, shapes, number)
    return strummed(score, pattern, shapes, number)


def strummed(
    score: Score, pattern: Strum, shapes: Sequence[NamedShape], number: int = 1
) -> Measure:
    """A measure of a strum over shapes that share it evenly. A chord is named where it is struck
    first, and begins with its own bass. What a shape has no string for is held over."""
    events: list[Event] = []
    names: list[ChordName] = []
    begun = -1
    onset = Fraction(0)
    for stroke in pattern.strokes:
        lasts = score.meter.length * stroke.share
        at = int(onset * len(shapes) / score.meter.length)
        shape = shapes[at]
        what = BASS if stroke.what == OTHER and at != begun else stroke.what
        notes = tuple(_held(n, shape) for n in struck_strings(what, shape))
        if notes or what == REST or not events:
            events.append(Event(onset=onset, duration=lasts, notes=notes))
        else:
            events[-1] = replace(events[-1], duration=events[-1].duration + lasts)
        if at != begun:
            names.append(replace(chord_named(shape.name), onset=onset))
            begun = at
        onset += lasts
    return _measure(score, events, number, names=tuple(names))


def _held(string: int, shape: NamedShape) -> Note:
    return Note(string=string, fret=shape.frets[string - 1], pitch=Pitch("C", 0, 4), place=_NOWHERE)


def pinched(score: Score, roll: Roll, number: int = 1) -> Measure:
    """A measure whose second half is two pinches of thumb and middle finger, on open strings."""
    half = rolled(score, roll, [None]).events[: len(roll.strings) // 2]
    rest = score.meter.length - half[-1].onset - half[-1].duration
    bass = next((n for n in roll.strings if n in (3, 4)), 3)
    events = list(half)
    for place in range(2):
        onset = score.meter.length - rest + place * rest / 2
        notes = (_note(1, 0, Finger.MIDDLE), _note(bass, 0, Finger.THUMB))
        events.append(Event(onset=onset, duration=rest / 2, notes=notes))
    return _measure(score, events, number)


def silent(score: Score, chord: ChordName, index: int) -> Measure:
    """A measure with nothing but the name of a chord."""
    return replace(_measure(score, (), index + 1, names=(chord,)), index=index)


def _measure(
    score: Score, events: Sequence[Event], number: int, names: tuple[ChordName, ...] = ()
) -> Measure:
    return Measure(
        index=0,
        number=number,
        length=score.meter.length,
        events=tuple(events),
        rhythm=_WRITTEN,
        chords=names,
    )


def _note(string: int, fret: int, finger: Finger) -> Note:
    # The pitch follows from string and fret; ``drilled`` settles it.
    pitch = Pitch("C", 0, 4)
    return Note(string=string, fret=fret, pitch=pitch, place=_NOWHERE, finger=finger)


def drilled(score: Score, measures: Sequence[Measure]) -> Score:
    """Measures as an exercise that is repeated. Raises TabError for a fret that is not there."""
    numbered = [replace(measure, number=n) for n, measure in enumerate(measures, start=1)]
    try:
        return exercise(score, numbered)
    except NoSuchFret as error:
        raise refusal(str(error)) from error
