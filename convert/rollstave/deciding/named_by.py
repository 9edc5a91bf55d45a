"""Under a capo, chord names say what sounds or what the hand holds: told by the notes.

A tune in A that is held as G with a capo at 2 has G over it on one teacher's sheet and A on
another's. Both are common practice (no source); what is struck under the names tells which.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from msgspec.structs import replace

from rollstave.deciding.chords import (
    chord_name,
    chord_suffix,
    chord_tones,
    held_frets,
    pitch_class,
)
from rollstave.instruments.setup import Setup
from rollstave.pitch import Key, spell
from rollstave.score.finding import Finding, How
from rollstave.score.records import ChordName, Measure, Score

_MUCH_MORE = Fraction(3, 2)  # times as many notes in the chords tell whose names they are


def named_by_shape(measures: Sequence[Measure], setup: Setup) -> Finding | None:
    """What is said where names are those of shapes under a capo; None where they say what
    sounds, or nothing tells."""
    shift = setup.instrument.semitones(setup.capo)
    if not shift:
        return None
    total = as_shapes = as_sounds = Fraction(0)
    for measure, chord, end in _named(measures):
        tones = chord_tones(chord)
        if tones is None or chord.inferred:
            continue
        for pitch, duration in _heard(measure, chord.onset, end, setup):
            total += duration
            as_sounds += duration * (pitch in tones)
            as_shapes += duration * ((pitch - shift) % 12 in tones)
    if as_shapes <= _MUCH_MORE * as_sounds:
        return None
    return Finding(
        subject="chord names",
        value=f"by shape, {shift} semitones below what sounds",
        how=How.INFERRED,
        reason=f"{_percent(as_shapes, total)} of what is struck belongs to them as shapes under "
        f"the capo, {_percent(as_sounds, total)} as sounds",
    )


def names_of_shapes(measures: Sequence[Measure], setups: Sequence[Setup]) -> Finding | None:
    """What :func:`named_by_shape` says of the first setup of which it says something."""
    for setup in dict.fromkeys(setups):
        held = [m for m, own in zip(measures, setups, strict=True) if own == setup]
        if (found := named_by_shape(held, setup)) is not None:
            return found
    return None


def held_by_shape(measures: Sequence[Measure], setup: Setup) -> tuple[Measure, ...]:
    """The measures with the frets that are held under names of shapes."""
    short = setup.instrument.short_string
    drone = short.string if short else None
    shift = setup.instrument.semitones(setup.capo)
    found = []
    for measure in measures:
        ends = [c.onset for c in measure.chords[1:]] + [measure.length] * bool(measure.chords)
        chords = tuple(
            replace(
                chord,
                frets=held_frets(
                    chord, measure.events, end, setup.instrument.strings, drone, shift
                ),
            )
            for chord, end in zip(measure.chords, ends, strict=True)
        )
        found.append(replace(measure, chords=chords) if chords else measure)
    return tuple(found)


def _named(measures: Sequence[Measure]) -> list[tuple[Measure, ChordName, Fraction]]:
    found = []
    for measure in measures:
        ends = [c.onset for c in measure.chords[1:]] + [measure.length] * bool(measure.chords)
        found += [(measure, c, e) for c, e in zip(measure.chords, ends, strict=True)]
    return found


def _heard(
    measure: Measure, start: Fraction, end: Fraction, setup: Setup
) -> list[tuple[int, Fraction]]:
    """Pitch classes and durations of what is struck, without the drone."""
    short = setup.instrument.short_string
    return [
        (note.pitch.midi % 12, event.duration)
        for event in measure.events
        if start <= event.onset < end
        for note in event.notes
        if not note.muted and (short is None or note.string != short.string)
    ]


def _percent(some: Fraction, of: Fraction) -> str:
    return f"{round(100 * some / of)}%"


def in_names(score: Score, how: str | None) -> Score:
    """The score with its chord names under a capo ``shape`` (what the hand holds), ``sounding``, or
    ``both``: by shape with what sounds beside it. None, and a score without a capo, stay."""
    shifts = [setup.instrument.semitones(setup.capo) for setup in score.setups]
    if how is None or not any(shifts):
        return score
    by_shape = how != "sounding"
    turned = int(score.chords_by_shape) - int(by_shape)
    measures = tuple(
        replace(
            measure,
            chords=tuple(
                replace(
                    moved_chord(chord, turned * shift, _held_fifths(key, shift if by_shape else 0)),
                    beside=moved_chord(chord, (turned + 1) * shift, key.fifths).text
                    if how == "both" and shift
                    else "",
                )
                for chord in measure.chords
            ),
        )
        for measure, key, shift in zip(score.measures, score.keys, shifts, strict=True)
    )
    return replace(score, measures=measures, chords_by_shape=by_shape)


def _held_fifths(key: Key, shift: int) -> int:
    """The key signature of what the hand holds: that of the key ``shift`` semitones lower."""
    if not shift:
        return key.fifths
    fifths = (key.fifths - 7 * shift) % 12
    return fifths - 12 if fifths > 6 else fifths


def moved_chord(chord: ChordName, semitones: int, fifths: int) -> ChordName:
    """A chord name so many semitones higher, spelled for a key signature of ``fifths`` sharps."""
    if chord.root is None or not semitones:
        return chord
    bass = "/" + _letter(chord.bass, semitones, fifths) if chord.bass else ""
    text = _letter(chord.root, semitones, fifths) + chord_suffix(chord.text) + bass
    named = chord_name(text, chord.onset)
    return replace(chord, text=text, root=named.root, bass=named.bass)


def _letter(part: tuple[str, int], semitones: int, fifths: int) -> str:
    return spell(60 + pitch_class(part) + semitones, fifths).letter
