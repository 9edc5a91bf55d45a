"""A lesson says of a tune what a teacher would, and what it says is true.

Changes of chord are counted by hand from the text of the samples, as they are played; music21 says
which notes a chord has, mido reads what is played, the tunings are those of common practice.
"""

from __future__ import annotations

import io
import re
from collections import Counter
from fractions import Fraction

import mido
import pytest

import rollstave
from rollstave import Chart, Exercise, Link, Measure, Score, Shapes, TabError, Words
from rollstave_teaching import lesson
from rollstave_teaching.changes import changes_of
from rollstave_teaching.fingers import held_together
from rollstave_teaching.hand import rolls_of, thumb_starts
from rollstave_teaching.hard import hardest
from rollstave_teaching.neck import fret_by_fret
from rollstave_teaching.phrases import likeness, phrases_of
from tests.chord_tones import tones
from tests.plugins.teaching import part, told
from tests.tunes import SAMPLES, case

STEMS = [path.stem for path in SAMPLES]
PLAYED_PARTS = ("tune-up", "right-hand", "changes", "phrases", "up-the-neck", "whole")
# By hand, from the chord names over the systems, repeats and endings played out.
COUNTED = {
    "ferry-landing": {
        **{"G C": 5, "D7 G": 4, "Em G": 4, "G D7": 3},
        **{"C G": 2, "G Em": 2, "C D": 2, "D Em": 2, "C D7": 1},
    },
    "quince-orchard-waltz": {
        **{"G C": 2, "Am D7": 2, "C G": 2, "D7 G": 2, "G Em": 2},
        **{"C Am": 1, "D7 D": 1, "D G": 1, "G D7": 1, "Em C": 1, "Em Am": 1},
    },
}


def sounds(measure: Measure) -> list[tuple[Fraction, Fraction, list[tuple[int, int | None]]]]:
    return [
        (e.onset, e.duration, sorted((n.string, n.fret) for n in e.notes))
        for e in measure.events
        if e.notes
    ]


# The whole ---------------------------------------------------------------------------------------


def test_parts_stand_in_the_order_in_which_a_teacher_explains() -> None:
    names = [one.name for one in lesson(case("lantern-stairs")).parts]
    assert names == [
        *("Tune up", "The chords", "The right hand", "The changes", "The phrases"),
        *("Up the neck", "The whole tune"),
    ]


def test_parts_are_chosen_in_that_order() -> None:
    chosen = lesson(case("lantern-stairs"), "changes, tune-up")
    assert [one.name for one in chosen.parts] == ["Tune up", "The changes"]


def test_a_part_that_does_not_exist_is_refused_with_those_that_do() -> None:
    with pytest.raises(TabError, match="no part 'scales'; it has tune-up, chords"):
        lesson(case("lantern-stairs"), "scales")


@pytest.mark.parametrize("stem", STEMS)
def test_every_exercise_is_read_again_as_tab_with_its_own_notes(stem: str) -> None:
    made = lesson(case(stem))
    text = rollstave.write(made, "text")[0].decode()
    (again,) = rollstave.read(text)
    wanted = [m for one in made.exercises for m in one.score.measures]
    assert [sounds(m) for m in again.score.measures] == [sounds(m) for m in wanted]
    names = [m.section for m in again.score.measures if m.section]
    for number, one in enumerate(made.exercises, start=1):
        assert f"Exercise {number}: {one.name}" in names
    assert again.score.setup == made.score.setup


