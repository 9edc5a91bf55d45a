"""The table of chord kinds, asked of music21 10 and of MusicXML 4.0."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import music21
import pytest
from music21 import harmony

import rollstave
from rollstave.deciding.chords import chord_name, chord_tones
from rollstave.deciding.shape_row import usual_shape
from rollstave.instruments.setup import Setup
from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.instruments.tunings import parse_tuning
from rollstave.vocabulary.chord_kinds import CHORD_KINDS, ChordKind, kind_of

# What each is to music21: its own name of the kind, or the figure that it reads.
KIND_NAMES = {
    "": "major",
    "m": "minor",
    "7": "dominant-seventh",
    "maj7": "major-seventh",
    "m7": "minor-seventh",
    "mmaj7": "minor-major-seventh",
    "6": "major-sixth",
    "m6": "minor-sixth",
    "9": "dominant-ninth",
    "maj9": "major-ninth",
    "m9": "minor-ninth",
    "11": "dominant-11th",
    "maj11": "major-11th",
    "m11": "minor-11th",
    "13": "dominant-13th",
    "maj13": "major-13th",
    "m13": "minor-13th",
    "dim": "diminished",
    "dim7": "diminished-seventh",
    "m7b5": "half-diminished-seventh",
    "aug": "augmented",
    "aug7": "augmented-seventh",
    "sus4": "suspended-fourth",
    "sus2": "suspended-second",
    "7sus4": "suspended-fourth-seventh",
    "7b5": "seventh-flat-five",
    "5": "power",
}
# Those that music21 has no name for: a kind that it has, and the degrees added, in its figures.
FIGURES = {
    "6/9": ("major-sixth", "2"),
    "m6/9": ("minor-sixth", "2"),
    "add9": ("major", "2"),
    "madd9": ("minor", "2"),
    "7sus2": ("suspended-second", "-7"),
    "9sus4": ("suspended-fourth-seventh", "2"),
    "7b9": ("dominant-seventh", "-2"),
    "7#9": ("dominant-seventh", "#2"),
    "7#11": ("dominant-seventh", "#4"),
    "maj7#11": ("major-seventh", "#4"),
}
INTERVALS = {"2": 2, "-7": 10, "-2": 1, "#2": 3, "#4": 6}


def _semitones(kind: str) -> set[int]:
    """The chord types of music21 are degrees of the major scale."""
    degrees = harmony.CHORD_TYPES[kind][0].split(",")
    major = (0, 2, 4, 5, 7, 9, 11)
    found = set()
    for degree in degrees:
        number = int(degree.lstrip("#-"))
        sharp, flat = degree.count("#"), degree.count("-")
        found.add((major[(number - 1) % 7] + sharp - flat) % 12)
    return found


@pytest.mark.parametrize("row", CHORD_KINDS, ids=lambda row: row.suffix or "major")
@pytest.mark.parametrize("root", ["C", "F#", "Bb"])
def test_tones_are_music21s(root: str, row: ChordKind) -> None:
    wanted = _semitones(KIND_NAMES.get(row.suffix) or FIGURES[row.suffix][0])
    if row.suffix in FIGURES:
        wanted.add(INTERVALS[FIGURES[row.suffix][1]])
    base = music21.pitch.Pitch(root.replace("b", "-")).pitchClass
    tones = chord_tones(chord_name(root + row.suffix, Fraction(0)))
    assert tones == {(base + semitone) % 12 for semitone in wanted}


@pytest.mark.parametrize(
    ("typed", "plain"),
    [
        # Common practice, no source: how chord rows are typed.
        ("M7", "maj7"),
        ("ma7", "maj7"),
        ("Maj7", "maj7"),
        ("Δ", "maj7"),
        ("Δ7", "maj7"),
        ("-7", "m7"),
        ("min7", "m7"),
        ("mi", "m"),
        ("minor", "m"),
        ("m7(b5)", "m7b5"),
        ("m7-5", "m7b5"),
        ("ø", "m7b5"),
        ("ø7", "m7b5"),
        ("7(b9)", "7b9"),
        ("7♭9", "7b9"),
        ("7-9", "7b9"),
        ("7+9", "7#9"),
        ("7sus", "7sus4"),
        ("sus", "sus4"),
        ("+", "aug"),
        ("+7", "aug7"),
        ("7+", "aug7"),
        ("aug7", "aug7"),
        ("7#5", "aug7"),
        ("°", "dim"),
        ("o", "dim"),
        ("o7", "dim7"),
        ("°7", "dim7"),
        ("m(maj7)", "mmaj7"),
        ("mM7", "mmaj7"),
        ("(add9)", "add9"),
        ("6/9", "6/9"),
        ("69", "6/9"),
        ("maj", ""),
        ("M", ""),
        ("dom7", "7"),
    ],
)
def test_other_ways_to_type_a_kind(typed: str, plain: str) -> None:
    assert kind_of(plain) is not None
    assert kind_of(typed) is kind_of(plain)


def test_a_six_nine_chord_is_no_bass() -> None:
    chord = chord_name("C6/9", Fraction(0))
    assert (chord.root, chord.bass, chord.kind) == (("C", 0), None, "major-sixth")
    assert chord_name("C6/G", Fraction(0)).bass == ("G", 0)


@pytest.mark.parametrize("row", CHORD_KINDS, ids=lambda row: row.suffix or "major")
@pytest.mark.parametrize("tuning", ["gDGBD", "gCGBD", "gDGCD", "gCGCD", "f#DF#AD"])
def test_every_kind_has_a_shape_in_any_tuning(row: ChordKind, tuning: str) -> None:
    known = parse_tuning(tuning, FIVE_STRING_BANJO)
    assert known is not None
    setup = Setup(FIVE_STRING_BANJO, known)
    tones = {7} if row.suffix == "5" else set(row.needed)
    for root in ("C", "D", "Eb", "F", "G", "A", "B"):
        held = usual_shape(root + row.suffix, setup)
        assert held is not None, root + row.suffix
        base = music21.pitch.Pitch(root.replace("b", "-")).pitchClass
        sounding = {
            (setup.midi(string, fret) - base) % 12
            for string, fret in enumerate(held.frets, start=1)
            if fret is not None
        }
        stopped = [f for f in held.frets if f]
        assert tones <= sounding
        assert sounding <= set(row.tones)
        assert not stopped or max(stopped) - min(stopped) <= 4


TUNE = """Title: The Long Names of Larkspur Ferry
Tuning: gDGBD
Time: 4/4

   {over}
