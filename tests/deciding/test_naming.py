"""Chord names where none are written."""

from __future__ import annotations

import itertools
import re

import music21
import pytest
from msgspec.structs import replace

import rollstave
from rollstave.deciding.naming import _name, with_chord_names
from rollstave.pitch import Key
from rollstave.score.records import Measure
from tests import amount, tunes
from tests.amount import some

# The project's table of shapes in C tuning, gCGBD (common practice; pitches by arithmetic), as
# string and fret, and the chord that each is.
SHAPES = [
    ([(4, 0), (3, 0), (2, 1), (1, 2)], "C"),
    ([(4, 2), (3, 0), (2, 0), (1, 0)], "G"),
    ([(4, 0), (3, 5), (2, 5), (1, 5)], "C"),
    ([(3, 5), (2, 6), (1, 7)], "F"),
    ([(3, 7), (2, 8), (1, 9)], "G"),
    ([(3, 12), (2, 13), (1, 14)], "C"),
    ([(3, 9), (2, 8), (1, 10)], "C"),
]


def _named(pairs: list[tuple[int, int]], key: str = "C") -> list[str]:
    held = tunes.setup("gCGBD")
    row = [("1/2", [pair]) for pair in (pairs * 4)[:8]]
    score = tunes.score([row], key=Key(key), held=held)
    return [c.text for m in with_chord_names(score.measures, score.keys, held) for c in m.chords]


@pytest.mark.parametrize(("shape", "chord"), SHAPES)
def test_shapes_of_the_trade_are_named(shape: list[tuple[int, int]], chord: str) -> None:
    assert _named(shape) == [chord]


def test_the_open_short_string_sounds_through_every_chord() -> None:
    # A drone on G under F A C: the chord is F (common practice: the thumb string is a drone).
    assert _named([(3, 5), (2, 6), (1, 7), (5, 0)]) == ["F"]


def test_names_are_spelled_in_the_key() -> None:
    # The shape of F moved up one fret, and a bar over three strings at the third fret.
    assert _named([(3, 6), (2, 7), (1, 8)], "D") == ["F#"]
    assert _named([(3, 6), (2, 7), (1, 8)], "F") == ["F#"]
    assert _named([(3, 3), (2, 3), (1, 3)], "F") == ["Bb"]


def test_written_names_win() -> None:
    score = tunes.case("ferry-landing")
    assert with_chord_names(score.measures, score.keys, score.setup) == score.measures


def test_names_are_marked_as_inferred() -> None:
    text = "\n".join(
        f"{label}|{row}|"
        for label, row in zip(
            "DBGDg",
            (
                "-------0-------0-",
                "---0-------0-----",
                "-0-------0-------",
                "-----------------",
                "-----0-------0---",
            ),
            strict=True,
        )
    )
    (tune,) = rollstave.read(f"Title: Small\nTuning: gDGBD\nKey: G\nTime: 4/4\n\n{text}\n")
    (chord,) = tune.score.measures[0].chords
    # Open G tuning: the open strings are G B D (common practice).
    assert (chord.text, chord.inferred) == ("G", True)


def _hidden(measures: tuple[Measure, ...]) -> tuple[Measure, ...]:
    return tuple(replace(m, chords=()) for m in measures)


def test_most_names_of_the_samples_are_found_again() -> None:
    # The names that the samples' teacher wrote (invented); figures in the notes of issue 5.
    good = total = 0
    for path in tunes.SAMPLES:
        score = tunes.case(path.stem)
        found = with_chord_names(_hidden(score.measures), score.keys, score.setup)
        written = inferred = ""
        for before, after in zip(score.measures, found, strict=True):
            written = before.chords[0].text if before.chords else written
            inferred = after.chords[0].text if after.chords else inferred
            total += 1
            good += written == inferred
    assert good / total > 0.75


# music21's common names of the chords that we name, and how they are written.
COMMON_NAMES = {
    "major triad": "",
    "minor triad": "m",
    "dominant seventh chord": "7",
    "minor seventh chord": "m7",
    "major seventh chord": "maj7",
    "diminished triad": "dim",
}


def test_every_set_of_notes_has_the_name_that_music21_gives_it() -> None:
    # music21, chord.Chord: all sets of three and of four pitch classes; usually those with C in
    # them, each moved to another place of the twelve: every shape and every root is among them.
    named = moved = 0
    expected = some(3 * 3 + 3 * 4, 12 * len(COMMON_NAMES))
    for count in (3, 4):
        for tones in itertools.combinations(range(12), count):
            if tones[0] and not amount.thorough:
                continue
            if not amount.thorough:
                moved += 1
                tones = tuple(sorted((tone + moved) % 12 for tone in tones))
            chord = music21.chord.Chord([60 + tone for tone in tones])
            # A set that integers cannot spell is named by what it sounds like.
            common = re.sub("^enharmonic (equivalent )?to ", "", chord.commonName)
            found = _name(frozenset(tones))
            assert (found and found[1]) == COMMON_NAMES.get(common), (tones, common)
            if found is not None:
                root = music21.pitch.Pitch(60 + found[0]).name
                symbol = music21.harmony.ChordSymbol(root + found[1])
                assert {p.pitchClass for p in symbol.pitches} == set(tones)
                named += 1
    # A triad has C in it for three of its roots, a chord of four notes for four.
    assert named == expected


@pytest.mark.parametrize(
    ("chords", "others", "named"),
    # Names stand where two thirds of the time are told by them, and not with less (our choice).
    [(1, 3, False), (2, 2, False), (2, 1, True), (3, 1, True), (3, 2, False), (4, 2, True)],
)
def test_a_chord_here_and_there_is_not_named(chords: int, others: int, named: bool) -> None:
    """A name holds until the next one, so a lone one would stand over music that it does not fit
    (as a music editor marked it on proofs)."""
    held = tunes.setup("gCGBD")
    chord = [("1/2", [pair]) for pair in SHAPES[0][0] * 2]
    steps = [("1/2", [(1, fret)]) for fret in (0, 2, 3, 5, 7, 5, 3, 2)]
    score = tunes.score([chord] * chords + [steps] * others, key=Key("C"), held=held)
    found = with_chord_names(score.measures, score.keys, held)
    assert any(m.chords for m in found) == named
