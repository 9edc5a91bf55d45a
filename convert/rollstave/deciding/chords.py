"""Chord names as typed: their parts, and the frets that are held while they last."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache

from rollstave.pitch import accidental
from rollstave.score.records import ChordName, Event
from rollstave.score.wanted import wanted
from rollstave.vocabulary.chord_kinds import ChordKind, kind_of

_NAME = re.compile(r"([A-G])(#|b|♯|♭)?((?:6/9|[^/])*)(?:/([A-G])(#|b|♯|♭)?)?$")
_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


def chord_name(text: str, onset: Fraction) -> ChordName:
    """A chord name as typed, with its parts. ``N.C.`` has no root and the kind ``none``; a
    suffix that the table lacks has the kind ``other`` and keeps its text."""
    match = _NAME.match(text)
    if match is None:
        return ChordName(onset=onset, text=text, root=None, kind="none")
    row = kind_of(match[3])
    bass = (match[4], accidental(match[5])) if match[4] else None
    return ChordName(
        onset=onset,
        text=text,
        root=(match[1], accidental(match[2])),
        kind=row.kind if row else "other",
        bass=bass,
    )


def chord_named(text: str) -> ChordName:
    """The chord of a name as typed (``"F#m7/E"``), at the beginning of a measure. Its root is None
    where the text is no name, its kind ``other`` where its suffix is not known."""
    wanted(text, str, "the name of a chord is a str")
    return chord_name(text, Fraction(0))


@lru_cache(maxsize=512)
def chord_kind(text: str) -> ChordKind | None:
    """The row of the table for a chord name as typed; None where the table has none."""
    match = _NAME.match(text)
    return kind_of(match[3]) if match else None


def chord_suffix(text: str) -> str:
    """What is typed of a chord name between its root and its bass."""
    match = _NAME.match(text)
    return match[3] if match else ""


def pitch_class(part: tuple[str, int]) -> int:
    """The pitch class of a root or a bass: its letter and how many semitones it is altered."""
    return (_STEPS[part[0]] + part[1]) % 12


def chord_tones(chord: ChordName) -> frozenset[int] | None:
    """Pitch classes of a chord, its bass included, or None where the kind is not known."""
    return _tones(chord, needed=False)


def needed_tones(chord: ChordName) -> frozenset[int] | None:
    """The pitch classes without which it is another chord, where a hand has fewer strings than it
    has tones: the fifth may be left out of four tones (common practice, no source)."""
    return _tones(chord, needed=True)


def _tones(chord: ChordName, *, needed: bool) -> frozenset[int] | None:
    row = chord_kind(chord.text)
    if chord.root is None or row is None:
        return None
    root = pitch_class(chord.root)
    tones = row.tones
    if needed and len(tones) > 3:
        tones = row.needed or tuple(tone for tone in tones if tone != 7)
    found = {(root + tone) % 12 for tone in tones}
    if chord.bass and not needed:
        found.add(pitch_class(chord.bass))
    return frozenset(found)


def held_frets(
    chord: ChordName,
    events: Sequence[Event],
    end: Fraction,
    strings: int,
    drone: int | None = None,
    shift: int = 0,
) -> tuple[int | None, ...] | None:
    """The frets held from a chord name to ``end``, string 1 first, or None if not one shape.

    A shape is known where each string keeps one fret all through the span, at least three
    strings are struck, and all that sounds belongs to the chord. What sounds lies ``shift``
    semitones above what the name says.
    """
    tones = chord_tones(chord)
    frets: list[int | None] = [None] * strings
    if tones is None:
        return None
    for event in events:
        if not chord.onset <= event.onset < end:
            continue
        for note in event.notes:
            if note.string == drone and note.fret == 0:
                frets[drone - 1] = 0
                continue
            if note.fret is None or note.harmonic or (note.pitch.midi - shift) % 12 not in tones:
                return None
            if frets[note.string - 1] not in (None, note.fret):
                return None
            frets[note.string - 1] = note.fret
    fretted = [f for f in frets if f]
    if sum(f is not None for f in frets) < 3 or (fretted and max(fretted) - min(fretted) > 4):
        return None
    return tuple(frets)
