"""Columns that say their rhythm to the letter, under the habits of several typists.

The measures are typed here by a rule that each test names; what they should be read as is
arithmetic on that rule. The habits themselves are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import pytest

from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.problems import ProblemList
from rollstave.reading.reader import read_grid
from rollstave.rhythm import infer_rhythm
from rollstave.rhythm.meter import parse_meter
from rollstave.rhythm.timed import RhythmReading

LABELS = "dBGDg"


def times(text: str) -> tuple[Fraction, ...]:
    return tuple(Fraction(word) for word in text.split())


def typed(bars: Sequence[tuple[Sequence[int], int]], time: str, between: str = "|") -> str:
    """A tab of measures, each given by the characters at which it strikes and its width."""
    rows = [f"{label}|" for label in LABELS]
    for number, (places, width) in enumerate(bars):
        cells = [["-"] * width for _ in range(5)]
        for index, place in enumerate(places):
            cells[(index * 3 + number) % 4][place] = str((index + number) % 5)
        rows = [row + "".join(cell) + between for row, cell in zip(rows, cells, strict=True)]
    return "\n".join((f"Title: Ferry lane\nTuning: gDGBD\nTime: {time}\n", *rows)) + "\n"


def read(text: str, time: str) -> RhythmReading:
    tunes = read_grid(text, FIVE_STRING_BANJO, ProblemList())
    return infer_rhythm(tunes[0].measures, parse_meter(time))


EVEN = times("0 1/2 1 3/2 2 5/2 3 7/2")
HALF = times("0 1 2 5/2 3 7/2")
SYNCOPATED = times("0 3/4 3/2 7/4 2 11/4 3 15/4")
DOTTED = times("0 1/2 1 3/2 2 11/4 3 15/4")


@pytest.mark.quick
@pytest.mark.parametrize(("before", "after"), [(2, 0), (0, 2), (1, 1), (2, 2), (0, 3)])
def test_an_exact_measure_is_what_it_says_whatever_is_usual(before: int, after: int) -> None:
    bars = [EVEN, HALF, SYNCOPATED, EVEN, EVEN, HALF, SYNCOPATED, EVEN, DOTTED, HALF, EVEN, EVEN]
    text = typed([([before + int(o * 8) for o in bar], before + 32 + after) for bar in bars], "2/2")
    assert [m.onsets for m in read(text, "2/2").measures] == bars


@pytest.mark.quick
def test_triplets_that_the_spacing_cannot_show_are_rounded_down() -> None:
    triplet = times("0 1 4/3 5/3 2 5/2 3 7/2")
    bars = [EVEN, HALF, triplet, EVEN, HALF, EVEN, triplet, HALF]
    text = typed([([1 + int(o * 8) for o in bar], 33) for bar in bars], "4/4")
    found = read(text, "4/4").measures
    assert [m.onsets for m in found] == bars
    assert found[2].sure


@pytest.mark.quick
def test_a_busy_measure_may_be_spread_alone() -> None:
    busy = times("0 1/4 1/2 3/4 1 3/2 2 5/2 3 7/2")
    bars = [EVEN, HALF, busy, EVEN, HALF, EVEN, EVEN, HALF]
    text = typed(
        [
            ([1 + int(o * (8 if bar is busy else 4)) for o in bar], 33 if bar is busy else 17)
            for bar in bars
        ],
        "4/4",
    )
    assert [m.onsets for m in read(text, "4/4").measures] == bars


@pytest.mark.quick
def test_a_measure_with_six_quarters_is_not_taken_for_one_that_is_spread() -> None:
    crooked = times("0 1/2 1 3/2 2 5/2 3 4 5")
    bars = [EVEN, HALF, crooked, EVEN, HALF, EVEN, crooked, HALF]
    text = typed(
        [([1 + int(o * 4) for o in bar], 25 if bar is crooked else 17) for bar in bars], "4/4"
    )
    found = read(text, "4/4").measures
    assert [m.onsets for m in found] == bars
    assert [m.length for m in found] == [6 if bar is crooked else 4 for bar in bars]


@pytest.mark.quick
def test_measures_that_strike_the_same_may_be_typed_as_two_rhythms() -> None:
    """The same strings and frets, once with the long note last and once first: each is read as
    it is typed."""
    long = times("0 1/2 1 3/2 2 5/2 3")
    short = times("0 1 3/2 2 5/2 3 7/2")
    rows = [f"{label}|" for label in LABELS]
    for bar in (long, short) * 6:
        cells = [["-"] * 33 for _ in range(5)]
        for index, onset in enumerate(bar):
            cells[(0, 2, 1, 0, 3, 1, 0)[index]][1 + int(onset * 8)] = "0"
        rows = [row + "".join(cell) + "|" for row, cell in zip(rows, cells, strict=True)]
    text = "\n".join(("Title: Ferry lane\nTuning: gDGBD\nTime: 4/4\n", *rows)) + "\n"
    assert [m.onsets for m in read(text, "4/4").measures] == [long, short] * 6


@pytest.mark.quick
def test_a_measure_that_is_set_tighter_keeps_its_rhythm() -> None:
    bars = [EVEN, HALF, SYNCOPATED, EVEN, HALF, EVEN, EVEN, HALF]
    tight = times("0 3/2 2 5/2 3 7/2")
    text = typed(
        [([1 + int(o * 8) for o in bar], 33) for bar in bars]
        + [([1 + int(o * 7) for o in tight], 29)]
        + [([1 + int(o * 8) for o in bar], 33) for bar in bars],
        "4/4",
    )
    assert read(text, "4/4").measures[8].onsets == tight


@pytest.mark.quick
def test_what_may_be_a_rounded_triplet_is_not_sure_unless_sixteenths_are_meant() -> None:
    rounded = times("0 1/4 1/2 1 3/2 2 5/2 3 7/2")
    dotted = times("0 3/4 1 3/2 2 11/4 3 7/2")

    def sure(other: tuple[Fraction, ...]) -> bool:
        bars = [EVEN, HALF, rounded, other, EVEN, HALF, other, EVEN]
        text = typed([([1 + int(o * 4) for o in bar], 17) for bar in bars], "4/4")
        return read(text, "4/4").measures[2].sure

    assert sure(dotted)
    assert not sure(HALF)


@pytest.mark.quick
def test_a_pickup_that_no_strain_leaves_room_for_is_not_sure() -> None:
    bars = [([1, 4], 7), *[([1 + int(o * 4) for o in bar], 17) for bar in [EVEN, HALF] * 3]]
    found = read(typed(bars, "4/4"), "4/4").measures
    assert not found[0].sure
    assert all(m.sure for m in found[1:-1])


@pytest.mark.quick
def test_a_crooked_measure_that_comes_again_is_sure() -> None:
    six = times("0 1/2 1 3/2 2 5/2 3 4 5 11/2")
    strain = [(EVEN, 4), (HALF, 4), (EVEN, 4), (HALF, 4), (six, 6), (HALF, 4), *[(EVEN, 4)] * 8]

    def found(bars: list[tuple[tuple[Fraction, ...], int]]) -> list[tuple[Fraction, bool]]:
        text = typed([([1 + int(o * 4) for o in b], 1 + 4 * n) for b, n in bars], "4/4")
        return [(m.length, m.sure) for m in read(text, "4/4").measures]

    assert found(strain)[4] == (6, False)
    twice = found(strain * 2)
    assert (twice[4], twice[18]) == ((6, True), (6, True))


@pytest.mark.quick
def test_rows_without_labels_whose_first_two_are_empty_are_no_table() -> None:
    system = """\
|--------|--------|
|--------|--------|
|-0---0--|-0---0--|
|---2---2|---2---2|
|--------|--------|
"""
    found = read(f"Title: Ferry lane\nTime: 2/4\n\n{system}", "2/4").measures
    assert [len(m.onsets) for m in found] == [4, 4]
