"""A score whose notes were changed: what follows from strings and frets is decided anew."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from msgspec.structs import replace

from rollstave.deciding.chord_spelling import spelled_by_chords
from rollstave.deciding.chords import held_frets
from rollstave.deciding.grace_spelling import graces_raised
from rollstave.deciding.hands import Hand, hand_of
from rollstave.deciding.measures import sounding
from rollstave.deciding.picking import hand_of_letters, with_fingers
from rollstave.instruments.setup import Setup
from rollstave.pitch import Key, Pitch, spell_in
from rollstave.score.records import ChordName, Event, GraceNote, Measure, Note, Score
from rollstave.score.wanted import wanted
from rollstave.vocabulary.signs import UNPICKED


def settled(score: Score) -> Score:
    """The score with each note's pitch as its string and fret have it, spelled in the key, the
    picking fingers that nobody wrote chosen anew, and the frets that are held under chord names.

    Durations, chord names and all else stay as they are. Raises :class:`rollstave.NoSuchFret` for
    a fret that the neck does not have, and a TabError that is a TypeError for what is no score.
    """
    wanted(score, Score, "a score, such as that of a tune, can be settled")
    fixed = score.setup.instrument.fixed_hand
    hand = hand_of(score.style)
    if not score.style:
        hand = hand_of_letters(score.measures, hand)
    known: dict[tuple[object, ...], Pitch] = {}

    def pitch(note: Note, setup: Setup, key: Key) -> Pitch:
        stopped = (note.string, note.fret, note.half, note.harmonic, key, id(setup))
        if stopped not in known:
            known[stopped] = spell_in(sounding(note, setup), key)
        return known[stopped]

    def small(note: GraceNote, setup: Setup, key: Key) -> GraceNote:
        midi = setup.midi(note.string, note.fret, note.half)
        return replace(note, pitch=spell_in(midi, key))

    def struck(event: Event, setup: Setup, key: Key) -> Event:
        sounded = (replace(n, pitch=pitch(n, setup, key)) for n in event.notes)
        notes = tuple(_fingered(n, setup, hand) for n in sounded)
        grace = tuple(tuple(small(n, setup, key) for n in group) for group in event.grace)
        return replace(event, notes=notes, grace=grace)

    measures: Sequence[Measure] = [
        replace(m, events=tuple(struck(e, setup, key) for e in m.events))
        for m, setup, key in zip(score.measures, score.setups, score.keys, strict=True)
    ]
    if not score.chords_by_shape:
        measures = spelled_by_chords(measures, score.keys)
    measures = graces_raised(measures)
    if fixed:
        notes = zip(score.note_measures, score.notes, strict=False)
        measures = with_fingers(measures, hand, notes)
    pairs = zip(measures, score.setups, strict=True)
    return replace(
        score, measures=tuple(_held(m, setup, score.chords_by_shape) for m, setup in pairs)
    )


def _fingered(note: Note, setup: Setup, hand: Hand) -> Note:
    """A note that is picked with a finger that may be chosen anew; none for one that is not."""
    if note.link in UNPICKED or not setup.instrument.fixed_hand:
        return note if note.finger is None else replace(note, finger=None, inferred_finger=False)
    if note.finger is not None and not note.inferred_finger:
        return note
    return replace(note, finger=hand.finger(note.string), inferred_finger=True)


def _held(measure: Measure, setup: Setup, by_shape: bool) -> Measure:
    short = setup.instrument.short_string
    shift = setup.instrument.semitones(setup.capo) if by_shape else 0

    def held(chord: ChordName, end: Fraction) -> ChordName:
        frets = held_frets(
            chord,
            measure.events,
            end,
            setup.instrument.strings,
            short.string if short else None,
            shift,
        )
        return replace(chord, frets=frets)

    if not measure.chords:
        return measure
    ends = [chord.onset for chord in measure.chords[1:]] + [measure.length]
    pairs = zip(measure.chords, ends, strict=True)
    return replace(measure, chords=tuple(held(chord, end) for chord, end in pairs))
