"""The chord shapes at the head of a sheet.

The shapes of C tuning are those of the trade (common practice, no source: 4:0 3:0 2:1 1:2 is C,
3:12 2:13 1:14 is C an octave above). Suggested shapes are compared with a published data set, the
one of ``test_published_shapes``.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from msgspec.structs import replace

import rollstave
from rollstave.deciding.chords import chord_name, chord_tones, needed_tones
from rollstave.deciding.shape_row import shape_changes, shape_row, usual_shape, without_shapes
from rollstave.deciding.shapes import Frets, suggest_fingers
from rollstave.instruments.setup import Setup
from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.instruments.tunings import parse_tuning
from rollstave.pitch import Pitch
from tests import tunes
from tests.chord_tones import tones as harmony_of
from tests.deciding.test_published_shapes import DATA, SUFFIXES, _setup

# Measured when this was written: 44 of 72 chords of the guitar and 53 of 72 of the ukulele have
# a published shape; most of the others are the same with a string more or less, or above fret 4.
PUBLISHED = {"guitar": 0.6, "ukulele": 0.72}


@pytest.mark.parametrize("case", [p.stem for p in tunes.SAMPLES])
def test_every_chord_has_a_shape_in_order_of_first_appearance(case: str) -> None:
    score = tunes.case(case)
    row = shape_row(score)
    names = list(dict.fromkeys(c.text for m in score.measures for c in m.chords))
    assert {held.name for held in row} == set(names)
    firsts = [next(i for i, held in enumerate(row) if held.name == name) for name in names]
    assert firsts == sorted(firsts)
    assert len(set(row)) == len(row)


@pytest.mark.parametrize("case", [p.stem for p in tunes.SAMPLES])
def test_shapes_sound_their_chord(case: str) -> None:
    # By arithmetic: one fret is one semitone. The open short string sounds through every chord.
    score = tunes.case(case)
    for held in shape_row(score):
        tones = chord_tones(chord_name(held.name, Fraction(0)))
        assert tones is not None
        for string, fret in enumerate(held.frets, start=1):
            if fret is not None and not (string == 5 and fret == 0):
                assert score.setup.midi(string, fret) % 12 in tones, held


def test_melody_is_no_part_of_a_shape() -> None:
    row = shape_row(tunes.case("lantern-stairs"))
    shapes = [held.frets[:4] for held in row if held.name == "C"]
    assert shapes[0] == (2, 1, 0, 0)
    assert (14, 13, 12, None) in shapes


def test_a_suggested_shape_says_so() -> None:
    row = {held.name: held for held in shape_row(tunes.case("ferry-landing"))}
    assert row["Em"].suggested
    assert not row["C"].suggested


def test_usual_shapes_of_c_tuning() -> None:
    tuning = parse_tuning("gCGBD", FIVE_STRING_BANJO)
    assert tuning is not None
    setup = Setup(FIVE_STRING_BANJO, tuning)
    for name, frets in {"C": (2, 1, 0, 0, 0), "G": (0, 0, 0, 2, 0)}.items():
        held = usual_shape(name, setup)
        assert held is not None
        assert held.frets == frets


@pytest.mark.parametrize(
    ("chord", "shape"),
    [
        # Common practice, no source: every beginner's book has them; the lowest string first.
        ("C", "x32010"),
        ("A", "x02220"),
        ("G", "320003"),
        ("E", "022100"),
        ("D", "xx0232"),
        ("Am", "x02210"),
        ("Em", "022000"),
        ("Dm", "xx0231"),
        ("G7", "320001"),
        ("C7", "x32310"),
        ("D7", "xx0212"),
        ("A7", "x02020"),
        ("E7", "020100"),
        ("B7", "x21202"),
        ("Bb", "x13331"),
        ("Bm", "x24432"),
        ("B", "x24442"),
        ("F#m", "244222"),
        ("F#", "244322"),
        ("F", "133211"),
        ("C#m", "x46654"),
        ("Ab", "466544"),
    ],
)
def test_guitar_shapes_that_every_player_knows(chord: str, shape: str) -> None:
    held = usual_shape(chord, _setup("guitar"))
    assert held is not None
    assert "".join("x" if f is None else str(f) for f in reversed(held.frets)) == shape


@pytest.mark.parametrize("name", ["guitar", "ukulele"])
def test_usual_shapes_are_published_ones(name: str) -> None:
    setup = _setup(name)
    published: dict[str, list[list[int]]] = {}
    for key, suffix, frets, _, _ in DATA[name]:
        published.setdefault(key + SUFFIXES[suffix], []).append(frets)
    good = 0
    for chord, shapes in published.items():
        held = usual_shape(chord, setup)
        if held is not None:
            good += [-1 if f is None else f for f in reversed(held.frets)] in shapes
            assert max(f or 0 for f in suggest_fingers(held.frets).fingers) <= 4
    assert good / len(published) > PUBLISHED[name]


def test_a_bass_has_no_chord_shapes() -> None:
    score = tunes.case("ferry-landing")
    bass = next(i for i in rollstave.known_instruments() if i.name == "bass")
    assert shape_row(replace(score, setup=Setup(bass, bass.default))) == ()


THUMB = """Title: The Thumb Goes Ahead
Tuning: gDGBD
Time: 4/4

   F                 {first}
