"""Duration letters that have drifted from their notes, or are not quite there.

The habits are common practice, no source; what the measures should be is arithmetic on letters.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

import rollstave
from rollstave.grid.letters import letters_to_ticks
from rollstave.rhythm.evidence import TICKS
from tests.rhythm.test_columns import EVEN, read, times, typed

PLACES = [1, 4, 7, 10, 13, 16, 19, 22]


def lettered(bars: list[tuple[list[int], int]], line: str, time: str = "4/4") -> str:
    return typed(bars, time) + line + "\n"


@pytest.mark.quick
@pytest.mark.parametrize("drift", [0, 1, 2])
def test_a_letter_for_each_note_a_little_beside_it(drift: int) -> None:
    bar = "e  " * 7 + "e    "
    found = read(lettered([(PLACES, 25)] * 3, " " * (3 + drift) + bar * 3), "4/4").measures
    assert [m.onsets for m in found] == [EVEN] * 3


@pytest.mark.quick
def test_threes_of_letters_in_the_time_of_two() -> None:
    places = list(range(1, 37, 3))
    text = lettered([(places, 37)] * 2, "   " + ("e  " * 12 + "  ") * 2)
    thirds = times("0 1/3 2/3 1 4/3 5/3 2 7/3 8/3 3 10/3 11/3")
    found = read(text, "4/4").measures
    assert [m.onsets for m in found] == [thirds] * 2
    assert not any(m.sure for m in found)


@pytest.mark.quick
def test_a_three_under_each_note_of_a_triplet() -> None:
    places = [1, 4, 7, 10, 13, 16, 19, 22, 25]
    bar = "3  3  3  " + "e  " * 6 + "  "
    found = read(lettered([(places, 28)] * 2, "   " + bar * 2), "4/4").measures
    assert [m.onsets for m in found] == [times("0 1/3 2/3 1 3/2 2 5/2 3 7/2")] * 2
    assert all(m.sure for m in found)


@pytest.mark.quick
def test_threes_are_as_short_as_their_measure_needs() -> None:
    places = [1, 4, 7, 10, 13, 16, 19, 22]
    bar = "s  s  s  s  e  3  3  3    "
    found = read(lettered([(places, 25)] * 2, "   " + bar * 2, "2/4"), "2/4").measures
    assert [m.onsets for m in found] == [times("0 1/4 1/2 3/4 1 3/2 5/3 11/6")] * 2


@pytest.mark.quick
def test_letters_that_touch_are_letters() -> None:
    places = [1, 3, 4, 5, 7, 9]
    found = read(lettered([(places, 11)] * 2, "   e eee e e   e eee e e", "6/8"), "6/8").measures
    assert [m.onsets for m in found] == [times("0 1/2 1 3/2 2 5/2")] * 2


@pytest.mark.quick
def test_a_letter_too_many_belongs_to_the_measure_before() -> None:
    bars = [([1, 4, 7, 10], 13), ([0, 3, 6, 9], 12)]
    found = read(lettered(bars, "   q  q  q    q  q q  q  q"), "4/4").measures
    assert [m.onsets for m in found] == [times("0 1 2 3")] * 2


@pytest.mark.quick
def test_a_dotted_letter_first_is_no_section() -> None:
    bars = [([1, 7, 10, 13, 16, 19], 22)] * 2
    bar = "E.    S  E  E  E  E     "
    found = read(lettered(bars, "   " + bar * 2, "3/4"), "3/4").measures
    assert [m.onsets for m in found] == [times("0 3/4 1 3/2 2 5/2")] * 2


@pytest.mark.quick
def test_a_number_over_a_system_that_lags_behind_is_no_count() -> None:
    system = typed([([1, 3, 5, 7, 9, 11, 13, 15], 17)] * 5, "4/4")
    rows = "\n".join(system.splitlines()[-5:])
    text = system + f"\n5\n{rows}\n\n9\n{rows}\n"
    found = read(text, "4/4").measures
    assert [m.onsets for m in found] == [EVEN] * 15
    assert not any("counts" in reason for m in found for reason in m.reasons)


FULL = (PLACES, 25)
EIGHTHS = "e  " * 7 + "e    "


@pytest.mark.quick
@pytest.mark.parametrize(
    ("first", "letters", "sure"),
    [
        (([1, 4], 8), "s  s    ", True),
        (([1, 4, 7], 11), "e  e  e    ", False),  # a triplet, and nobody says so
        (([1, 4], 23), "e  e                   ", False),  # there is room for a rest before it
    ],
    ids=["two", "three alike", "as wide as a full measure"],
)
def test_a_pickup_by_its_letters_is_sure_if_they_mean_nothing_else(
    first: tuple[list[int], int], letters: str, sure: bool
) -> None:
    text = lettered([first, FULL, FULL, FULL], "   " + letters + " " + EIGHTHS * 3)
    found = read(text, "4/4").measures
    assert [m.onsets for m in found[1:]] == [EVEN] * 3
    assert found[0].sure is sure


@pytest.mark.quick
@pytest.mark.parametrize(
    ("letters", "sure"),
    [
        ("q  e  e  q", True),  # who means a half types h
        ("q  q  e. s", False),  # five sixteenths have no letter
    ],
)
def test_a_short_last_measure_by_its_letters_is_sure_if_they_mean_nothing_else(
    letters: str, sure: bool
) -> None:
    last = ([1, 4, 7, 10][: len(letters.split())], 14)
    pickup = ([1, 4], 7)  # nothing is written under it
    text = lettered([pickup, FULL, FULL, FULL, last], " " * 11 + EIGHTHS * 3 + letters)
    found = read(text, "4/4").measures
    assert found[0].length + found[4].length == 4
    assert [m.onsets for m in found[1:4]] == [EVEN] * 3
    assert found[4].sure is sure


@pytest.mark.quick
def test_a_pickup_before_a_repeat_sign_is_sure_by_its_letters() -> None:
    rows = typed([([1, 4], 8), FULL, FULL, FULL], "4/4").splitlines()
    text = "\n".join(row[:10] + "|" + row[10:] if row[1:2] == "|" else row for row in rows)
    found = read(f"{text}\n   s  s      {EIGHTHS * 3}\n", "4/4").measures
    assert [m.onsets for m in found] == [times("0 1/4"), *[EVEN] * 3]
    assert found[0].sure


def test_a_short_measure_of_rests_is_as_long_as_its_letters() -> None:
    text = """Tuning: gDGBD