D|-------0-------0-|
B|---0-------0-----|
G|-0-------0-------|
D|-----------------|
g|-----0-------0---|
"""


@pytest.mark.parametrize("row", CHORD_KINDS, ids=lambda row: row.suffix or "major")
def test_it_goes_to_musicxml_and_back(row: ChordKind, tmp_path: Path) -> None:
    (tune,) = rollstave.read(TUNE.format(over="G" + row.suffix))
    assert [c.text for c in tune.score.measures[0].chords] == ["G" + row.suffix]
    (data,) = rollstave.write(tune, "musicxml")
    path = tmp_path / "tune.musicxml"
    path.write_bytes(data)
    (back,) = rollstave.read(path)
    assert [c.text for c in back.score.measures[0].chords] == ["G" + row.suffix]
    # As another program writes it: a kind without text, its degrees printed.
    plain = data.replace(f' text="{row.suffix}"'.encode(), b"").replace(b' print-object="no"', b"")
    path.write_bytes(plain)
    (back,) = rollstave.read(path)
    assert [c.text for c in back.score.measures[0].chords] == ["G" + row.suffix]
    # music21 reads kind and degrees from MusicXML: the same tones. But it adds the seventh of the
    # major scale, where MusicXML 4.0 (degree-alter) counts from a dominant chord.
    if (7, 0, "add") in row.degrees:
        return
    symbol = (
        music21.converter.parse(data, format="musicxml")
        .recurse()
        .getElementsByClass(harmony.ChordSymbol)[0]
    )
    heard = {p.pitchClass for p in symbol.pitches}
    assert heard == {(7 + tone) % 12 for tone in row.tones}