D|-----7-------7---|-----7-------7---|
B|---6-------6-----|---6-------6-----|
G|-5-------7-----5-|-{g}-------7-------|
D|-----------------|-----------------|
g|-------0---------|-------0-------0-|
"""


def _shapes_of(text: str) -> list[tuple[str, tuple[int | None, ...], bool]]:
    (tune,) = rollstave.read(text)
    return [(s.name, s.frets[:3], s.suggested) for s in shape_row(tune.score)]


def test_a_shape_that_the_thumb_leaves_is_whole() -> None:
    # Strings 1 to 3 at 7, 6 and 5 are A, F and C by arithmetic, F major; the thumb goes on to D.
    assert _shapes_of(THUMB.format(first=" ", g="5")) == [("F", (7, 6, 5), False)]


def test_a_shape_that_the_thumb_never_takes_is_completed_and_says_so() -> None:
    text = THUMB.replace("5", "9").format(first=" ", g="9")
    assert _shapes_of(text) == [("F", (7, 6, 5), True)]


def test_a_shape_is_completed_by_where_it_is_whole() -> None:
    # F7 is said of nothing but 7 and 6; the other measure holds all of F.
    (tune,) = rollstave.read(THUMB.format(first="F", g="9"))
    assert [s.frets[:3] for s in shape_row(tune.score)] == [(7, 6, 5)]


def test_each_change_of_chord_or_place_is_known() -> None:
    text = """Title: Up and Down the Slipway
Tuning: gDGBD
Time: 4/4

   F                 F                 F
D|-----7-------7---|-----3-------3---|-----7-------7---|
B|---6-------6-----|---1-------1-----|---6-------6-----|
G|-5-------5-------|-2-------2-------|-5-------5-------|
D|-----------------|-3---------------|-----------------|
g|-------0-------0-|-------0-------0-|-------0-------0-|
"""
    (tune,) = rollstave.read(text)
    found = [(c.measure, c.onset, c.shape.frets[:3]) for c in shape_changes(tune.score)]
    assert found == [(0, 0, (7, 6, 5)), (1, 0, (3, 1, 2)), (2, 0, (7, 6, 5))]


PART = """Title: Half a Chord
Tuning: gDGBD
Time: 4/4

   D
D|-------0-------0-|
B|---0-------0-----|
G|-2---------------|
D|---------0-------|
g|-----0-------0---|
"""


def test_no_shape_stands_for_a_chord_that_is_played_open() -> None:
    """String 2 is open, where D major has its F sharp, and so is string 1: every low shape of D
    stops one of them."""
    (tune,) = rollstave.read(PART)
    assert not shape_row(tune.score)
    assert without_shapes(tune.score) == {"D": ()}


@pytest.mark.parametrize("case", [p.stem for p in tunes.SAMPLES])
def test_a_shape_has_what_makes_its_chord(case: str) -> None:
    score = tunes.case(case)
    row = shape_row(score)
    assert len({(held.name, held.frets) for held in row}) == len(row)
    for held in row:
        needed = needed_tones(chord_name(held.name, Fraction(0)))
        sounding = {
            score.setup.midi(n, f) % 12 for n, f in enumerate(held.frets, start=1) if f is not None
        }
        if held.suggested and needed is not None:
            assert needed <= sounding, held


@pytest.mark.parametrize(("fifth", "sign"), [("-------0-------0-", 0), ("-" * 17, None)])
def test_a_drone_that_is_struck_is_no_string_to_leave_out(fifth: str, sign: int | None) -> None:
    """G is no tone of D, and sounds through it (common practice, no source)."""
    text = (
        "Title: Drone\nTuning: gDGBD\nTime: 4/4\n\n   D\n"
        "D|-----4-------4---|\nB|---3-------3-----|\nG|-2-------2-------|\n"
        f"D|-----------------|\ng|{fifth}|\n"
    )
    (shape,) = shape_row(rollstave.read(text)[0].score)
    assert (shape.name, shape.frets[4]) == ("D", sign)


@pytest.mark.parametrize("tuning", ["gDGBD", "gCGBD", "gDGCD"])
@pytest.mark.parametrize("name", ["F#7/A#", "G/B", "C/E", "D/F#", "Am/C", "C/G", "C/B", "Em/G"])
def test_a_bass_that_is_named_is_the_lowest_note(tuning: str, name: str) -> None:
    # Common practice, no source: what is behind the stroke is the lowest note of the chord.
    setup = tunes.setup(tuning)
    shape = usual_shape(name, setup)
    assert shape is not None
    short = setup.instrument.short_string
    assert short is not None
    lowest = min(
        setup.midi(string, fret)
        for string, fret in enumerate(shape.frets, start=1)
        if fret is not None and string != short.string
    )
    bass = name.split("/")[1]
    assert lowest % 12 == Pitch.parse(f"{bass}4").midi % 12


TWO_TUNINGS = """Time: 4/4
Key: C

  C
