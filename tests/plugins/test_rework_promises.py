"""What holds for every tune that is reworked, on the samples and a few generated tunes; the same
for a thousand is a benchmark, ``tests.benchmarks.arranging.properties``."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

import rollstave
from rollstave import Event, Score
from rollstave_arranging import made_easier, moved_up, retuned, transposed
from tests.amount import some
from tests.benchmarks.arranging.measures import frets, unplayable
from tests.benchmarks.arranging.tunes import score_of
from tests.tunes import SAMPLES, case

TUNES = [path.stem for path in SAMPLES] + [f"generated {n}" for n in range(some(4, 40))]


def tune_of(name: str) -> Score:
    return score_of(int(name.split()[1])) if name.startswith("generated") else case(name)


@pytest.mark.parametrize("name", TUNES)
def test_by_no_semitone_a_tune_stays_as_it_is(name: str) -> None:
    score = tune_of(name)
    assert transposed(score, semitones=0).score == score


@pytest.mark.parametrize("name", TUNES)
def test_nothing_is_written_that_no_hand_can_play(name: str) -> None:
    score = tune_of(name)
    known = unplayable(score)
    versions = [
        retuned(score, "gCGBD"),
        transposed(score, semitones=2),
        made_easier(score, 2),
        made_easier(score, 3),
    ]
    try:
        versions.append(moved_up(score, "climb"))
    except rollstave.TabError as error:  # nobody named chords, and much of a made tune is none
        if "no chords" not in error.problems[0].message:
            raise
    for made in versions:
        assert [said for said in unplayable(made.score) if said not in known] == []


ROLL = """Tuning: gDGBD
Time: 4/4

D|-------0-------0-|
B|---0-------0-----|
G|-0-------0-------|
D|-----------------|
g|-----0-------0---|
"""


def test_the_fingers_of_a_roll_are_written_where_its_strings_change() -> None:
    """In aDADE the pitches of strings 1 to 3 lie one string further in; the roll is the same."""
    (tune,) = rollstave.read(ROLL)
    there = retuned(tune.score, "aDADE").score

    def letters(score: Score) -> list[str]:
        return [
            n.finger.value for m in score.measures for e in m.events for n in e.notes if n.finger
        ]

    assert letters(there) == letters(tune.score) == list("TITMTITM")
    inner = [n for e in there.measures[0].events for n in e.notes if n.string != 5]
    assert not any(n.inferred_finger for n in inner)


def test_there_and_back_the_tab_is_the_same_where_strings_are_tuned_down() -> None:
    (tune,) = rollstave.read(ROLL)
    there = retuned(tune.score, "gCGBD").score
    back = retuned(there, "gDGBD").score
    assert [frets(m) for m in back.measures] == [frets(m) for m in tune.score.measures]


def through_text(score: Score) -> Score:
    (tune,) = rollstave.read(rollstave.write(score, "text")[0])
    return tune.score


@pytest.mark.parametrize("tuning", ["gCGBD", "gDGCD", "gCGCD", "aDADE", "gDGBbD"])
def test_a_text_that_says_where_it_is_from_finds_its_way_back(tuning: str) -> None:
    """In aDADE the G of string 3 lies on string 4 alone, where it would stay on the way back."""
    (tune,) = rollstave.read(ROLL)
    there = through_text(retuned(tune.score, tuning).score)
    back = retuned(there, "gDGBD").score
    assert [frets(m) for m in back.measures] == [frets(m) for m in tune.score.measures]


def test_an_octave_is_named_with_its_measures_and_undone() -> None:
    """C3 is below every string of open G (by arithmetic), so it sounds as C4, and is C3 again."""
    low = ROLL.replace("gDGBD", "gCGBD").replace("D|-----------------|", "C|-------------0---|")
    low = low.replace("G|-0-------0-------|", "G|-0---------------|")
    (tune,) = rollstave.read(low)
    assert any(n.pitch.midi == 48 for e in tune.score.measures[0].events for n in e.notes)
    there = retuned(tune.score, "gDGBD")
    assert there.says.endswith(
        "at the same pitches but for C3 an octave up (measure 1), from gCGBD"
    )
    back = retuned(through_text(there.score), "gCGBD").score
    assert [frets(m) for m in back.measures] == [frets(m) for m in tune.score.measures]


BY_TURNS = """Tuning: f#DF#AD
Time: 4/4

D|-------0-------0-|
A|-----0-------0---|
F#|---0-------0-----|
D|-4-------4-------|
f#|-----------------|
"""


@pytest.mark.parametrize("tuning", ["gCGCD", "gDGBD", "aDADE"])
def test_where_two_places_become_one_the_words_say_on_which_string_a_note_lay(tuning: str) -> None:
    """F#3 is fret 4 of the D of string 4, and string 3 open (by arithmetic); the other tunings have
    it on string 4 alone."""
    (tune,) = rollstave.read(BY_TURNS)
    f_sharp = [
        n.string for e in tune.score.measures[0].events for n in e.notes if n.pitch.midi == 54
    ]
    assert f_sharp == [4, 3, 4, 3]
    there = retuned(tune.score, tuning)
    assert "from f#DF#AD, where F#3 lay on strings 4, 3, 4, 3 (measure 1)" in there.says
    back = retuned(through_text(there.score), "f#DF#AD").score
    assert [frets(m) for m in back.measures] == [frets(m) for m in tune.score.measures]


@pytest.mark.parametrize("number", range(some(10, 60)))
def test_there_and_back_through_text_every_note_that_stayed_is_where_it_was(number: int) -> None:
    old = score_of(number)
    for tuning in ("gCGCD", "aDADE"):
        there = retuned(old, tuning)
        if any("left out" in told.message for told in there.changes) or not there.says:
            continue
        back = retuned(through_text(there.score), old.setup.tuning.written).score
        places = [
            [[(n.string, n.fret) for e in m.events for n in e.notes] for m in score.measures]
            for score in (old, back)
        ]
        assert places[0] == places[1]


def test_without_such_words_what_lies_on_a_string_that_stays_stays() -> None:
    (tune,) = rollstave.read(ROLL)
    there = retuned(tune.score, "aDADE").score
    plain = replace(there, notes=())
    for before, after in zip(plain.measures, retuned(plain, "gDGBD").score.measures, strict=True):
        for was, now in zip(before.events, after.events, strict=True):
            assert on_string_4(was) == on_string_4(now)


def on_string_4(event: Event) -> list[int | None]:
    return [n.fret for n in event.notes if n.string == 4]


def test_the_words_stand_once() -> None:
    (tune,) = rollstave.read(ROLL)
    made = rollstave.rework(tune, "tuning", tuning="gCGBD")
    assert made.score.notes[0].count("Reworked from") == 1
    assert made.score.notes[0].count("at the same pitches") == 1