@pytest.mark.parametrize(
    "key", ["tune-up", "right-hand", "changes", "phrases", "up-the-neck", "whole"]
)
@pytest.mark.parametrize("stem", STEMS)
def test_what_is_played_is_what_the_frets_say(stem: str, key: str) -> None:
    """Every exercise of every part: from string and fret by arithmetic, as often as it is played.
    What has no plain pitch (a dead stroke, a harmonic) and what is quick before a note is left
    out on both sides."""
    made = lesson(case(stem), key)
    setup = made.score.setup
    plain: Counter[int] = Counter()
    other = 0
    for one in made.exercises:
        for index in rollstave.play_order(one.score.measures):
            for event in one.score.measures[index].events:
                other += sum(len(group) for group in event.grace)
                for note in event.notes:
                    if note.fret is None or note.muted or note.harmonic or note.link is Link.TIE:
                        other += 1
                    else:
                        plain[setup.midi(note.string, note.fret)] += 1
    played = mido.MidiFile(file=io.BytesIO(rollstave.write(made, "midi")[0]))
    heard = Counter(m.note for m in played if m.type == "note_on" and m.velocity)
    assert sum(plain.values()) > 0
    assert plain <= heard
    assert sum((heard - plain).values()) <= other


# Tuning ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("tuning", "frets"),
    # Common practice: open G is tuned at frets 5, 4, 3 and, for the short string, 5 of string 1.
    # Of double C the pitches are G4 C3 G3 C4 D4: 7, 5, 2 and 5 by arithmetic.
    [("gDGBD", [5, 4, 3, 5]), ("gCGBD", [7, 4, 3, 5]), ("gCGCD", [7, 5, 2, 5])],
)
def test_strings_are_checked_by_the_frets(tuning: str, frets: list[int]) -> None:
    score = tab(f"Tuning: {tuning}", "0-0-0-0-")
    words = told(part(score, "tune-up"))
    assert [int(f) for f in re.findall(r"at fret (\d+) sounds as", words)] == frets


def test_a_string_that_goes_up_has_a_caution_and_one_that_goes_down_none() -> None:
    up = told(part(tab("Tuning: gCGCD", "0-0-0-0-"), "tune-up"))
    assert "string 4 goes down a tone, from D3 to C3; string 2 goes up a semitone" in up
    assert "can break it" in up
    down = told(part(tab("Tuning: gCGBD", "0-0-0-0-"), "tune-up"))
    assert "can break it" not in down
    usual = told(part(tab("Tuning: gDGBD", "0-0-0-0-"), "tune-up"))
    assert "no string changes" in usual


def tab(heading: str, row: str, measures: int = 2) -> Score:
    """A tab whose first string alone is played."""
    rest = "-" * len(row)
    rows = ("D", row), ("B", rest), ("G", rest), ("D", rest), ("g", rest)
    lines = [name + "|" + f"{cells}|" * measures for name, cells in rows]
    (tune,) = rollstave.read("\n".join([heading, "Time: 4/4", "", *lines, ""]))
    return tune.score


# Chords, changes and the right hand -------------------------------------------------------------


@pytest.mark.parametrize("stem", COUNTED)
def test_changes_as_counted_by_hand(stem: str) -> None:
    found = {f"{c.start.name} {c.end.name}": c.count for c in changes_of(case(stem))}
    assert found == COUNTED[stem]
    counts = [c.count for c in changes_of(case(stem))]
    assert counts == sorted(counts, reverse=True)


def test_a_change_names_the_fingers_that_stay_and_those_that_move() -> None:
    # The low C and F of gCGBD (common practice): string 2, fret 1 is in both.
    made = part(case("lantern-stairs"), "changes")
    first = next(b for b in made.blocks if isinstance(b, Exercise))
    assert first.name == "C to F"
    assert "Finger 1 stays on string 2, fret 1." in first.why
    assert "Finger 3 comes down on string 1, fret 3." in first.why
    shifted = next(b for b in made.blocks if getattr(b, "name", "") == "F at fret 5 to G at fret 7")
    assert isinstance(shifted, Exercise)
    assert "whole hand slides up 2 frets" in shifted.why


