"""How a lesson says things: measures, lists, numbers, cautions, what is left out.

The sentences are ours; what they are to say of a shape, a string or a roll was counted by hand.
"""

from __future__ import annotations

import re

import pytest

import rollstave
from rollstave import Exercise, NamedShape
from rollstave_teaching import drill, lesson
from rollstave_teaching.fingers import fingers_in
from rollstave_teaching.hand import rolls_of
from rollstave_teaching.held import called, stretch, stretches
from rollstave_teaching.phrases import phrases_of
from rollstave_teaching.wording import capital, in_words, listed, numbered, place, sentence, times
from tests.plugins.teaching import part, told
from tests.tunes import case


@pytest.mark.parametrize(
    ("numbers", "said"),
    [
        ([8], "measure 8"),
        ([8, 16, 24], "measures 8, 16 and 24"),
        ([1, 2], "measures 1 and 2"),
        ([1, 2, 3, 4], "measures 1 to 4"),
        ([4, 2, 3, 3, 9], "measures 2 to 4 and 9"),
        ([0], "the pickup"),
        ([0, 1, 2, 3], "the pickup and measures 1 to 3"),
        ([], ""),
    ],
)
def test_measures_are_numbered_as_a_teacher_says_them(numbers: list[int], said: str) -> None:
    assert numbered(numbers) == said


def test_lists_places_and_numbers() -> None:
    assert listed([]) == ""
    assert listed(["C"]) == "C"
    assert listed(["C", "F", "G"]) == "C, F and G"
    assert listed(["C", "F"], "then") == "C then F"
    assert (place(4, 2), place(4, 0), place(4, None)) == (
        *("string 4, fret 2", "string 4 open", "string 4 open"),
    )
    assert [times(n) for n in (1, 2, 3, 10, 11)] == [
        *("once", "twice", "three times", "ten times", "11 times")
    ]
    assert (in_words(0), in_words(10), in_words(11)) == ("no", "ten", "11")
    assert (capital("here D has"), capital("")) == ("Here D has", "")
    assert (sentence("stay there"), sentence("Where to?")) == ("Stay there.", "Where to?")


# Cautions -----------------------------------------------------------------------------------------


def test_a_shape_over_four_low_frets_is_a_stretch() -> None:
    # String 1 first: 1 to 4 is four frets; 1 to 3 is three; 9 to 12 lies high, where frets are
    # narrow.
    wide, near = NamedShape("G7", (4, 0, 0, 1)), NamedShape("C", (3, 1, 0, 2))
    high, open_ = NamedShape("Am", (12, 10, 9, None)), NamedShape("G", (0, 0, 0, 0))
    assert [stretch(shape) for shape in (wide, near, high, open_)] == [4, 0, 0, 0]
    assert stretches([near, high, open_]) == ""
    assert "G7 stretches over four frets low on the neck" in stretches([near, wide])
    assert "if it hurts, leave it" in stretches([wide])
    both = stretches([wide, NamedShape("E", (5, 2, 2, 2)), wide])
    assert both.startswith("G7 and E stretch over four frets")
    assert "if they hurt, leave them" in both
    wider = NamedShape("B7", (5, 0, 0, 1))  # 1 to 5 is five frets
    assert stretches([wider]).startswith("B7 stretches over five frets")
    assert stretches([wider, wide]).startswith("B7 and G7 stretch over four frets or more")


def test_a_lesson_warns_of_a_stretch_where_there_is_one() -> None:
    """The D7 of Quince Orchard Waltz has frets 1, 2 and 4; no chord of Nettle Hill reaches over
    four frets below fret 6."""
    assert "D7 stretches over four frets" in told(part(case("quince-orchard-waltz"), "chords"))
    assert "lie far apart" not in told(part(case("nettle-hill"), "chords"))


def test_a_drill_warns_of_a_stretch_where_there_is_one() -> None:
    assert "D7 stretches over four frets" in told(drill(("chords", "G", "D7"), tuning="gDGBD"))
    assert "lie far apart" not in told(drill(("chords", "C", "F"), tuning="gCGBD"))


@pytest.mark.parametrize(
    ("tuning", "way", "warned"),
    # Intervals from gDGBD by counting semitones.
    [
        ("gDGCD", "string 2 goes up a semitone, from B3 to C4", True),
        ("gCGCE", "string 1 goes up a tone, from D4 to E4", True),
        ("gDGBbD", "string 2 goes down a semitone, from B3 to Bb3", False),
        ("f#DF#AD", "string 5 goes down a semitone, from G4 to F#4", False),
        ("aDF#AD", "string 5 goes up a tone, from G4 to A4", True),
    ],
)
def test_a_string_that_goes_up_is_warned_of(tuning: str, way: str, warned: bool) -> None:
    row = "|" + "-0---0---0---0---|" * 2
    rest = "|" + "-" * 16 + "|" + "-" * 16 + "|"
    (tune,) = rollstave.read("\n".join([f"Tuning: {tuning}", "Time: 4/4", "", row, *[rest] * 4]))
    words = told(part(tune.score, "tune-up"))
    assert way in words
    assert ("can break it" in words) is warned


