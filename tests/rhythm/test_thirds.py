"""Triplets typed as three even columns, in the room of the spacing or in another.

That three notes in the time of two are typed as three even columns, or closer than the notes beside
them, is common practice, no source; the rest is arithmetic on columns.
"""

from __future__ import annotations

import pytest

from rollstave.rhythm.choices import of_uneven_width
from rollstave.rhythm.meter import Meter
from rollstave.rhythm.spacing import Spacing
from rollstave.rhythm.timed import TimedMeasure
from tests.rhythm.test_columns import read, times, typed
from tests.rhythm.test_left_hand import tab
from tests.rhythm.test_sure import state_of

THIRDS = times("0 1/3 2/3 1 3/2 2 5/2 3 7/2")


def notes(strings: str, width: int) -> str:
    return " ".join(f"{string}:0{'-' * (width - 1)}" for string in strings)


def measure_with_three(width: int, three: int) -> TimedMeasure:
    """One that begins with three notes of ``three`` characters, among eighths of ``width``."""
    roll = notes("32153215", width)
    triplet = f"{notes('313', three)} {notes('215321', width)}"
    return read(tab(roll, triplet, roll, roll, triplet, *[roll] * 4), "4/4").measures[1]


@pytest.mark.quick
@pytest.mark.parametrize(("width", "three"), [(3, 2), (6, 4)])
def test_three_even_columns_in_the_room_of_two_are_thirds(width: int, three: int) -> None:
    found = measure_with_three(width, three)
    assert (found.onsets, found.sure) == (THIRDS, True)


@pytest.mark.quick
@pytest.mark.parametrize(("width", "three"), [(4, 2), (6, 2), (8, 4)])
def test_three_columns_squeezed_between_wider_ones_are_thirds(width: int, three: int) -> None:
    """The measure is too narrow by what the three do not take. They are not sure."""
    found = measure_with_three(width, three)
    assert (found.onsets, found.length, found.sure) == (THIRDS, 4, False)


@pytest.mark.quick
def test_nine_even_columns_in_a_tune_of_eights_are_not_sure() -> None:
    """Nine eighths, or a triplet in one of four beats: the columns do not say."""
    assert not measure_with_three(4, 4).sure


@pytest.mark.quick
@pytest.mark.parametrize("width", [2, 3, 4])
@pytest.mark.parametrize("early", [1, 2])
def test_bars_that_come_a_sixteenth_early_make_no_thirds(width: int, early: int) -> None:
    """A polka of ``width`` characters a sixteenth, whose last notes lack a sixteenth or half."""
    onsets = ["0 1/2 1 3/2", "0 1/2 3/4 1 3/2", "0 1/4 1/2 1 3/2", "0 1 3/2"] * 3
    missing = width // early
    bars = [
        ([1 + int(4 * width * onset) for onset in times(some)], 1 + 8 * width - missing)
        for some in onsets
    ]
    found = read(typed(bars, "2/4"), "2/4").measures
    assert [m.onsets for m in found] == [times(some) for some in onsets]
    assert {m.length for m in found} == {2}


@pytest.mark.quick
def test_a_tune_all_in_thirds_is_rather_one_with_room_before_its_bars() -> None:
    """Two characters an eighth note and four before each bar line: as wide as six a quarter."""
    onsets = ["0 3/2", "0 1 3/2", "0 1/2 1 3/2"] * 4
    bars = [([2 + int(4 * onset) for onset in times(some)], 14) for some in onsets]
    found = read(typed(bars, "2/4"), "2/4").measures
    assert [m.onsets for m in found] == [times(some) for some in onsets]


@pytest.mark.quick
def test_bars_do_not_come_early_where_no_measure_has_a_short_last_note() -> None:
    """Sixteenths in three, twelve characters a quarter note and four before each bar line: as wide
    as sixteen a quarter, of which four are missing after a note of five 32nds."""
    in_three = times("0 1/6 1/3 1/2 2/3 5/6 1 7/6 4/3 3/2 5/3 11/6")
    mixed = times("0 1/3 1/2 5/6 1 4/3 3/2 11/6")
    bars = [([1 + int(12 * o) for o in some], 29) for some in (in_three, mixed, mixed) * 4]
    found = read(typed(bars, "2/4"), "2/4").measures
    assert [m.onsets for m in found[::3]] == [in_three] * 4


@pytest.mark.quick
@pytest.mark.parametrize("over", [True, False])
@pytest.mark.parametrize("first", [0, 2, 4, 6])
def test_a_lone_3_says_which_notes_are_three_in_the_time_of_two(over: bool, first: int) -> None:
    """Nine notes as close as can be: the columns do not say which; nor is the 3 a count."""
    nine, eight = ([1 + 3 * n for n in range(count)] for count in (9, 8))
    lines = typed([(nine, 28), (eight, 25)] * 3, "4/4").splitlines()
    figure = " " * (2 + nine[first + 1]) + "3"
    lines.insert(-5 if over else len(lines), figure)
    durations = read("\n".join([*lines, ""]), "4/4").measures[0].durations
    (three,) = {*durations[first : first + 3]}
    assert three in times("1/6 1/3 2/3")
    assert sum(durations[:first]) % (3 * three) == 0


@pytest.mark.quick
def test_thirds_that_a_loose_spacing_rounds_are_among_its_readings() -> None:
    """Eight characters a quarter note: two, three and three are a third each."""
    state = state_of(typed([([1, 9, 17, 19, 22, 25], 33)] * 2, "4/4"), Meter(4, 4))
    spacing = Spacing(columns=8, lead=1, spare=0, pushed=False, fit=0.5)
    thirds = (0, 24, 48, 56, 64, 72)
    assert (96, thirds) in of_uneven_width(state.evidence[0], spacing, 96)
