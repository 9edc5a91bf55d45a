"""Chord names as typed: their parts, and the frets that are held while they last."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

from rollstave.pitch import accidental
from rollstave.score.records import ChordName, Event

_NAME = re.compile(r"([A-G])(#|b|♯|♭)?([^/]*)(?:/([A-G])(#|b|♯|♭)?)?$")
# Suffix as typed: MusicXML 4.0 kind value, and the chord's tones in semitones over the root.
KINDS: dict[str, tuple[str, tuple[int, ...]]] = {
    "": ("major", (0, 4, 7)),
    "maj": ("major", (0, 4, 7)),
    "M": ("major", (0, 4, 7)),
    "m": ("minor", (0, 3, 7)),
    "min": ("minor", (0, 3, 7)),
    "mi": ("minor", (0, 3, 7)),
    "-": ("minor", (0, 3, 7)),
    "7": ("dominant", (0, 4, 7, 10)),
    "maj7": ("major-seventh", (0, 4, 7, 11)),
    "M7": ("major-seventh", (0, 4, 7, 11)),
    "m7": ("minor-seventh", (0, 3, 7, 10)),
    "min7": ("minor-seventh", (0, 3, 7, 10)),
    "6": ("major-sixth", (0, 4, 7, 9)),
    "m6": ("minor-sixth", (0, 3, 7, 9)),
    "9": ("dominant-ninth", (0, 4, 7, 10, 2)),
    "dim": ("diminished", (0, 3, 6)),
    "o": ("diminished", (0, 3, 6)),
    "°": ("diminished", (0, 3, 6)),
    "dim7": ("diminished-seventh", (0, 3, 6, 9)),
    "aug": ("augmented", (0, 4, 8)),
    "+": ("augmented", (0, 4, 8)),
    "sus": ("suspended-fourth", (0, 5, 7)),
    "sus4": ("suspended-fourth", (0, 5, 7)),
    "sus2": ("suspended-second", (0, 2, 7)),
    "5": ("power", (0, 7)),
}
_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


def chord_name(text: str, onset: Fraction) -> ChordName:
    """A chord name as typed, with its parts. ``N.C.`` has no root and the kind ``none``; a
    suffix that the table lacks has the kind ``other`` and keeps its text."""
    match = _NAME.match(text)
    if match is None:
        return ChordName(onset=onset, text=text, root=None, kind="none")
    kind, _ = KINDS.get(match[3], ("other", ()))
    bass = (match[4], accidental(match[5])) if match[4] else None
    return ChordName(
        onset=onset, text=text, root=(match[1], accidental(match[2])), kind=kind, bass=bass
    )


def pitch_class(part: tuple[str, int]) -> int:
    """The pitch class of a root or a bass: its letter and how many semitones it is altered."""
    return (_STEPS[part[0]] + part[1]) % 12


def chord_tones(chord: ChordName) -> frozenset[int] | None:
    """Pitch classes of a chord, its bass included, or None where the kind is not known."""
    tones = next((tones for kind, tones in KINDS.values() if kind == chord.kind), None)
    if chord.root is None or tones is None:
        return None
    root = _STEPS[chord.root[0]] + chord.root[1]
    found = {(root + tone) % 12 for tone in tones}
    if chord.bass:
        found.add((_STEPS[chord.bass[0]] + chord.bass[1]) % 12)
    return frozenset(found)


def held_frets(
    chord: ChordName,
    events: Sequence[Event],
    end: Fraction,
    strings: int,
    drone: int | None = None,
) -> tuple[int | None, ...] | None:
    """The frets held from a chord name to ``end``, string 1 first, or None if not one shape.

    A shape is known where each string keeps one fret all through the span, at least three
    strings are struck, and all that sounds belongs to the chord.
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
            if note.fret is None or note.harmonic or note.pitch.midi % 12 not in tones:
                return None
            if frets[note.string - 1] not in (None, note.fret):
                return None
            frets[note.string - 1] = note.fret
    fretted = [f for f in frets if f]
    if sum(f is not None for f in frets) < 3 or (fretted and max(fretted) - min(fretted) > 4):
        return None
    return tuple(frets)
