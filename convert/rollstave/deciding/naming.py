"""Chord names for a tune whose typist wrote none.

We choose the span (a measure, or half of one), which of its notes count, and the spelling. What
chord those notes are is music21's answer, kept as a table because importing music21 takes longer
than making the whole sheet; a test asks music21 about every set of three and four notes. A chord
that is none of the plain kinds below is not named, and a span that adds nothing foreign to the
chord before it keeps that one.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache

from msgspec.structs import replace

from rollstave.deciding.chords import chord_name, chord_tones, held_frets
from rollstave.instruments.setup import Setup
from rollstave.pitch import Key, spell
from rollstave.score.records import ChordName, Event, Measure, Note
from rollstave.vocabulary.chord_kinds import CHORD_KINDS

# The chords that a teacher would write.
_SUFFIXES = ("", "m", "7", "m7", "maj7", "dim")
_TRIADS = ("", "m")
_TOLD = Fraction(2, 3)  # of a tune's time
_PLAIN = ("major", "minor", "dominant")


def with_chord_names(
    measures: Sequence[Measure], keys: Sequence[Key], setup: Setup
) -> tuple[Measure, ...]:
    """The measures with inferred chord names, spelled in the key of each, or as they are if any
    name was written, or if names would leave much of the tune open: a name holds until the next,
    so one that is found here and there stands over music that it does not fit."""
    if any(m.chords for m in measures):
        return tuple(measures)
    found: list[Measure] = []
    current: ChordName | None = None
    told = open_time = Fraction(0)
    for measure, key in zip(measures, keys, strict=True):
        names: list[ChordName] = []
        for start, end, chord in _spans(measure, key, setup):
            goes_on = current is not None and (
                (chord is not None and chord.text == current.text)
                or _fits(measure, start, end, current)
            )
            if chord is None and not goes_on:
                open_time += end - start
            else:
                told += end - start
            if chord is None or goes_on:
                continue
            current = chord
            instrument = setup.instrument
            drone = instrument.short_string.string if instrument.short_string else None
            frets = held_frets(chord, measure.events, end, instrument.strings, drone)
            names.append(replace(chord, frets=frets))
        found.append(replace(measure, chords=tuple(names)))
    return tuple(found) if told >= _TOLD * (told + open_time) else tuple(measures)


def _spans(
    measure: Measure, key: Key, setup: Setup
) -> list[tuple[Fraction, Fraction, ChordName | None]]:
    """The whole measure if it is one plain chord, else its halves if they are any: from where to
    where, and the chord."""
    start, half, end = Fraction(0), measure.length / 2, measure.length
    notes = _notes(measure, start, end)
    whole = _named(notes, key, setup)
    if (whole is None or whole.kind not in _PLAIN) and end >= 3:
        after = next((i for i, (event, _) in enumerate(notes) if event.onset >= half), len(notes))
        first = _named(notes[:after], key, setup)
        second = _named(notes[after:], key, setup)
        if first or second:
            return [(start, half, first), (half, end, second)]
    return [(start, end, whole)]


def _notes(measure: Measure, start: Fraction, end: Fraction) -> list[tuple[Event, Note]]:
    events = measure.events
    if start or end is not measure.length:  # comparing fractions is slow, and most spans are whole
        events = tuple(event for event in events if start <= event.onset < end)
    return [
        (event, note)
        for event in events
        for note in event.notes
        if not note.muted and not note.harmonic
    ]


def _named(notes: Sequence[tuple[Event, Note]], key: Key, setup: Setup) -> ChordName | None:
    """The chord of a span: of all its notes, else without the open short string, which sounds on
    through every chord, else without what the left hand only passes through as well."""
    short = setup.instrument.short_string
    held = [(e, n) for e, n in notes if short is None or n.string != short.string or n.fret]
    linked = {n.string for _, n in held if n.link is not None}
    still = [(e, n) for e, n in held if n.string not in linked]
    found = [_name(frozenset(n.pitch.midi % 12 for _, n in c)) for c in (notes, held, still)]
    names = [name for name in found if name is not None]
    if not names:
        return None
    # A plain triad is likelier than a seventh made by the drone or by a passing note.
    root, suffix = min(names, key=lambda name: name[1] not in _TRIADS)
    onset = notes[0][0].onset
    letter = spell(60 + root, key.fifths).letter
    return replace(chord_name(letter + suffix, onset), inferred=True)


def _fits(measure: Measure, start: Fraction, end: Fraction, chord: ChordName) -> bool:
    """True if all that sounds in a span belongs to the chord already held."""
    tones = chord_tones(chord)
    return tones is not None and all(
        n.pitch.midi % 12 in tones for _, n in _notes(measure, start, end)
    )


@lru_cache(maxsize=1)
def _table() -> dict[frozenset[int], tuple[int, str]]:
    """Root and suffix of every chord that we name, by its pitch classes."""
    kinds = {row.suffix: row.tones for row in CHORD_KINDS if row.suffix in _SUFFIXES}
    return {
        frozenset((root + tone) % 12 for tone in tones): (root, suffix)
        for suffix, tones in kinds.items()
        for root in range(12)
    }


def _name(tones: frozenset[int]) -> tuple[int, str] | None:
    """Root and suffix of the chord with these pitch classes, as music21 would name it."""
    return _table().get(tones)
