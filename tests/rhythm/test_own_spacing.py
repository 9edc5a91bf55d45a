"""Measures that are typed in a spacing of their own, so that their notes have room.

Arithmetic on columns; that the end of a strain leaves room for its pickup is common practice, no
source.
"""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from rollstave.grid.typed import Attachment, LineKind
from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.problems import Place, ProblemList
from rollstave.reading.reader import read_grid
from rollstave.rhythm import infer_rhythm
from rollstave.rhythm.evidence import gather
from rollstave.rhythm.meter import parse_meter
from rollstave.rhythm.spacing import squeezed
from tests.rhythm.test_columns import EVEN, read, times, typed

EIGHTHS = ([1, 5, 9, 13, 17, 21, 25, 29], 33)  # four characters each, one before them


@pytest.mark.quick
def test_a_pickup_in_threes_is_as_long_as_the_end_leaves_room_for() -> None:
    """Three even notes, as wide as three eighths; the last measure is a quarter note short."""
    bars = [([1, 5, 9], 13), EIGHTHS, EIGHTHS, EIGHTHS, ([1, 5, 9, 13, 17], 25)]
    first, *inner, last = read(typed(bars, "4/4"), "4/4").measures
    assert (first.onsets, first.length, first.sure) == (times("0 1/3 2/3"), 1, False)
    assert [m.onsets for m in inner] == [EVEN] * 3
    assert last.length == 3


@pytest.mark.quick
def test_a_pickup_as_long_as_the_end_leaves_room_for_stays() -> None:
    bars = [([1, 5, 9], 13), EIGHTHS, EIGHTHS, EIGHTHS, ([1, 5, 9, 13, 17], 21)]
    first, *_, last = read(typed(bars, "4/4"), "4/4").measures
    assert (first.onsets, first.length) == (times("0 1/2 1"), times("3/2")[0])
    assert last.length == times("5/2")[0]


@pytest.mark.quick
def test_a_measure_twice_as_wide_has_room_for_its_shortest_notes() -> None:
    wide = ([1, 13, 15, 17, 25, 33, 41, 49, 57], 65)
    found = read(typed([EIGHTHS, EIGHTHS, wide, EIGHTHS], "4/4"), "4/4").measures
    assert found[2].onsets == times("0 3/4 7/8 1 3/2 2 5/2 3 7/2")
    assert found[2].length == 4


@pytest.mark.quick
def test_numbers_beside_the_systems_are_no_counts() -> None:
    """Who counts begins with 1: a four before the bar line is the number of a measure."""
    grid = read_grid(typed([EIGHTHS] * 4, "4/4"), FIVE_STRING_BANJO, ProblemList())[0].measures
    number = Attachment(kind=LineKind.COUNTS, text="4", position=-1, column=None, place=Place(9, 1))
    numbered = [*grid[:3], replace(grid[3], attachments=(number,))]
    found = infer_rhythm(numbered, parse_meter("4/4")).measures
    assert [m.onsets for m in found] == [EVEN] * 4


def test_a_line_of_counts_without_a_number_is_read() -> None:
    """Arithmetic: nothing is counted, so the columns say it all."""
    grid = read_grid(typed([EIGHTHS] * 4, "4/4"), FIVE_STRING_BANJO, ProblemList())[0].measures
    ands = Attachment(kind=LineKind.COUNTS, text="&", position=2, column=1, place=Place(9, 5))
    beside = [*grid[:3], replace(grid[3], attachments=(ands,))]
    found = infer_rhythm(beside, parse_meter("4/4")).measures
    assert [m.onsets for m in found] == [EVEN] * 4


@pytest.mark.quick
def test_dashes_to_the_next_stop_of_a_tabulator_are_no_time() -> None:
    """Sixteenths of 2/4 side by side, two characters before them and four behind."""
    bars = [([2, 3, 4, 5, 6, 7, 8, 9], 14), ([2, 3, 4, 6, 8], 14), ([2, 4, 5, 6, 7, 8, 9], 14)]
    found = read(typed(bars * 4, "2/4"), "2/4").measures
    meant = [
        times("0 1/4 1/2 3/4 1 5/4 3/2 7/4"),
        times("0 1/4 1/2 1 3/2"),
        times("0 1/2 3/4 1 5/4 3/2 7/4"),
    ]
    assert [m.onsets for m in found] == meant * 4


@pytest.mark.quick
def test_few_measures_with_room_before_their_bars_are_not_sure() -> None:
    found = read(typed([([2, 6, 8], 14)] * 3, "4/4"), "4/4").measures
    assert not any(m.sure for m in found)


@pytest.mark.quick
@pytest.mark.parametrize(("width", "verdict"), [(18, -1), (14, 1)])
def test_two_measures_of_fewer_notes_as_wide_as_all_others_are_typed_in_time(
    width: int, verdict: int
) -> None:
    """Squeezed they are narrower."""
    full = (list(range(2, 18, 2)), 18)
    few = ([2, 4, 6, 8, 10, 14 if width == 18 else 12], width)
    text = typed([few if n in (1, 7) else full for n in range(14)], "2/4")
    (tune,) = read_grid(text, FIVE_STRING_BANJO, ProblemList())
    assert squeezed(gather(tune.measures)) == verdict
