"""Drills of chords on instruments that have no rolls: shapes, strums and arpeggios.

Shapes that teachers show and patterns of the right hand are common practice, no source (written
down from memory before the program was asked); music21 says which notes a chord has.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

import mido
import pytest

import rollstave
import rollstave_teaching
from rollstave import Exercise, Handout, Measure, NamedShape, Shapes
from tests.amount import crossed
from tests.chord_tones import root, tones

# Low strings first, x for one that is not struck.
SHOWN = {
    "guitar": {
        **{"C": "x32010", "G": "320003", "D": "xx0232", "A": "x02220", "E": "022100"},
        **{"F": "133211", "Am": "x02210", "Em": "022000", "Dm": "xx0231", "G7": "320001"},
    },
    "mandolin": {"G": "0023", "C": "0230", "D": "2002"},
    "tenor banjo": {"C": "0023", "G": "2002", "F": "0230"},
    "ukulele": {"C": "0003", "F": "2010", "G7": "0212", "Am": "2000", "D": "2220", "G": "0232"},
    "plectrum banjo": {"C": "0012", "F": "0213", "G7": "2003"},
}
# Open strings, the lowest line first; octaves by hand. MIDI: middle C is 60.
OPEN = {
    "guitar": (40, 45, 50, 55, 59, 64),
    "mandolin": (55, 62, 69, 76),
    "tenor banjo": (48, 55, 62, 69),
    "ukulele": (67, 60, 64, 69),
    "plectrum banjo": (48, 55, 59, 62),
}
PATTERNS = ("", "arpeggio", "bass and strum", "down and up strum", "strum on every beat", "chop")


def drilled(instrument: str, *chords: str, **options: object) -> Handout:
    return rollstave_teaching.drill(  # type: ignore[arg-type]
        ("chords", *chords), instrument=instrument, **options
    )


def shapes_of(made: Handout) -> dict[str, str]:
    row = next(b for p in made.parts for b in p.blocks if isinstance(b, Shapes))
    return {s.name: written(s) for s in row.shapes}


def written(shape: NamedShape) -> str:
    return "".join("x" if fret is None else str(fret) for fret in reversed(shape.frets))


def under(measure: Measure) -> Iterator[tuple[str, set[int]]]:
    """Each chord name with the pitch classes that are struck under it, by string and fret."""
    ends = [c.onset for c in measure.chords[1:]] + [measure.length]
    for chord, end in zip(measure.chords, ends, strict=True):
        notes = [n for e in measure.events if chord.onset <= e.onset < end for n in e.notes]
        yield chord.text, {n.pitch.midi % 12 for n in notes}


@pytest.mark.parametrize("instrument", SHOWN)
def test_shapes_are_those_that_teachers_show(instrument: str) -> None:
    chords = list(SHOWN[instrument])
    found: dict[str, str] = {}
    for at in range(0, len(chords), 5):
        found |= shapes_of(drilled(instrument, *chords[at : at + 5], up_to=3))
    assert found == SHOWN[instrument]


@pytest.mark.parametrize("instrument", SHOWN)
def test_music21_finds_every_note_in_its_chord_and_every_tone_of_it(instrument: str) -> None:
    made = drilled(instrument, *list(SHOWN[instrument])[:3], up_to=9)
    seen = 0
    for one in made.exercises:
        for measure in one.score.measures:
            for name, struck in under(measure):
                assert struck <= tones(name), (one.name, name)
                seen += 1
    assert seen > 60
    shown = [s for p in made.parts for b in p.blocks if isinstance(b, Shapes) for s in b.shapes]
    for shape in shown:
        frets = zip(OPEN[instrument], reversed(shape.frets), strict=True)
        sounds = {(open_ + fret) % 12 for open_, fret in frets if fret is not None}
        assert sounds == tones(shape.name), (shape.name, written(shape))


def test_a_shape_goes_up_by_semitones_under_its_own_name() -> None:
    made = drilled("guitar", "F", "Am")
    series = [e for e in made.exercises if "fret by fret" in e.name]
    assert series
    for one in series:
        roots = [root(m.chords[0].text) for m in one.score.measures]
        assert {(b - a) % 12 for a, b in pairwise(roots)} == {1}


def strokes(measure: Measure) -> list[tuple[Fraction, list[int]]]:
    return [(e.onset, [n.string for n in e.notes]) for e in measure.events]


def first_measure(instrument: str, chord: str, **options: object) -> Measure:
    return drilled(instrument, chord, up_to=5, **options).exercises[0].score.measures[0]


def test_the_patterns_are_those_of_the_trade() -> None:
    # The bass is the lowest string of the chord, then the next one (common practice).
    basses = strokes(first_measure("guitar", "C"))
    assert basses == [(0, [5]), (1, [1, 2, 3]), (2, [4]), (3, [1, 2, 3])]
    waltz = strokes(first_measure("guitar", "G", time="3/4"))
    assert waltz == [(0, [6]), (1, [1, 2, 3]), (2, [1, 2, 3])]
    picked = strokes(first_measure("guitar", "Am", roll="arpeggio", time="6/8"))
    assert [strings for _, strings in picked] == [[5], [3], [2], [1], [2], [3]]
    # Down, down-up, up-down-up: the hand is up in the air on the third beat.
    island = strokes(first_measure("ukulele", "C"))
    half = Fraction(1, 2)
    assert [onset for onset, _ in island] == [0, 1, 1 + half, 2 + half, 3, 3 + half]
    assert [len(strings) for _, strings in island] == [4, 4, 3, 3, 4, 3]
    assert [o for o, _ in strokes(first_measure("baritone ukulele", "G"))] == [o for o, _ in island]
    chop = strokes(first_measure("mandolin", "G"))
    assert chop == [(0, []), (1, [1, 2, 3, 4]), (2, []), (3, [1, 2, 3, 4])]
    assert len(strokes(first_measure("tenor banjo", "C"))) == 4


def test_a_change_in_the_middle_of_a_measure_begins_with_its_own_bass() -> None:
    made = drilled("guitar", "C", "G", up_to=3)
    both = next(e for e in made.exercises if e.name.endswith("C to G")).score.measures[2]
    assert [c.onset for c in both.chords] == [0, 2]
    assert strokes(both)[2] == (2, [6])  # the low string of G


@pytest.mark.parametrize(("instrument", "roll"), crossed([*SHOWN], PATTERNS, turns=2))
def test_each_exercise_is_read_again_as_tab_and_played(instrument: str, roll: str) -> None:
    time = {"arpeggio": "6/8", "chop": "2/4", "bass and strum": "3/4"}.get(roll, "")
    made = drilled(instrument, *list(SHOWN[instrument])[:2], up_to=4, roll=roll, time=time)
    (again,) = rollstave.read(rollstave.write(made, "text")[0].decode())
    assert again.score.setup == made.score.setup
    wanted = [m for e in made.exercises for m in e.score.measures]
    assert [played(m) for m in again.score.measures] == [played(m) for m in wanted]
    names = [m.section for m in again.score.measures if m.section]
    assert names == [e.name for e in made.exercises]
    heard = mido.MidiFile(file=io.BytesIO(rollstave.write(made, "midi")[0]))
    pitches = sorted(m.note for m in heard if m.type == "note_on" and m.velocity)
    strings = OPEN[instrument][::-1]
    said = [
        strings[n.string - 1] + (n.fret or 0)
        for m in wanted
        for _ in range(2)  # every exercise is a repeat
        for e in m.events
        for n in e.notes
    ]
    assert pitches == sorted(said)


def played(measure: Measure) -> list[object]:
    """What is struck when, for how long, under which names; a rest is that nothing is."""
    events = [
        (e.onset, e.duration, sorted((n.string, n.fret) for n in e.notes))
        for e in measure.events
        if e.notes
    ]
    return [*events, *((c.onset, c.text) for c in measure.chords)]


@pytest.mark.parametrize(
    ("tuning", "instrument"),
    # Those that the tables of instruments have; GDAE is rather a mandolin than a tenor banjo.
    [
        *(
            ("EADGBE", "guitar"),
            ("DADGAD", "guitar"),
            ("GDAE", "mandolin"),
            ("CGDA", "tenor banjo"),
        ),
        *(("GCEA", "ukulele"), ("CGBD", "plectrum banjo"), ("gCGBD", "five-string banjo")),
        *(("double C", "five-string banjo"), ("", "five-string banjo")),
    ],
)
def test_a_tuning_says_which_instrument_is_meant(tuning: str, instrument: str) -> None:
    made = rollstave_teaching.drill(("chords", "D", "G"), tuning=tuning)
    assert made.score.setup.instrument.name == instrument


def test_an_instrument_has_its_own_tunings() -> None:
    made = drilled("guitar", "D", tuning="drop D")
    assert made.score.setup.tuning.written == "DADGBE"
    assert shapes_of(made)["D"].endswith("0232")
    assert drilled("uke", "C").score.setup.instrument.name == "ukulele"


REFUSED = {
    "a slip": ({"instrument": "gitar"}, "did you mean guitar?"),
    "no instrument": ({"instrument": "zzz"}, "there are five-string banjo, "),
    "one note at a time": ({"instrument": "bass"}, "shapes of chords are not known on a bass"),
    "no semitones": ({"instrument": "dulcimer"}, "not known on a mountain dulcimer"),
    "no tuning": (
        {"instrument": "guitar", "tuning": "EADG"},
        "write six letters, string 6 first, as EADGBE, or a name",
    ),
    "no pattern": ({"instrument": "guitar", "roll": "forward"}, "there are bass and strum"),
    "a pattern's slip": ({"instrument": "guitar", "roll": "arpegio"}, "did you mean arpeggio?"),
    "too short": ({"instrument": "guitar", "roll": "5321"}, "it has 4 strokes; a measure of 4/4"),
    "no string": ({"instrument": "ukulele", "roll": "53213231"}, "there is no string 5"),
    "no time": ({"instrument": "guitar", "time": "7/8"}, "there are patterns in 4/4"),
}


@pytest.mark.parametrize(("options", "said"), REFUSED.values(), ids=REFUSED)
def test_what_is_refused_says_what_there_is(options: dict[str, str], said: str) -> None:
    with pytest.raises(rollstave.TabError) as caught:
        rollstave_teaching.drill(("chords", "C", "G"), **options)  # type: ignore[arg-type]
    assert said in caught.value.problems[0].message


def test_rolls_are_drilled_on_a_short_string() -> None:
    with pytest.raises(rollstave.TabError) as caught:
        rollstave_teaching.drill(("rolls",), instrument="guitar")
    assert "on a banjo with a short string, not on a guitar" in caught.value.problems[0].message


def test_the_fingers_of_a_pattern_are_told() -> None:
    made = drilled("guitar", "C", "G", roll="53231323")
    assert [n.string for e in made.exercises[0].score.measures[0].events for n in e.notes] == [
        *(5, 3, 2, 3, 1, 3, 2, 3)
    ]
    words = [b.text for p in made.parts for b in p.blocks if not isinstance(b, (Shapes, Exercise))]
    assert "Arpeggio 53231323: string 5, string 3" in words[0]  # type: ignore[operator]
