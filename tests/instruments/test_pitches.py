"""String and fret to pitch: equal temperament, tunings by arithmetic, the fifth string's rules."""

from __future__ import annotations

import math

import music21
import pytest

from rollstave.instruments.setup import NoSuchFret
from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.pitch import Pitch, spell
from tests.tunes import setup

# MIDI note numbers of the octave from middle C: General MIDI (60 is middle C, C4).
MIDI = {"C": 60, "C#": 61, "D": 62, "D#": 63, "E": 64, "F": 65}
MIDI |= {"F#": 66, "G": 67, "G#": 68, "A": 69, "A#": 70, "B": 71}


def midi(note: str) -> int:
    """The number of a note as ``G#4``, from the table above: twelve a an octave."""
    return MIDI[note[:-1]] + 12 * (int(note[-1]) - 4)


# Frequencies of equal temperament at A4 = 440 Hz (ISO 16), rounded to a hundredth as tables of
# note frequencies print them; from memory, checked by arithmetic in the test itself.
HERTZ = {
    "C3": 130.81,
    "D3": 146.83,
    "G3": 196.00,
    "B3": 246.94,
    "C4": 261.63,
    "D4": 293.66,
    "E4": 329.63,
    "G4": 392.00,
    "A4": 440.00,
    "D5": 587.33,
    "G5": 783.99,
}


@pytest.mark.parametrize(("note", "hertz"), HERTZ.items())
def test_numbers_are_frequencies(note: str, hertz: float) -> None:
    # ISO 16: A4 = 440 Hz; equal temperament: 440 * 2 ** ((m - 69) / 12).
    number = Pitch.parse(note).midi
    assert number == midi(note)
    assert 440 * 2 ** ((number - 69) / 12) == pytest.approx(hertz, abs=0.006)


@pytest.mark.parametrize(
    ("string", "fret", "hertz"),
    [
        (1, 0, 293.66),  # D4
        (1, 2, 329.63),  # E4
        (2, 1, 261.63),  # C4
        (3, 0, 196.00),  # G3
        (4, 0, 146.83),  # D3
        (5, 0, 392.00),  # G4
        (5, 7, 440.00),  # A4
        (1, 12, 587.33),  # D5
        (5, 17, 783.99),  # G5
    ],
)
def test_a_fret_sounds_at_its_frequency(string: int, fret: int, hertz: float) -> None:
    # ISO 16 and equal temperament: the number of a sounding pitch from its frequency.
    assert setup().midi(string, fret) == round(69 + 12 * math.log2(hertz / 440))


def test_each_fret_is_a_semitone() -> None:
    # Common practice: on every long string one fret is one semitone, up to the last one.
    held = setup("gCGBD")
    for string in (1, 2, 3, 4):
        for fret in range(FIVE_STRING_BANJO.frets + 1):
            assert held.midi(string, fret) == held.midi(string, 0) + fret


# Written form, and the intervals between its strings in semitones, string 5 to 4, 4 to 3, and so
# on: worked out by hand from the names (fifth string at G4 = 67 unless it says otherwise).
TUNINGS = {
    "gDGBD": (67, [-17, 5, 4, 3]),
    "gCGBD": (67, [-19, 7, 4, 3]),
    "gCGCD": (67, [-19, 7, 5, 2]),
    "gCGCE": (67, [-19, 7, 5, 4]),
    "gDGCD": (67, [-17, 5, 5, 2]),
    "gDGBbD": (67, [-17, 5, 3, 4]),
    "f#DF#AD": (66, [-16, 4, 3, 5]),
    "aDF#AD": (69, [-19, 4, 3, 5]),
    "aDADE": (69, [-19, 7, 5, 2]),
    "aEAC#E": (69, [-17, 5, 4, 3]),
}


@pytest.mark.parametrize("written", TUNINGS)
def test_tunings_by_their_intervals(written: str) -> None:
    # Common practice; octaves by arithmetic.
    first, steps = TUNINGS[written]
    expected = [first]
    for step in steps:
        expected.append(expected[-1] + step)
    held = setup(written)
    assert [held.open_midi(string) for string in (5, 4, 3, 2, 1)] == expected


def test_the_table_has_no_other_tunings() -> None:
    assert {t.written for t in FIVE_STRING_BANJO.tunings} == set(TUNINGS)


@pytest.mark.parametrize("tuning", FIVE_STRING_BANJO.tunings, ids=lambda t: t.written)
def test_a_tuning_is_its_base_with_a_capo(tuning: object) -> None:
    # Common practice: double D is double C at capo 2, open A is open G at capo 2.
    from rollstave.instruments.instrument import Tuning

    assert isinstance(tuning, Tuning)
    if tuning.base is None:
        assert tuning.capo == 0
        return
    held = setup(tuning.base, capo=tuning.capo, raised=tuning.capo)
    assert [held.open_midi(s) for s in range(1, 6)] == [p.midi for p in tuning.pitches]


# The fifth string ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fret", "note"),
    [(0, "G4"), (6, "G#4"), (7, "A4"), (9, "B4"), (10, "C5"), (12, "D5"), (17, "G5")],
)
def test_fifth_string_is_numbered_along_the_neck(fret: int, note: str) -> None:
    # Common practice: the peg is beside fret 5; fret n sounds n - 5 semitones above open.
    assert setup().midi(5, fret) == midi(note)


@pytest.mark.parametrize("fret", [1, 2, 3, 4, 5])
def test_fifth_string_has_no_frets_1_to_5(fret: int) -> None:
    # Common practice; the message says which fret was meant if it was counted from the peg.
    with pytest.raises(NoSuchFret, match=f"did you mean {fret + 5}"):
        setup().midi(5, fret)