# The right hand -----------------------------------------------------------------------------------


def test_what_is_alike_all_through_is_said_once() -> None:
    """Strings without letters, on an instrument that has no fixed hand; four of the same."""
    chords = ("E|-0---0---0---0---|", "A|-3---3---3---3---|", "D|-2---2---2---2---|")
    head = "Title: Even\nInstrument: mandolin\nTime: 4/4\n"
    rows = [*(row + row[2:] for row in chords), "G|" + ("-" * 16 + "|") * 2]
    (tune,) = rollstave.read("\n".join([head, *rows, ""]))
    (roll,) = rolls_of(tune.score)
    assert roll.told in ("strings brush, four times", "brush, four times")
    words = told(part(tune.score, "right-hand"))
    assert "four times in every measure" in words


def test_a_roll_that_has_a_name_goes_by_it() -> None:
    assert [roll.called for roll in rolls_of(case("ferry-landing"))][:3] == [
        *("Alternating thumb roll", "Backward roll", "The pattern T I T M I T M")
    ]


def test_a_shape_up_the_neck_has_its_fret() -> None:
    assert called(NamedShape("C", (2, 1, 0, 0))) == "C"
    assert called(NamedShape("C", (10, 8, 9, None))) == "C at fret 8"


@pytest.mark.parametrize(
    ("first", "second", "said"),
    [
        ((0, 0, 0, 0, 0), (0, 0, 0, 0, 0), "Both are open: nothing to do for the left hand."),
        ((2, 1, 0, 2, 0), (0, 0, 0, 0, 0), "All fingers lift: the chord is open."),
        ((0, 0, 0, 0, 0), (0, 1, 0, 2, 0), "From open strings all come down: finger 1 on string"),
        ((5, 5, 5, None, 0), (7, 7, 7, None, 0), "The whole hand slides up 2 frets; no finger"),
        ((7, 7, 7, None, 0), (6, 6, 6, None, 0), "The whole hand slides down 1 fret; no finger"),
    ],
)
def test_changes_in_words(
    first: tuple[int | None, ...], second: tuple[int | None, ...], said: str
) -> None:
    assert fingers_in(NamedShape("A", first), NamedShape("B", second)).startswith(said)


@pytest.mark.parametrize(
    ("first", "second", "said"),
    [
        (0, 0, "Both are open: nothing to do for the left hand."),
        (0, 7, "The left thumb comes down on string 5, fret 7."),
        (7, 9, "The left thumb slides on string 5 from fret 7 to 9."),
        (7, 7, "The left thumb stays on string 5, fret 7."),
        (7, 0, "The left thumb lifts from string 5."),
    ],
)
def test_the_thumb_stops_the_short_string(first: int, second: int, said: str) -> None:
    """Common practice, no source: no finger reaches over the neck to it."""
    start, end = (NamedShape("A", (0, 0, 0, 0, fret)) for fret in (first, second))
    assert fingers_in(start, end, 5) == said


# What is left out, and what comes again -----------------------------------------------------------


def test_parts_that_are_left_out_are_told_with_the_reason() -> None:
    row = "|-0---2---4---5---|-4-------0-------|"
    rest = "|" + "-" * 16 + "|" + "-" * 16 + "|"
    (tune,) = rollstave.read("\n".join(["Title: Alone", "Time: 4/4", "", row, *[rest] * 4, ""]))
    words = told(lesson(tune))
    assert words.startswith("Left out, since the tab says nothing for it: ")
    assert "the chords (no chord is named, and the notes tell none)" in words
    assert "up the neck (" in words


def test_phrases_that_come_again_one_after_the_other_are_told_at_once() -> None:
    """A strain of sixteen measures typed out twice: by eye, all its phrases are the same again."""
    text = (rollstave.write(case("lantern-stairs"), "text")[0]).decode()
    (tune,) = rollstave.read(text)
    twice = [*tune.score.measures[:16], *tune.score.measures[:16]]
    from msgspec.structs import replace

    numbered_again = tuple(
        replace(m, index=n, number=n + 1, section=("One", "Two")[n // 16] if n % 16 == 0 else None)
        for n, m in enumerate(twice)
    )
    score = replace(tune.score, measures=numbered_again, notes=(), note_measures=())
    assert len(phrases_of(score)) == 8
    words = told(part(score, "phrases"))
    assert "Phrases 5 to 8, measures 17 to 32: the same as phrases 1 to 4, measures 1 to 16." in (
        words
    )


def test_each_exercise_of_a_lesson_has_a_name_of_its_own() -> None:
    made = lesson(case("slate-roof-rain"))
    names = [
        block.name
        for one in made.parts
        for block in one.blocks
        if isinstance(block, Exercise) and not block.name.startswith("The same on")
    ]
    assert len(names) == len(set(names))
    assert not [name for name in names if re.search(r"  |^$|[.,;:]$", name)]
