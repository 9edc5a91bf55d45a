"""Each roll of eight (six in three-time), typed in several ways, has the onsets a teacher counts.

Sources: the finger orders of rolls, and that a roll is eight even notes to the measure (eighths
in 4/4, sixteenths in 2/4; six in 3/4): common practice, no source. The onsets are counted by
hand.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.problems import ProblemList
from rollstave.reading.reader import read_grid
from rollstave.rhythm import Meter, RhythmReading, Source, infer_rhythm

# Strings struck, in order, on a fixed hand (thumb 5, 4, 3; index 2; middle 1).
ROLLS = {
    "forward": (3, 2, 1, 5, 2, 1, 5, 1),
    "backward": (1, 2, 5, 1, 2, 5, 1, 5),
    "forward-reverse": (3, 2, 1, 5, 1, 2, 3, 1),
    "alternating thumb": (3, 2, 5, 1, 4, 2, 5, 1),
    "paired": (4, 2, 5, 2, 1, 2, 3, 2),
}
EIGHTHS = tuple(Fraction(n, 2) for n in range(8))
SIXTEENTHS = tuple(Fraction(n, 4) for n in range(8))


def typed(strings: tuple[int, ...], gap: int, lead: int = 1, width: int | None = None) -> list[str]:
    """Five rows of one measure, open strings ``gap`` characters apart."""
    width = width if width is not None else lead + gap * len(strings)
    rows = [["-"] * width for _ in range(5)]
    for index, string in enumerate(strings):
        rows[string - 1][lead + gap * index] = "0"
    return ["".join(row) for row in rows]


def read(measures: list[list[str]], meter: Meter | None, under: str = "") -> RhythmReading:
    rows = ["|" + "|".join(m[row] for m in measures) + "|" for row in range(5)]
    text = "\n".join(rows) + "\n" + under
    (tune,) = read_grid(text, FIVE_STRING_BANJO, ProblemList())
    return infer_rhythm(tune.measures, meter)


@pytest.mark.parametrize("name", ROLLS)
@pytest.mark.parametrize("gap", [2, 3, 4])
def test_a_roll_typed_in_time_is_eight_eighths(name: str, gap: int) -> None:
    reading = read([typed(ROLLS[name], gap)] * 4, Meter(4, 4))
    for measure in reading.measures:
        assert measure.onsets == EIGHTHS
        assert set(measure.durations) == {Fraction(1, 2)}
        assert measure.length == 4
        assert measure.sure


@pytest.mark.parametrize("name", ROLLS)
def test_a_roll_in_two_four_is_eight_sixteenths(name: str) -> None:
    reading = read([typed(ROLLS[name], 2)] * 4, Meter(2, 4))
    assert all(m.onsets == SIXTEENTHS for m in reading.measures)


@pytest.mark.parametrize("name", ROLLS)
def test_the_reason_names_the_roll(name: str) -> None:
    reading = read([typed(ROLLS[name], 2)] * 2, Meter(4, 4))
    wanted = "paired pattern" if name == "paired" else f"{name} roll"
    assert wanted in reading.measures[0].reasons


def test_a_roll_of_six_in_three_four() -> None:
    six = (3, 2, 1, 5, 2, 1)
    reading = read([typed(six, 2)] * 4, Meter(3, 4))
    assert all(m.onsets == EIGHTHS[:6] for m in reading.measures)


def test_a_pinch_after_half_a_roll_is_a_quarter_when_columns_say_so() -> None:
    """Half a roll and two quarter plucks, two characters an eighth: counted by hand."""
    rows = [
        "---------0---0---",
        "---0-----0---0---",
        "-0---------------",
        "-----------------",
        "-----0-0---------",
    ]
    roll = typed(ROLLS["forward"], 2)
    reading = read([roll, roll, roll, rows], Meter(4, 4))
    assert [str(o) for o in reading.measures[3].onsets] == ["0", "1/2", "1", "3/2", "2", "3"]
    assert reading.measures[3].durations[-2:] == (1, 1)


def test_two_digit_frets_that_push_do_not_bend_the_rhythm() -> None:
    """The same roll up the neck: each 10 to 14 takes one more character."""
    plain = typed(ROLLS["alternating thumb"], 2)
    rows = [["-"] * 21 for _ in range(5)]
    at = 1
    for string, fret in zip(
        ROLLS["alternating thumb"], ("12", "13", "0", "14", "12", "13", "0", "0"), strict=True
    ):
        rows[string - 1][at : at + len(fret)] = fret
        at += 1 + len(fret)
    width = at
    pushed = ["".join(row[:width]).ljust(width, "-") for row in rows]
    reading = read([plain, plain, plain, pushed], Meter(4, 4))
    assert reading.measures[3].onsets == EIGHTHS


def test_counts_win_over_columns() -> None:
    rows = typed((3, 2, 1, 5), 2)
    reading = read([rows], Meter(4, 4), under="  1 2 & 3\n")
    assert [str(o) for o in reading.measures[0].onsets] == ["0", "1", "3/2", "2"]
    assert reading.measures[0].source is Source.WRITTEN
    assert reading.measures[0].sure


def test_counts_that_can_be_read_in_two_ways_show_both() -> None:
    """In "1 4 5 &" the & may belong to 5, or to a 6 on which nothing is struck."""
    rows = typed((3, 2, 1, 5), 2)
    measure = read([rows], Meter(6, 8), under="  1 4 5 &\n").measures[0]
    readings = [measure.onsets, *(a.onsets for a in measure.alternatives)]
    assert sorted(float(onsets[3]) for onsets in readings) == [2.25, 2.75]
    assert not measure.sure


def test_duration_letters_win_over_columns() -> None:
    rows = typed((3, 2, 1, 5), 2)
    reading = read([rows], Meter(4, 4), under="  q e e h\n")
    assert [str(o) for o in reading.measures[0].onsets] == ["0", "1", "3/2", "2"]


def test_the_rest_of_the_file_learns_from_what_the_teacher_wrote() -> None:
    """Five squeezed notes are many things; letters under one measure decide its likes."""
    rows = typed((3, 2, 1, 5, 2), 2)
    letters = "  q. e e e q\n"
    plain = read([rows, rows, rows], Meter(4, 4))
    taught = read([rows, rows, rows], Meter(4, 4), under=letters)
    wanted = taught.measures[0].onsets
    assert [str(o) for o in wanted] == ["0", "3/2", "2", "5/2", "3"]
    assert taught.measures[2].onsets == wanted
    assert plain.measures[2].onsets != wanted


def test_measures_add_up_and_are_exact() -> None:
    reading = read([typed(ROLLS["backward"], 2), typed((3, 5, 1, 2, 5), 2)], Meter(4, 4))
    for measure in reading.measures:
        assert sum(measure.durations) + measure.onsets[0] == measure.length
        assert all(isinstance(d, Fraction) for d in measure.durations)
        assert 0 < measure.confidence <= 1
        assert measure.reasons
