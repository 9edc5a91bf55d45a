"""Notes of the left hand that are typed in the columns of one stroke.

That a hammer-on and a pull-off after a stroke are quick, and that the last note takes what is left
of the stroke's time, is common practice, no source; so is that who counts beats counts what the
right hand strikes. The rest is arithmetic on columns.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.problems import ProblemList
from rollstave.reading.reader import read_grid
from rollstave.rhythm.evidence import gather
from rollstave.rhythm.left_hand import is_quick_start, narrowed
from rollstave.rhythm.spacing import Spacing
from tests.rhythm.test_columns import read, times

STRESS = Path(__file__).parents[1] / "writing" / "stress" / "left-hand.txt"
ROLL = "3:0- 2:0- 1:0- 5:0- 3:0- 2:0- 1:0- 5:0-"


def tab(*measures: str, counts: str = "") -> str:
    """A tab in 4/4: each measure is a dash and groups of a string and what stands on it."""
    rows = ["D|", "B|", "G|", "D|", "g|"]
    for measure in measures:
        for group in ("0:-", *measure.split()):
            string, typed = group.split(":")
            for row in range(5):
                rows[row] += typed if row == int(string) - 1 else "-" * len(typed)
        rows = [row + "|" for row in rows]
    below = "  " + " ".join([counts] * len(measures)) + "\n" if counts else ""
    return "Title: X\nTuning: gDGBD\nTime: 4/4\n\n" + "\n".join(rows) + "\n" + below


def first_beat(text: str, measure: int = 0) -> tuple[Fraction, ...]:
    return tuple(o for o in read(text, "4/4").measures[measure].onsets if o < 1)


QUICK = times("0 1/4 1/2")


@pytest.mark.quick
def test_the_last_note_of_a_run_takes_the_rest_where_halves_are_counted_too() -> None:
    """ "2h3p2---" between the counts 1 and 2, in a tune that counts "&"."""
    assert [first_beat(STRESS.read_text("utf-8"), n) for n in (1, 5)] == [QUICK, QUICK]


@pytest.mark.quick
@pytest.mark.parametrize("last", ["2h3p2---", "2h3p2-"])
def test_a_run_between_two_counts(last: str) -> None:
    rest = " " * (len(last) - 1)
    text = tab(*[f"3:{last} 2:1- 5:0- 3:2- 1:0- 3:0- 5:0-"] * 4, counts=f" 1{rest}2 & 3 & 4 & ")
    assert [first_beat(text, n) for n in range(4)] == [QUICK] * 4


@pytest.mark.quick
def test_columns_between_two_counts_say_which_note_is_long() -> None:
    """As wide as the eighth notes beside it, a hammered note is one."""
    text = tab(*["3:2h3- 2:1- 5:0- 3:2p0- 1:0- 3:0- 5:0-"] * 4, counts=" 1   2 & 3   & 4 & ")
    assert first_beat(text) == times("0 1/2")
    quick_last = "3:0---2h3- 2:1- 5:0- 3:2- 1:0- 3:0- 5:0-"
    text = tab(*[quick_last] * 4, counts=" 1       2 & 3 & 4 & ")
    assert first_beat(text) == times("0 1/2 3/4")


@pytest.mark.quick
def test_who_counts_notes_of_the_left_hand_leaves_none_out_on_a_count() -> None:
    """Where "&" is counted under a hammered note, one without a count is rather no "&"."""
    rest = "2:1- 5:0- 3:2- 1:0- 3:0- 5:0-"
    open_one, line = f"3:2---h4- {rest}", " 1      2 & 3 & 4 & "
    lines = {f"3:0-h2- {rest}": " 1  & 2 & 3 & 4 & ", f"3:0h2--- {rest}": " 1     2 & 3 & 4 & "}
    odds = []
    for other, counts in lines.items():
        text = tab(*[other, open_one] * 2) + f"  {counts} {line} {counts} {line}\n"
        found = read(text, "4/4").measures[1]
        readings = [(found.onsets, found.confidence)]
        readings += [(a.onsets, a.probability) for a in found.alternatives]
        odds.append(dict(readings).get(times("0 1/2 1 3/2 2 5/2 3 7/2"), 0.0))
    assert odds[0] < 0.9 < odds[1]


@pytest.mark.quick
def test_a_run_that_makes_its_measure_too_wide_shares_the_time_that_is_left() -> None:
    """A beat of four columns in which "2h3p2---" takes eight."""
    wide = "3:2h3p2--- 3:0- 2:0- 3:0- 2:0- 1:0- 5:0-"
    found = read(tab(ROLL, wide, ROLL, ROLL, ROLL, wide, ROLL, ROLL), "4/4").measures
    for index in (1, 5):
        assert found[index].onsets == times("0 1/4 1/2 1 3/2 2 5/2 3 7/2")
        assert (found[index].length, found[index].sure) == (4, False)


@pytest.mark.quick
def test_a_run_in_the_columns_of_its_tune_is_what_they_say() -> None:
    """Eight columns a beat: the run is two sixteenths and an eighth, to the letter."""
    eighths = ROLL.replace("0-", "0---")
    run = "3:2h3p2--- " + " ".join(eighths.split()[2:])
    even = "3:2-h-3--- " + " ".join(eighths.split()[2:])
    text = tab(eighths, run, eighths, even, eighths, eighths)
    assert first_beat(text, 1) == QUICK
    assert first_beat(text, 3) == times("0 1/2")


@pytest.mark.quick
def test_a_sign_that_takes_all_the_room_before_the_bar_line_explains_nothing() -> None:
    """Three notes and a spare character that is not there: no note begins after its measure."""
    text = tab(ROLL, "3:2-h-3-p-2------- 2:0-", ROLL, ROLL)
    [*_, evidence] = gather(read_grid(text, FIVE_STRING_BANJO, ProblemList())[0].measures)[:2]
    spacing = Spacing(columns=4, lead=1, spare=4, pushed=False, fit=1.0)
    assert narrowed(evidence, spacing, 36) is None


@pytest.mark.quick
@pytest.mark.parametrize(("pickup", "quick"), [("-0h2-----", True), ("-0---2---", False)])
def test_a_slide_into_the_first_note_is_not_sure(pickup: str, quick: bool) -> None:
    """Players do it in a third of the time or in less, and a sign alone leaves no column for it."""
    roll = ROLL.replace("0-", "0---")
    rest = tab(roll, roll, roll, roll.removesuffix(" 1:0--- 5:0---")).split("\n")
    rows = [index for index, line in enumerate(rest) if "|" in line]
    for row in rows:
        typed = pickup if row == rows[2] else "---------"
        rest[row] = f"{rest[row][:2]}{typed}{rest[row][1:]}"
    text = "\n".join(rest)
    evidence, *_ = gather(read_grid(text, FIVE_STRING_BANJO, ProblemList())[0].measures)
    assert is_quick_start(evidence, 12, 96) is quick
    assert not is_quick_start(evidence, 96, 96)
    first, second, *_ = read(text, "4/4").measures
    assert first.length == 1
    assert (first.sure, second.sure) == (not quick, True)


@pytest.mark.quick
def test_a_note_of_the_left_hand_in_a_roll_halves_the_one_before_it() -> None:
    """In "1 & a" without an "e" anywhere, which would be thirds in a melody."""
    plain, filled = (f"3:0- 2:{second}- 5:0- 1:0- 3:2- 2:1- 5:0- 1:0-" for second in ("0", "2h3"))
    counts = " 1 & 2 & 3 & 4 & ", " 1 & a 2 & 3 & 4 & "
    text = tab(*[plain, filled] * 4) + "  " + " ".join(counts * 4) + "\n"
    assert [first_beat(text, n) for n in (1, 3, 5)] == [times("0 1/2 3/4")] * 3
