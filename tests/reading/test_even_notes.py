"""Words that say how long every note is. Common practice, no source; all tunes are invented."""

from __future__ import annotations

from fractions import Fraction

import pytest

import rollstave
from rollstave.reading.words.evenly import length_told

FOUR = """\
|-0---2---|-0---2---|-3---0---|-0-2-3-0-|
|---3---3-|---3---3-|---3---3-|---------|
|---------|---------|---------|---------|
|---------|---------|---------|---------|
|---------|---------|---------|---------|
"""
SIX = """\
|0-2-3-5-3-2-|0-2-3-5-3-2-|0-2-3-5-3-2-|
|------------|------------|------------|
|------------|------------|------------|
|------------|------------|------------|
|------------|------------|------------|
"""


def _tune(words: str, rows: str = FOUR) -> rollstave.Tune:
    return rollstave.read(f"Title: Reed Gate\nTuning: gDGBD\n\n{words}\n\n{rows}")[0]


@pytest.mark.parametrize(
    ("words", "length"),
    [
        ("every note is a quarter", Fraction(1)),
        ("Slow and round. Each number = one eighth note.", Fraction(1, 2)),
        ("All notes are sixteenths, all of them.", Fraction(1, 4)),
        ("the notes are all quarter notes", Fraction(1)),
        ("each note gets one beat", Fraction(1)),
        ("each note lasts half a beat", Fraction(1, 2)),
        ("eighth notes throughout", Fraction(1, 2)),
        ("Jede Note ist ein Viertel", Fraction(1)),
        ("toutes les notes sont des noires", Fraction(1)),
    ],
)
def test_how_long_every_note_is(words: str, length: Fraction) -> None:
    told = length_told(words)
    assert told is not None
    assert told[0] == length


@pytest.mark.parametrize(
    "words",
    [
        "not every note is a quarter",
        "nearly all notes are eighths",
        "every note is a quarter of the way",
        "each fret is a half step",
        "quarter notes only in the second part",
        "every note is a melody note",
        "swing the eighth notes",
    ],
)
def test_words_that_say_no_such_thing(words: str) -> None:
    assert length_told(words) is None


def test_the_time_that_follows() -> None:
    """By arithmetic: four notes of a quarter make 4/4, four of an eighth 2/4."""
    quarters, eighths = _tune("Every note is a quarter note."), _tune("Each number is an eighth.")
    assert str(quarters.score.meter) == "4/4"
    assert str(eighths.score.meter) == "2/4"
    for tune, length in ((quarters, Fraction(1)), (eighths, Fraction(1, 2))):
        onsets = [event.onset for event in tune.score.measures[0].events]
        assert onsets == [index * length for index in range(4)]


def test_a_named_time_counts() -> None:
    assert str(_tune("Time: 2/4\n\nEvery note is a quarter note.").score.meter) == "2/4"


def test_six_eighths_are_asked_about_unless_they_are_read_so() -> None:
    tune = _tune("each note is an eighth", SIX)
    loud = [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]
    assert str(tune.score.meter) == "6/8" or [p for p in loud if "Time: 6/8" in p.message]