@pytest.mark.parametrize("stem", STEMS)
def test_each_change_holds_its_chords(stem: str) -> None:
    """What is struck under a chord's name belongs to the chord, but for the short string."""
    score = case(stem)
    found = [b for b in part(score, "changes").blocks if isinstance(b, Exercise)]
    assert found
    for one in found:
        for measure in one.score.measures:
            (chord,) = measure.chords
            struck = {n.pitch.midi % 12 for e in measure.events for n in e.notes if n.string < 5}
            assert struck <= tones(chord.text), (one.name, chord.text)


def test_the_chart_has_every_measure_in_order() -> None:
    made = part(case("lantern-stairs"), "chords")
    charts = [b for b in made.blocks if isinstance(b, Chart)]
    assert [c.name for c in charts] == ["First strain", "Second strain"]
    # By hand from the tab.
    words = " ".join(bar.chords[0] for chart in charts for bar in chart.bars)
    first = "C C F C C Am G G C C F C F C G7 C"
    assert words == f"{first} C F G C Am F G G C F G C C F G7 C"
    assert [bar.number for chart in charts for bar in chart.bars] == list(range(1, 33))


def test_where_the_thumb_starts_by_hand() -> None:
    found = thumb_starts(case("lantern-stairs"))
    # The first T of each measure of the first strain, read from the rows.
    wanted = [(4, 0), (4, 4), (3, 2), (3, 0), (4, 0), (4, 4), (3, 0), (4, 2)]
    assert [found[i] for i in range(8)] == wanted


def test_the_roll_and_where_it_breaks_off() -> None:
    (roll,) = rolls_of(case("lantern-stairs"))
    assert (roll.name, roll.fingers) == ("paired pattern", "T I T I M I T I")
    assert len(roll.measures) == 28  # 32 measures, of which 8, 16, 24 and 32 end otherwise
    words = told(part(case("lantern-stairs"), "right-hand"))
    assert "28 of the 32 measures" in words
    assert "measures 8, 16, 24 and 32 end on plucks" in words


def test_down_picking_is_called_what_it_is() -> None:
    (roll,) = rolls_of(case("copper-weathervane"))
    assert roll.name == "down-picked pattern"
    assert roll.fingers == "note brush thumb note brush thumb"


def test_open_strings_and_then_the_first_chord() -> None:
    made = part(case("lantern-stairs"), "right-hand")
    opened, held = [b for b in made.blocks if isinstance(b, Exercise)]
    assert {n.fret for m in opened.score.measures for e in m.events for n in e.notes} == {0}
    assert held.name == "The same on C"
    # The low C of gCGBD: string 1 at fret 2, string 2 at fret 1 (common practice).
    frets = {(n.string, n.fret) for m in held.score.measures for e in m.events for n in e.notes}
    assert {(1, 2), (2, 1), (5, 0)} <= frets
    strings = [[n.string for e in m.events for n in e.notes] for m in opened.score.measures]
    assert strings == [[n.string for e in m.events for n in e.notes] for m in held.score.measures]


# Phrases -----------------------------------------------------------------------------------------


def test_phrases_of_four_and_those_that_come_again() -> None:
    score = case("lantern-stairs")
    found = phrases_of(score)
    assert [(p.begin, p.end) for p in found] == [(at, at + 4) for at in range(0, 32, 4)]
    same = {
        p.number: like.like.number
        for n, p in enumerate(found)
        if (like := likeness(score, p, found[:n])) is not None and not like.differs
    }
    assert same == {3: 1, 7: 5}  # by eye, from the tab


@pytest.mark.parametrize("stem", STEMS)
def test_phrases_cover_the_tune_and_keep_to_its_strains(stem: str) -> None:
    score = case(stem)
    found = phrases_of(score)
    assert [p.begin for p in found[1:]] == [p.end for p in found[:-1]]
    assert (found[0].begin, found[-1].end) == (0, len(score.measures))
    full = [sum(m.number > 0 for m in score.measures[p.begin : p.end]) for p in found]
    assert set(full) <= {2, 3, 4}
    sections = {m.index for m in score.measures[2:] if m.section}
    assert sections <= {p.begin for p in found}