Time: 4/4

D|-0-0-0-0-||---||
B|---------||---||
G|---------||---||
D|---------||---||
g|---------||---||
   q q q q    e
"""
    (tune,) = rollstave.read(text)
    assert [m.length for m in tune.score.measures] == [4, Fraction(1, 2)]
    assert [len(m.events[0].notes) for m in tune.score.measures] == [1, 0]


@pytest.mark.quick
def test_letters_that_may_be_threes_where_a_strain_leaves_room_for_its_pickup_are_not_sure() -> (
    None
):
    # Six eighths and a quarter are four quarters, or three if they are two triplets.
    last = ([1, 4, 7, 10, 13, 16, 19], 22)
    text = lettered([([1, 4], 7), FULL, FULL, last], f"   e  e   {EIGHTHS * 2}e  e  e  e  e  e  q")
    found = read(text, "4/4").measures
    assert found[0].length == 1
    assert not found[3].sure
    without = read(lettered([FULL, FULL, last], f"   {EIGHTHS * 2}e  e  e  e  e  e  q"), "4/4")
    assert without.measures[2].sure


@pytest.mark.quick
@pytest.mark.parametrize(("ends", "sure"), [("q  q  q", True), ("q  q  s", False)])
def test_a_pickup_is_sure_by_its_letters_unless_the_strain_leaves_other_room(
    ends: str, sure: bool
) -> None:
    bars = [([1, 4], 7), FULL, ([1, 4, 7], 10)]
    found = read(lettered(bars, f"   e  e   {EIGHTHS}{ends}"), "4/4").measures
    assert (found[0].length, found[0].sure) == (1, sure)


@pytest.mark.quick
def test_letters_with_dots_that_touch_are_each_a_letter() -> None:
    places = [1, 3, 5, 7, 9, 11, 13, 15]
    found = read(lettered([(places, 17)] * 2, "   " + "e.s e.s e.s e.s   " * 2), "4/4").measures
    assert [m.onsets for m in found] == [times("0 3/4 1 7/4 2 11/4 3 15/4")] * 2


@pytest.mark.quick
@pytest.mark.parametrize(
    ("text", "quarters"),
    [
        # A dot is half of the value more, two are three quarters (common practice); 3 is one of
        # three in the time of two.
        *[("w", "4"), ("h", "2"), ("q", "1"), ("e", "1/2"), ("s", "1/4"), ("t", "1/8")],
        *[("q.", "3/2"), ("h..", "7/2"), ("e3", "1/3"), ("H+e", "5/2"), ("q.+s", "7/4")],
        *[(text, None) for text in ("", "x", "q+", "+q", "q...", "e4", "qe", "h+x")],
    ],
)
def test_a_letter_lasts_as_its_value_does(text: str, quarters: str | None) -> None:
    ticks = letters_to_ticks(text)
    assert ticks == (None if quarters is None else Fraction(quarters) * TICKS)
