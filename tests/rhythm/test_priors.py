"""What decides where the tab does not: dances, the usual meter, letters, chains that are usual.

Which dance is in which meter is common practice, no source, and as ``deciding/dances.py`` counted
it; a quarter note is 24 ticks.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

import rollstave
from rollstave.deciding.dances import dance_of, prior_of
from rollstave.deciding.tempo import parse_tempo, tempo_mark
from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.problems import ProblemList
from rollstave.reading.reader import read_grid
from rollstave.rhythm import infer_rhythm
from rollstave.rhythm.meter import Meter
from rollstave.rhythm.meters import find_meter
from rollstave.rhythm.usual import is_usual
from tests.rhythm.test_columns import typed
from tests.rhythm.test_meter import measure, rows

# Six notes whose strings come back in twos, as in 3/4, or in threes, as in 6/8 (common practice).
TWOS = measure((3, 1, 3, 1, 3, 1))
THREES = measure((3, 2, 1, 3, 2, 1))
SIX = measure((3, 2, 1, 2, 3, 1))
EIGHT = measure((3, 2, 1, 4, 3, 2, 1, 2))
NINE = measure((3, 2, 1, 2, 3, 1, 3, 2, 1))
TWELVE = measure((3, 2, 1, 2) * 3)


def _meter(title: str, cells: list[str], count: int) -> tuple[str, str]:
    """The meter of a tune of alike measures, and why."""
    (tune,) = rollstave.read(f"Title: {title}\nTuning: open G\n\n{rows(*[cells] * count)}\n")
    (found,) = [f for f in tune.findings if f.subject == "meter"]
    return str(tune.score.meter), found.reason


@pytest.mark.parametrize(
    ("title", "cells", "count", "meter", "plain"),
    [
        # The meter with the name of a dance, and the same tune's without.
        ("Ferry Jig", TWOS, 12, "6/8", "3/4"),
        ("Ferry Waltz", TWOS, 8, "3/4", "6/8"),
        ("Three Waltzes", TWOS, 8, "3/4", "6/8"),
        ("Tin Gate Clog", EIGHT, 8, "2/2", "4/4"),
        ("Tin Gate Strathspey", TWELVE, 6, "4/4", "4/4"),
        ("Slip Jig of the Quay", NINE, 8, "9/8", "9/8"),
        ("Lantern Reel", EIGHT, 8, "2/2", "4/4"),
    ],
)
def test_the_name_of_a_dance_decides_the_meter(
    title: str, cells: list[str], count: int, meter: str, plain: str
) -> None:
    found, reason = _meter(title, cells, count)
    assert found == meter
    assert f"it is called a {dance_of([title])} and the measures" in reason
    found, reason = _meter("Harbour", cells, count)
    assert found == plain
    assert "called" not in reason


def test_a_name_that_does_not_fit_is_no_reason() -> None:
    # Eight notes are no waltz, whatever the title says.
    found, reason = _meter("Ferry Waltz", EIGHT, 8)
    assert found == "4/4"
    assert "called" not in reason


@pytest.mark.xfail(
    strict=True,
    reason="the measures count one by one against what the title says once, though they are alike",
)
def test_a_waltz_of_even_notes_is_in_three_four() -> None:
    assert _meter("Ferry Waltz", SIX, 8)[0] == "3/4"


def test_six_notes_without_a_name_are_told_by_their_strings() -> None:
    assert _meter("Harbour", THREES, 12)[0] == "6/8"
    assert _meter("Harbour", TWOS, 12)[0] == "3/4"


def test_a_few_measures_are_in_the_usual_meter() -> None:
    # What is as long in 2/2 is in 4/4, unless a dance is named that is counted in two (common
    # practice, no source).
    assert _meter("Harbour", TWELVE, 5)[0] == "4/4"
    assert _meter("Harbour", TWELVE, 6)[0] == "4/4"
    # A dance is believed of a short tune too.
    assert _meter("Harbour Reel", TWELVE, 5)[0] == "2/2"


def test_in_a_meter_in_doubt_nothing_is_sure() -> None:
    """Places in a measure of twelve characters that say neither two beats in three nor three in
    two, turn by turn (arithmetic): 3/4 and 6/8 fit nearly alike."""
    bars = [([1, 5, 7, 9, 11], 13), ([1, 3, 5, 7, 11], 13)] * 4
    text = typed(bars, "?").replace("Time: ?\n", "")
    grid = read_grid(text, FIVE_STRING_BANJO, ProblemList())[0]
    found = infer_rhythm(grid.measures, None)
    assert 0.5 < found.meter_confidence < 0.7
    assert not any(m.sure for m in found.measures)


def test_nothing_struck_is_in_four_four() -> None:
    assert find_meter((), ()) == (Meter(4, 4), "nothing is struck", 0.3, False)


@pytest.mark.parametrize(
    ("said", "dance"),
    [
        (("Gull Street",), None),
        (("A Reel",), "reel"),
        (("Reels",), "reel"),
        (("The Galoping Reeler",), None),
        (("A slip jig for two",), "slip jig"),
        (("A jig", "a waltz"), "jig"),
        (("Gull Street", "a waltz"), "waltz"),
        (("typed on March 5",), None),
        (("typed on 5th of March",), None),
        (("typed on 1 March",), None),
        (("The Ferry March",), "march"),
    ],
)
def test_which_dance_words_name(said: tuple[str, ...], dance: str | None) -> None:
    assert dance_of(said) == dance
    prior = prior_of(said)
    assert (prior is None) == (dance is None)
    if prior is not None:
        assert prior.reason == f"it is called a {dance}"
        assert max(prior.counts.values()) >= 4


def _lettered(letters: str) -> str:
    cells = measure((3, 2, 1, 2, 3, 1)[: len(letters)], gap=4)
    # Each letter under the end of its note's room, a measure after the other.
    one = "  " + "   ".join(letters) + "   "
    return f"Title: Harbour\nTuning: open G\n\n{rows(cells, cells, cells)}\n {one * 3}\n"


@pytest.mark.parametrize(
    ("letters", "meter"),
    [("qqq", "3/4"), ("qqqq", "4/4"), ("qq", "2/4"), ("hq", "3/4"), ("hh", "4/4")],
)
def test_duration_letters_add_up_to_the_meter(letters: str, meter: str) -> None:
    (tune,) = rollstave.read(_lettered(letters))
    (found,) = [f for f in tune.findings if f.subject == "meter"]
    assert str(tune.score.meter) == meter
    assert "the duration letters add up to it" in found.reason


@pytest.mark.parametrize(
    ("length", "onsets", "usual"),
    [
        (24, (0, 12), True),
        (24, (0, 6, 12, 18), True),
        (24, (0, 8, 16), True),
        # A quarter and an eighth of a triplet, either way round.
        (24, (0, 16), True),
        (24, (0, 8), True),
        # Sixths of a quarter note come in runs of sixteenth triplets.
        (24, (0, 4, 8, 12, 16, 20), True),
        # Thirds and quarters in one beat are not mixed.
        (24, (0, 6, 16), False),
        # In different beats they may.
        (48, (0, 12, 24, 32, 40), True),
        # 32nd places: for 32nd notes and dotted sixteenths.
        (24, (0, 3, 6, 12), True),
        (24, (0, 9, 12), True),
        (48, (0, 15), False),
        (24, (0, 12, 15, 18), True),
    ],
)
def test_chains_of_onsets_that_are_usual(length: int, onsets: tuple[int, ...], usual: bool) -> None:
    assert is_usual(length, onsets) == usual


FOUR, SIX_EIGHT, CUT = Meter(4, 4), Meter(6, 8), Meter(2, 2)


@pytest.mark.parametrize(
    ("words", "meter", "tempo"),
    [
        ("96", None, 96),
        ("96", FOUR, 96),
        # Without a value the beat of the meter is meant: a dotted quarter, a half.
        ("96", SIX_EIGHT, 144),
        ("60", CUT, 120),
        ("quarter = 96", SIX_EIGHT, 96),
        ("dotted quarter = 60", FOUR, 90),
        ("q. = 60", None, 90),
        ("half note = 50", FOUR, 100),
        ("dotted half = 40", FOUR, 120),
        ("e. = 120", FOUR, 90),
        ("whole = 30", FOUR, 120),
        ("h=50", FOUR, 100),
        ("eighth = 120", FOUR, 60),
        ("1/8 = 120", FOUR, 60),
        ("1/4=112", FOUR, 112),
        ("♩ = 96", FOUR, 96),
        ("♪ = 96", FOUR, 48),
        ("crotchet = 96", FOUR, 96),
        ("quaver = 96", FOUR, 48),
        ("ca. 100 bpm", FOUR, 100),
        ("Lively", FOUR, None),
        # Beyond what a metronome beats.
        ("9", FOUR, None),
        ("10", FOUR, 10),
        ("500", FOUR, 500),
        ("501", FOUR, None),
    ],
)
def test_tempo_in_words(words: str, meter: Meter | None, tempo: int | None) -> None:
    # Arithmetic: a half note is two quarter notes, a dotted one half as long again.
    assert parse_tempo(words, meter) == tempo


@pytest.mark.parametrize(
    ("tempo", "meter", "unit", "number"),
    [
        (Fraction(96), FOUR, 1, 96),
        (Fraction(144), SIX_EIGHT, Fraction(3, 2), 96),
        # 100 quarter notes are no whole number of dotted ones.
        (Fraction(100), SIX_EIGHT, 1, 100),
        (Fraction(120), CUT, 2, 60),
        (Fraction(121), CUT, 1, 121),
        (Fraction(241, 2), FOUR, Fraction(1, 2), 241),
        # No value fits: beats with a fraction.
        (Fraction(301, 3), FOUR, 1, Fraction(301, 3)),
    ],
)
def test_the_mark_of_a_tempo(
    tempo: Fraction, meter: Meter, unit: Fraction, number: Fraction
) -> None:
    assert tempo_mark(tempo, meter) == (unit, number)