@pytest.mark.parametrize(("fret", "note"), [(0, "G4"), (1, "G#4"), (2, "A4"), (5, "C5")])
def test_fifth_string_counted_from_its_peg(fret: int, note: str) -> None:
    # Common practice of some writers: 2 where others write 7.
    assert setup(count="peg").midi(5, fret) == midi(note)


@pytest.mark.parametrize("fret", [23, 30, 999, -1])
def test_beyond_the_neck(fret: int) -> None:
    with pytest.raises(NoSuchFret, match="beyond the neck, whose last fret is 22"):
        setup().midi(1, fret)


# Capo ----------------------------------------------------------------------------------------


def test_capo_raises_the_long_strings_and_leaves_the_fifth_alone() -> None:
    # Common practice: open G at capo 2 with the fifth string as it is: E4 C#4 A3 E3, and G4.
    held = setup("gDGBD", capo=2)
    found = [held.open_midi(s) for s in (1, 2, 3, 4, 5)]
    assert found == [midi(n) for n in ("E4", "C#4", "A3", "E3", "G4")]


def test_fifth_string_raised_with_the_capo() -> None:
    # Common practice: raised by as much as the capo, all strings sound two semitones higher, and
    # tab counts frets from the capo: fret 7 of the fifth string is two above open again.
    held, plain = setup("gDGBD", capo=2, raised=2), setup("gDGBD")
    for string, fret in [(1, 0), (1, 5), (2, 3), (3, 7), (4, 2), (5, 0), (5, 7), (5, 10)]:
        assert held.midi(string, fret) == plain.midi(string, fret) + 2


def test_fifth_string_raised_without_a_capo() -> None:
    # By arithmetic: a spike at fret 7 stops the string at A4, the frets above stay where they
    # are: fret 9 is B4 as before, and 6 and 7 are behind the spike.
    held = setup("gDGBD", raised=2)
    assert held.midi(5, 0) == midi("A4")
    assert held.midi(5, 9) == midi("B4")
    for fret in (6, 7):
        with pytest.raises(NoSuchFret):
            held.midi(5, fret)


def test_fifth_string_tuned_up_at_its_peg() -> None:
    # By arithmetic: the peg moves every fret: open A4, fret 7 is B4.
    held = setup("gDGBD", raised=2, by="peg")
    assert [held.midi(5, fret) for fret in (0, 7, 9)] == [midi(n) for n in ("A4", "B4", "C#5")]


def test_the_neck_is_shorter_above_a_capo() -> None:
    # By arithmetic: 22 frets, capo at 4: the last one counted from the capo is 18.
    held = setup("gDGBD", capo=4, raised=4)
    assert held.midi(1, 18) == held.midi(1, 0) + 18
    with pytest.raises(NoSuchFret, match="last fret is 18 above a capo at 4"):
        held.midi(1, 19)


# Chord shapes in C tuning, gCGBD (common practice; pitches by arithmetic). The names are what
# music21 10 must find in the pitches.
SHAPES = [
    ({4: 0, 3: 0, 2: 1, 1: 2}, "C3 G3 C4 E4", "C", "C"),
    ({4: 0, 3: 2, 2: 1, 1: 3}, "C3 A3 C4 F4", "F", "C"),
    ({4: 2, 3: 0, 2: 0, 1: 0}, "D3 G3 B3 D4", "G", "D"),
    ({4: 0, 3: 5, 2: 5, 1: 5}, "C3 C4 E4 G4", "C", "C"),
    ({3: 5, 2: 6, 1: 7}, "C4 F4 A4", "F", "C"),
    ({3: 7, 2: 8, 1: 9}, "D4 G4 B4", "G", "D"),
    ({3: 12, 2: 13, 1: 14}, "G4 C5 E5", "C", "G"),
    ({3: 9, 2: 8, 1: 10}, "E4 G4 C5", "C", "E"),
]


@pytest.mark.parametrize(("shape", "notes", "root", "bass"), SHAPES)
def test_chord_shapes(shape: dict[int, int], notes: str, root: str, bass: str) -> None:
    held = setup("gCGBD")
    numbers = [held.midi(string, fret) for string, fret in shape.items()]
    assert numbers == [midi(n) for n in notes.split()]
    chord = music21.chord.Chord(numbers)
    assert chord.root().name == root
    assert chord.isMajorTriad()
    assert chord.bass().name == bass


@pytest.mark.parametrize("up", range(1, 8))
def test_shapes_without_open_strings_move(up: int) -> None:
    # Common practice: one fret is one semitone. music21 10 names the moved F shape's root.
    held = setup("gCGBD")
    chord = music21.chord.Chord([held.midi(s, f + up) for s, f in {3: 5, 2: 6, 1: 7}.items()])
    assert chord.isMajorTriad()
    assert chord.root().pitchClass == (5 + up) % 12


@pytest.mark.parametrize(("fret", "note"), [(2, "D3"), (4, "E3"), (5, "F3"), (7, "G3")])
def test_fourth_string_in_c(fret: int, note: str) -> None:
    # Table of the trade, by arithmetic.
    assert setup("gCGBD").midi(4, fret) == midi(note)


def test_unknown_string() -> None:
    with pytest.raises(NoSuchFret, match="string 6 does not exist"):
        setup().midi(6, 0)


@pytest.mark.parametrize("number", range(40, 90))
def test_a_spelling_keeps_its_pitch(number: int) -> None:
    for fifths in range(-7, 8):
        assert spell(number, fifths).midi == number
