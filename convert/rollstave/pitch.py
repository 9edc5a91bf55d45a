"""Pitches with a spelling, keys, and the choice of a spelling in a key.

Pitches are sounding pitches; numbers are MIDI note numbers (middle C, C4, is 60:
General MIDI). Equal temperament is implied: one fret is one semitone.
"""

from __future__ import annotations

import re
from functools import cached_property, lru_cache

from msgspec import Struct

# Positions on the line of fifths, C = 0: each step to the right is a fifth up.
_FIFTHS_OF_STEP = {"F": -1, "C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5}
_STEP_OF_FIFTHS = "FCGDAEB"
_SEMITONES_OF_STEP = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_ACCIDENTALS = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}
# Names on that line that are written only where a key has them: E# and on, Cb and on; the last with
# one sharp is B#.
_FIRST_HARD_SHARP, _LAST_SHARP, _FIRST_HARD_FLAT = 11, 12, -7
_PITCH = re.compile(r"([A-Ga-g])(##|#|bb|b|♯|♭)?(-?\d+)?$")

# How far the key signature of a mode lies from that of the major key on the same tonic,
# in fifths. Common practice; any harmony handbook has the table.
MODES = {
    "major": 0,
    "ionian": 0,
    "lydian": 1,
    "mixolydian": -1,
    "dorian": -2,
    "minor": -3,
    "aeolian": -3,
    "phrygian": -4,
    "locrian": -5,
}


class Pitch(Struct, frozen=True, dict=True):
    """A sounding pitch and how it is spelled: step A–G, alter in semitones, octave (C4 = 60)."""

    step: str
    alter: int
    octave: int

    @cached_property
    def midi(self) -> int:
        """The MIDI note number."""
        return 12 * (self.octave + 1) + _SEMITONES_OF_STEP[self.step] + self.alter

    @property
    def letter(self) -> str:
        """Step and accidental without the octave, as ``Bb``."""
        return self.step + _ACCIDENTALS[self.alter]

    @property
    def staff_position(self) -> int:
        """Diatonic steps above C0, which is what decides the place on a staff."""
        return 7 * self.octave + "CDEFGAB".index(self.step)

    def __str__(self) -> str:
        return f"{self.letter}{self.octave}"

    @classmethod
    def parse(cls, text: str) -> Pitch:
        """Read ``F#4``, ``Bb3``; raises ValueError for anything else."""
        match = _PITCH.match(text.strip())
        if match is None or match[3] is None:
            raise ValueError(f"not a pitch with an octave: {text!r}")
        return cls(match[1].upper(), accidental(match[2]), int(match[3]))


def accidental(sign: str | None) -> int:
    """Semitones of an accidental sign as typed: ``#``, ``b``, ``##``, ``bb`` or nothing."""
    return {None: 0, "": 0, "#": 1, "♯": 1, "##": 2, "b": -1, "♭": -1, "bb": -2}[sign]


class Key(Struct, frozen=True, dict=True):
    """A tonic (letter, as ``F#``) and a mode of :data:`MODES`."""

    tonic: str
    mode: str = "major"

    @cached_property
    def fifths(self) -> int:
        """Sharps (positive) or flats (negative) in the key signature."""
        step, sign = self.tonic[0], self.tonic[1:]
        return _FIFTHS_OF_STEP[step] + 7 * accidental(sign) + MODES[self.mode]

    def __str__(self) -> str:
        return f"{self.tonic} {self.mode}"


@lru_cache(maxsize=4096)
def spell(midi: int, fifths: int, minor: bool = False) -> Pitch:
    """Spell a MIDI number in a key signature of ``fifths`` sharps.

    The twelve spellings are those from three fifths below the major tonic of the signature to
    eight above: the scale itself, its lowered third and seventh, its raised fourth, first and
    fifth. In C that is Eb Bb F C G D A E B F# C# G#, which also serves the relative minor's
    raised sixth and seventh. (The line of fifths as a spelling space: Temperley, The Cognition
    of Basic Musical Structures, 2001, chapter 5; the window is our choice.)

    A note outside the scale has its simplest name: F and C for E# and B#, B and E for Cb and Fb,
    and never a double accidental. In a ``minor`` key the raised seventh keeps its E# or B#.
    """
    pitch_class = midi % 12
    for position in range(fifths - 3, fifths + 9):
        if (position * 7) % 12 == pitch_class:
            break
    if not fifths - 1 <= position <= fifths + 5:
        leading = minor and position == fifths + 8 and position <= _LAST_SHARP
        if position >= _FIRST_HARD_SHARP and not leading:
            position -= 12
        elif position <= _FIRST_HARD_FLAT:
            position += 12
    step = _STEP_OF_FIFTHS[(position + 1) % 7]
    alter = (position + 1) // 7
    octave = (midi - alter - _SEMITONES_OF_STEP[step]) // 12 - 1
    return Pitch(step, alter, octave)


def spell_in(midi: int, key: Key) -> Pitch:
    """Spell a MIDI number, of a main note or a grace note, in a key; see :func:`spell`."""
    return spell(midi, key.fifths, MODES[key.mode] == MODES["minor"])


def with_step(midi: int, step: str) -> Pitch:
    """The pitch of a MIDI number with a letter."""
    alter = (midi - _SEMITONES_OF_STEP[step] + 6) % 12 - 6
    return Pitch(step, alter, (midi - alter - _SEMITONES_OF_STEP[step]) // 12 - 1)


# What modes are called besides their names, in other languages too: "G-Dur".
_MODE_WORDS = {
    **{"": "major", "maj": "major", "min": "minor", "m": "minor", "modal": "dorian"},
    **{"dur": "major", "majeur": "major", "mayor": "major", "maggiore": "major"},
    **{"moll": "minor", "mineur": "minor", "menor": "minor", "minore": "minor"},
}


def parse_key(text: str) -> Key | None:
    """Read ``G``, ``Am``, ``A minor``, ``G dorian``, ``key of D``; None if it is no key.

    ``modal`` (old-time usage, common practice) is read as dorian: minor third, lowered seventh.
    """
    match = re.match(
        r"\s*(?:the\s+)?(?:key\s+of\s+)?([A-Ga-g])\s?(#|b|♯|♭|sharp|flat)?\s*-?\s*"
        r"(maj(?:or)?|min(?:or)?|m(?![a-z])|modal|[a-z]+)?\s*[.,;]?\s*$",
        text,
        re.IGNORECASE,
    )
    if match is None:
        return None
    sign = (match[2] or "").lower()  # a heading in capitals has BB for B flat
    tonic = match[1].upper() + {"sharp": "#", "flat": "b", "♯": "#", "♭": "b"}.get(sign, sign)
    word = match[3] or ""
    mode = _MODE_WORDS.get(word.lower() if word != "M" else "maj", word.lower())
    if mode not in MODES:
        return None
    key = Key(tonic, mode)
    return key if -7 <= key.fifths <= 7 else None
