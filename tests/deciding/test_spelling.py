"""Keys and the spelling of pitches, against music21's key signatures and scales."""

from __future__ import annotations

import random

import music21
import pytest

import rollstave
from rollstave.deciding.theory import find_key
from rollstave.grid.typed import Link
from rollstave.pitch import MODES, Key, parse_key, spell
from tests.amount import some

TONICS = ("C", "G", "D", "A", "E", "B", "F#", "C#", "F", "Bb", "Eb", "Ab", "Db", "Gb", "Cb")


def _music21_name(letter: str) -> str:
    return letter[0] + letter[1:].replace("b", "-")


@pytest.mark.parametrize("tonic", TONICS)
def test_scales_are_spelled_as_music21_spells_them(tonic: str) -> None:
    # music21 10, MajorScale.
    key = Key(tonic)
    scale = music21.scale.MajorScale(_music21_name(tonic))
    for pitch in scale.getPitches(f"{_music21_name(tonic)}3", f"{_music21_name(tonic)}5"):
        spelled = spell(int(pitch.midi), key.fifths)
        assert (_music21_name(spelled.letter), spelled.octave) == (pitch.name, pitch.octave)


@pytest.mark.parametrize("mode", MODES)
@pytest.mark.parametrize("tonic", ["G", "A", "D", "E", "C"])
def test_signatures_of_modes(tonic: str, mode: str) -> None:
    # music21 10, key.Key: sharps in the signature of each mode.
    assert Key(tonic, mode).fifths == music21.key.Key(tonic, mode).sharps


@pytest.mark.parametrize(
    ("midi", "key", "name"),
    [
        # Common practice; each is in the scale of the key, or its usual chromatic neighbour.
        (58, Key("F"), "Bb3"),
        (66, Key("D"), "F#4"),
        (61, Key("D"), "C#4"),
        (58, Key("G", "dorian"), "Bb3"),
        (66, Key("G"), "F#4"),
        (68, Key("A", "minor"), "G#4"),
        (63, Key("C"), "Eb4"),
        (66, Key("C"), "F#4"),
        (70, Key("C"), "Bb4"),
        (65, Key("G", "mixolydian"), "F4"),
    ],
)
def test_spelled_in_a_key(midi: int, key: Key, name: str) -> None:
    assert str(spell(midi, key.fifths)) == name


@pytest.mark.parametrize(
    ("typed", "tonic", "mode"),
    [
        ("G", "G", "major"),
        ("g", "G", "major"),
        ("Am", "A", "minor"),
        ("A minor", "A", "minor"),
        ("a min", "A", "minor"),
        ("F# minor", "F#", "minor"),
        ("Bb", "Bb", "major"),
        ("B flat major", "Bb", "major"),
        ("G dorian", "G", "dorian"),
        ("D Mixolydian", "D", "mixolydian"),
        ("key of D", "D", "major"),
        ("A modal", "A", "dorian"),
    ],
)
def test_keys_as_typed(typed: str, tonic: str, mode: str) -> None:
    assert parse_key(typed) == Key(tonic, mode)


@pytest.mark.parametrize("typed", ["", "H", "harbour", "G harbour", "G# locrian lydian", "7"])
def test_no_key(typed: str) -> None:
    assert parse_key(typed) is None


@pytest.mark.parametrize(
    ("tonic", "mode"), [("G", "major"), ("D", "major"), ("C", "major"), ("A", "minor")]
)
def test_the_key_of_a_scale_is_found(tonic: str, mode: str) -> None:
    # music21 10 builds the scale; a tune that runs over it and rests on its tonic triad.
    scale = music21.scale.MajorScale(tonic) if mode == "major" else music21.scale.MinorScale(tonic)
    run = [int(p.midi) for p in scale.getPitches(f"{tonic}3", f"{tonic}4")]
    found, reason = find_key([*run, *reversed(run), run[0], run[2], run[4], run[0], run[0]])
    assert (found.tonic, found.mode) == (tonic, mode)
    assert reason


def _asked_of_music21(counts: list[int]) -> music21.key.Key:
    melody = music21.stream.Stream()
    for pitch_class, number in enumerate(counts):
        if number:
            melody.append(music21.note.Note(60 + pitch_class, quarterLength=number))
    return melody.analyze("key.krumhanslschmuckler")


@pytest.mark.parametrize("seed", range(8))
def test_the_key_found_is_the_one_that_music21_finds(seed: int) -> None:
    """music21's Krumhansl-Schmuckler analysis of melodies: scales with foreign notes, few notes,
    and any notes at all. Where two keys fit as well, either will do."""
    random_ = random.Random(seed)
    for number in range(some(6, 40)):
        scale = [0, 2, 4, 5, 7, 9, 11] if number % 2 else list(range(12))
        held = random_.sample(scale, random_.randint(1, len(scale)))
        tonic = random_.randrange(12)
        counts = [0] * 12
        for degree in held:
            counts[(tonic + degree) % 12] = random_.randint(1, 30)
        counts[random_.randrange(12)] += random_.randint(0, 2)
        if len(set(counts)) == 1:
            continue
        theirs = _asked_of_music21(counts)
        ours, reason = find_key([60 + pc for pc in range(12) for _ in range(counts[pc])])
        assert reason.endswith(f"(correlation {theirs.correlationCoefficient:.2f})"), counts
        others = list(theirs.alternateInterpretations)
        equal = [theirs] + [
            k for k in others if k.correlationCoefficient > theirs.correlationCoefficient - 1e-9
        ]
        named = [(k.tonic.pitchClass, k.mode) for k in equal]
        tonic_class = music21.pitch.Pitch(_music21_name(ours.tonic)).pitchClass
        assert (tonic_class, ours.mode) in named, counts