D|-2---2---2---2-|
B|---1---1---1---|
G|-0---0---0---0-|
D|-2-------2-----|
g|---0-------0---|

Retune to gCGCD

  C
D|-2---2---2---2-|
C|---0---0---0---|
G|-0---0---0---0-|
C|-0-------0-----|
g|---0-------0---|

Capo: 2

  C
D|-2---2---2---2-|
C|---0---0---0---|
G|-0---0---0---0-|
C|-0-------0-----|
g|---0-------0---|
"""


def test_the_row_follows_a_change_of_tuning_and_capo() -> None:
    """The shapes are those that are typed; each setup has its own, and says what is new in it."""
    (tune,) = rollstave.read(TWO_TUNINGS)
    assert [(s.label, s.frets) for s in shape_row(tune.score)] == [
        ("C", (2, 1, 0, 2, 0)),
        ("C (gCGCD)", (2, 0, 0, 0, 0)),
        ("C (capo 2)", (2, 0, 0, 0, 0)),
    ]
    changes = shape_changes(tune.score)
    assert [(c.measure, c.shape.label) for c in changes] == [(0, "C"), (1, "C"), (2, "C")]


@pytest.mark.parametrize("case", [p.stem for p in (*tunes.SAMPLES, *tunes.STRESS)])
def test_no_shape_contradicts_what_is_struck_while_it_holds(case: str) -> None:
    """A string that a shape stops, or leaves open, is struck there wherever the chord is played so,
    as far as the notes are tones of the chord (those that music21 gives it): others are melody, and
    so is all that is played over open strings alone."""
    score = tunes.case(case)
    shift = score.setup.capo if score.chords_by_shape else 0
    changes = [(c.measure, c.onset, c.shape) for c in shape_changes(score)]
    struck: dict[tuple[str, Frets, int], set[int]] = {}
    for measure in score.measures:
        for event in measure.events:
            here = measure.index, event.onset
            name = next((c.text for c in measure.chords[::-1] if c.onset <= event.onset), "")
            shape = next((s for *at, s in changes[::-1] if tuple(at) <= here), None)
            if shape is None or shape.name != name or not any(shape.frets):
                continue
            tones = {(tone + shift) % 12 for tone in harmony_of(name)}
            for note in event.notes:
                if note.fret is not None and note.pitch.midi % 12 in tones:
                    key = name, shape.frets, note.string
                    struck.setdefault(key, set()).add(note.fret)
    for (name, frets, string), there in struck.items():
        assert frets[string - 1] is None or frets[string - 1] in there, (name, frets, string, there)


def test_a_string_that_is_stopped_throughout_is_not_open_in_the_shape() -> None:
    """Read with a red pen: Am of the Lantern Stairs had string 4 open, which a finger stops at 4
    from the first stroke; G of Slate Roof Rain had string 4 open, stopped at 5."""
    rows = {case: shape_row(tunes.case(case)) for case in ("lantern-stairs", "slate-roof-rain")}
    assert next(s.frets for s in rows["lantern-stairs"] if s.name == "Am") == (2, 1, 2, 4, 0)
    assert next(s.frets for s in rows["slate-roof-rain"] if s.name == "G") == (3, 0, 2, 5, 0)