PLUCKS = """\
Title: Two Plucks
Time: 4/4

D|-------0-------0-|-------2-------2-|-------0-------0-|-------2-------2-|
B|---0-------0-----|---1-------1-----|---0-------0-----|---1-------1-----|
G|-0-------2-------|-0-------0-------|-0-------2-------|-0-------0-------|
D|-----------------|-----------------|-----------------|-----------------|
g|-----0-------0---|-----0-------0---|-----0-------0---|-----0-------0---|

D|-------0-------0-|-------2-------2-|-------0-------0-|-------0-0---0---|
B|---0-------0-----|---1-------1-----|---0-------0-----|---0-----0---0---|
G|-0-------2-------|-0-------0-------|-0-------{}-------|-0---------------|
D|-----------------|-----------------|-----------------|-----------------|
g|-----0-------0---|-----0-------0---|-----0-------0---|-----0-----------|
"""


def test_a_phrase_like_another_is_told_by_its_difference() -> None:
    (tune,) = rollstave.read(PLUCKS.format(2))
    words = told(part(tune.score, "phrases"))
    assert "As phrase 1, measures 1 to 4, but measure 8 ends on the plucks." in words
    (tune,) = rollstave.read(PLUCKS.format(4))
    words = told(part(tune.score, "phrases"))
    one = "measure 7 has string 3, fret 4 in place of string 3, fret 2"
    assert f"but {one} and measure 8 ends on the plucks." in words


def test_hard_places_have_their_reason() -> None:
    score = case("lantern-stairs")
    found = {(p.begin, p.end): p.reasons for p in hardest(score, rolls_of(score))}
    # The tab climbs from the C at fret 8 to that at fret 12 between measures 28 and 29.
    assert found[27, 29] == ("the hand travels from fret 8 to fret 12",)
    assert len(found) <= 3


# Up the neck -------------------------------------------------------------------------------------


@pytest.mark.parametrize("stem", STEMS)
def test_each_shape_makes_its_chord_on_every_fret_it_is_said_to(stem: str) -> None:
    """By music21: the tones of the chord that is named, and those of the shape moved there."""
    score = case(stem)
    setup = score.setup
    made = 0
    for shape in rollstave.movable_shapes(["C", "F", "Am", "G7"], setup):
        first = shape.positions[0]
        series = fret_by_fret(shape, setup, score)
        at = rollstave.shape_name(first.name, first.frets, setup).fret
        for fret, name in series:
            moved = [f and f + fret - at for f in first.frets]
            assert all(f is None or 1 <= f <= 17 for f in moved)
            struck = {setup.midi(n, f) % 12 for n, f in enumerate(moved, 1) if f is not None}
            assert struck == tones(name), (fret, name)
            made += 1
        frets = [fret for fret, _ in series]
        assert frets == list(range(frets[0], frets[-1] + 1))
    assert made > 20


def test_shapes_go_by_the_trades_names() -> None:
    # Common practice, no source: in gCGBD the bar makes C at fret 5, the shape of the open C makes
    # F at 5, and the F shape makes C at 8.
    made = part(case("lantern-stairs"), "up-the-neck")
    shown = {
        block.name: {s.name: c for s, c in zip(block.shapes, block.captions, strict=True)}
        for block in made.blocks
        if isinstance(block, Shapes)
    }
    assert shown["Bar"]["F"] == "fret 10"
    assert shown["C shape"]["F"] == "fret 5"
    assert shown["F shape"]["C"] == "fret 8"