def test_a_tonic_is_spelled_with_fewer_sharps_or_flats() -> None:
    """Arithmetic: of C sharp and D flat major, seven sharps and five flats."""
    d_flat = [1, 3, 5, 6, 8, 10, 12, 13, 1, 5, 8, 1, 13]
    found, _ = find_key([60 + n for n in d_flat])
    assert str(found) == "Db major"
    assert abs(found.fifths) <= 7


def test_no_key_where_all_pitches_are_as_frequent() -> None:
    assert find_key(list(range(60, 72)))[1] == "no key stands out"
    assert find_key([])[1] == "no notes"


@pytest.mark.parametrize("tonic", ["C", "G", "D", "A", "E", "B", "F#", "F", "Bb", "Eb", "Ab", "Db"])
def test_no_note_outside_the_scale_has_a_harder_name_than_it_needs(tonic: str) -> None:
    # Common practice, no source: E#, B#, Cb and Fb only where the key has them, and nothing twice
    # sharp or flat. music21 has the scale.
    key = Key(tonic)
    names = {
        p.name.replace("-", "b") for p in music21.scale.MajorScale(_music21_name(tonic)).pitches
    }
    for midi in range(48, 60):
        pitch = spell(midi, key.fifths)
        assert pitch.midi == midi
        assert abs(pitch.alter) <= 1
        if pitch.letter in ("E#", "B#", "Cb", "Fb"):
            assert pitch.letter in names


def test_an_open_string_is_never_doubly_sharp() -> None:
    # Five sharps in open G: the open third string is G, not F double sharp.
    assert spell(55, Key("B").fifths).letter == "G"
    assert spell(55, Key("C#").fifths).letter == "G"


def test_a_minor_key_keeps_its_leading_note() -> None:
    # Harmony handbooks: the raised seventh of F# minor is E#; in A major it is F.
    assert spell(53, Key("F#", "minor").fifths, minor=True).letter == "E#"
    assert spell(53, Key("A").fifths).letter == "F"
    assert spell(55, Key("G#", "minor").fifths, minor=True).letter == "G"


@pytest.mark.parametrize(
    ("key", "chord"),
    [
        *(("A", "C#7b9"), ("A", "G#dim7"), ("C", "E7"), ("C", "Fm"), ("G", "Eb"), ("G", "B7")),
        *(("D", "F#7"), ("E", "G#7"), ("F", "Db"), ("C", "Abm"), ("B", "A#7"), ("C", "Bdim7")),
        *(("E", "C#maj7"), ("C", "Bb7"), ("A", "F#7"), ("Bb", "Gb"), ("D", "C#7"), ("Eb", "Cm")),
    ],
)
def test_a_note_outside_the_key_is_spelled_by_the_chord_over_it(key: str, chord: str) -> None:
    """music21 spells the tones of a chord by its name; a double accidental is left to the key."""
    found = music21.harmony.ChordSymbol(chord.replace("b", "-", 1) if chord[1:2] == "b" else chord)
    scale = {p.name for p in music21.scale.MajorScale(_music21_name(key)).pitches}
    names = {p.pitchClass: p.name for p in found.pitches}
    frets, blank = f"-{'-'.join('01234567')}-", "-" * 17
    # Twelve semitones: string 4 from D to A, string 1 from D on.
    rows = [blank + frets, blank * 2, blank * 2, frets + blank, blank * 2]
    text = f"Title: All Frets\nTuning: gDGBD\nKey: {key}\nTime: 4/4\n\n  {chord}\n" + "".join(
        f"{name}|{row[:17]}|{row[17:]}|\n" for name, row in zip("DBGDg", rows, strict=True)
    )
    (tune,) = rollstave.read(text)
    played = [n.pitch for m in tune.score.measures for e in m.events for n in e.notes]
    assert [p.midi for p in played] == [*range(50, 58), *range(62, 70)]  # arithmetic
    for pitch in played:
        name = names.get(pitch.midi % 12)
        if name is None or "##" in name or "--" in name:
            continue
        plain = spell(pitch.midi, Key(key).fifths).letter
        if _music21_name(plain) in scale:
            assert pitch.letter == plain
        else:
            assert _music21_name(pitch.letter) == name


def test_a_tied_note_keeps_its_name_under_another_chord() -> None:
    text = (
        "Title: Held Over\nTuning: gDGBD\nKey: A\nTime: 4/4\n\n  C#7     F\n"
        "D|-3=======3-------|\n" + "".join(f"{name}|{'-' * 17}|\n" for name in "BGDg")
    )
    (tune,) = rollstave.read(text)
    notes = [n for m in tune.score.measures for e in m.events for n in e.notes]
    assert [(n.link is Link.TIE, n.pitch.letter) for n in notes] == [(False, "E#"), (True, "E#")]


def test_a_grace_note_a_half_step_under_its_note_is_a_raised_step() -> None:
    """A chromatic lower neighbour is written as a raised step (Gould, Behind Bars, 2011, from
    memory), F# before G and A# before B; a note of the scale and a leap keep their names."""
    head = "Tuning: gDGBD\nKey: G\nTime: 2/4\n\n"
    tab = head + "D|-{4}h5-------0---|\nB|-------{1}h3-----|\nG|-----------------|\n"
    tab += "D|-----------------|\ng|-----------------|\n\n"
    tab += "D|-----------------|\nB|-----------------|\nG|-{3}h4------{2}h3|\n"
    tab += "D|-----------------|\ng|-----------------|\n"
    (tune,) = rollstave.read(tab)
    graces = [
        (str(g.pitch), str(e.notes[0].pitch))
        for m in tune.score.measures
        for e in m.events
        for group in e.grace
        for g in group
    ]
    assert graces == [("F#4", "G4"), ("C4", "D4"), ("A#3", "B3"), ("A3", "Bb3")]