@pytest.mark.parametrize("stem", ["lantern-stairs", "slate-roof-rain"])
def test_a_phrase_in_another_place_keeps_its_chords_and_its_roll(stem: str) -> None:
    made = part(case(stem), "up-the-neck")
    before, after = [b for b in made.blocks if isinstance(b, Exercise)]
    for old, new in zip(before.score.measures, after.score.measures, strict=True):
        assert [c.text for c in new.chords] == [c.text for c in old.chords]
        assert [e.onset for e in new.events] == [e.onset for e in old.events]
    notes = [[sounds(m) for m in one.score.measures] for one in (before, after)]
    assert notes[0] != notes[1]


# What the teacher typed ---------------------------------------------------------------------------


def test_the_teachers_words_stand_in_the_part_they_speak_of() -> None:
    made = lesson(case("lantern-stairs"))
    of = {
        one.name: {b.text for b in one.blocks if getattr(b, "teacher", False)} for one in made.parts
    }
    hand = "The fingers of the right hand never change: every second note is the index."
    assert hand in of["The right hand"]
    typed = Counter(text for texts in of.values() for text in texts)
    for words in ("Hold each chord", "Same right hand, now climb", "The last note is a pinch"):
        assert sum(count for text, count in typed.items() if words in text) == 1


def test_what_is_worked_out_is_said_to_be() -> None:
    (tune,) = rollstave.read(PLUCKS.format(2))
    made = lesson(tune.score)
    inferred = " ".join(
        b.text for one in made.parts for b in one.blocks if isinstance(b, Words) and b.inferred
    )
    assert "no letters for the fingers; they are worked out" in inferred
    assert "The names are worked out from the notes" in inferred
    assert "Where phrases begin and end is worked out" in inferred


def test_a_title_that_ends_like_a_heading_does_no_harm() -> None:
    (tune,) = rollstave.read(PLUCKS.format(2).replace("Two Plucks", "One Pluck at a Time"))
    made = lesson(tune.score)
    again = rollstave.read(rollstave.write(made, "text")[0].decode())
    assert [one.score.title for one in again] == ["One Pluck at a Time, a lesson"]
    assert str(again[0].score.meter) == "4/4"


@pytest.mark.parametrize(
    ("first", "second", "stays"),
    [
        # By hand, common practice: the C and the Am of gCGBD have strings 1 and 2 in common.
        ((2, 1, 0, 0, 0), (2, 1, 2, 0, 0), {1, 2}),
        # The C and the Am of gDGBD have strings 1, 2 and 4.
        ((2, 1, 0, 2, 0), (2, 1, 2, 2, None), {1, 2, 4}),
        # Am and D7 have strings 2 and 3.
        ((2, 1, 2, 2, None), (4, 1, 2, 0, None), {2, 3}),
        # The C and the Am of a guitar have the first and the middle finger in common.
        ((0, 1, 0, 2, 3, None), (0, 1, 2, 2, 0, None), {2, 4}),
        # An F and a G of one shape have no place in common.
        ((7, 6, 5, 0, 0), (9, 8, 7, None, 0), set()),
    ],
)
def test_a_finger_that_can_stay_stays(
    first: tuple[int | None, ...], second: tuple[int | None, ...], stays: set[int]
) -> None:
    one, other = held_together(first, second)
    kept = {
        string
        for string, (a, b) in enumerate(zip(first, second, strict=True), start=1)
        if a and a == b and one[string - 1] == other[string - 1]
    }
    assert kept == stays
    for frets, fingers in ((first, one), (second, other)):
        assert all(bool(fret) == bool(finger) for fret, finger in zip(frets, fingers, strict=True))
        held = sorted((fret, finger) for fret, finger in zip(frets, fingers, strict=True) if fret)
        assert [f for _, f in held] == sorted(
            f for _, f in held if f
        )  # higher frets, later fingers


def test_another_finger_than_that_of_the_shape_is_told() -> None:
    made = part(case("lantern-stairs"), "changes")
    (found,) = (b for b in made.blocks if isinstance(b, Exercise) and b.name == "C to Am")
    assert "Here C has finger 3 on string 1, fret 2." in found.why
    assert "Finger 3 stays on string 1, fret 2." in found.why
