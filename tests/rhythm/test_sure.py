"""What is neat to the letter and may yet be meant otherwise is not sure.

Each kind was seen in tabs of typists that the solver was not tuned on. The habits are common
practice, no source; what the measures say is arithmetic on characters, counts and letters.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import accumulate

import pytest
from msgspec.structs import replace

from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.problems import ProblemList
from rollstave.reading.reader import read_grid
from rollstave.rhythm.by_weighing import column_mode, is_hidden, may_be_one, told_by_columns
from rollstave.rhythm.choices import Choice
from rollstave.rhythm.evidence import TICKS, gather
from rollstave.rhythm.meter import Meter
from rollstave.rhythm.reasons import Why
from rollstave.rhythm.spacing import Spacing
from rollstave.rhythm.state import State
from rollstave.rhythm.timed import Source
from tests.rhythm.test_columns import EVEN, HALF, read, times, typed

JIG = times("0 1/2 1 3/2 2 5/2 3 7/2 4")
LONG = times("0 1/2 1 3/2 2 5/2 3 4")


def in_time(
    bars: Sequence[tuple[Fraction, ...]], columns: int, width: int
) -> list[tuple[list[int], int]]:
    return [([1 + int(onset * columns) for onset in bar], width) for bar in bars]


@pytest.mark.quick
def test_a_usual_rhythm_one_slip_away_leaves_a_rare_one_in_doubt() -> None:
    bars = in_time([JIG, LONG] * 4, 4, 20)
    slipped = [1, 3, 5, 7, 9, 11, 13, 16, 18]  # the last two notes a character late
    found = read(typed([*bars[:4], (slipped, 20), *bars[4:]], "9/8"), "9/8").measures
    assert not found[4].sure
    assert [m.sure for m in found[1:4]] == [True] * 3


@pytest.mark.quick
def test_a_dotted_figure_is_usual_though_a_slip_would_make_it_even() -> None:
    dotted = times("0 3/4 1 3/2 2 11/4 3 7/2")
    bars = in_time([EVEN, HALF, dotted, EVEN, HALF, EVEN, dotted, HALF], 4, 17)
    found = read(typed(bars, "4/4"), "4/4").measures
    assert found[2].onsets == dotted
    assert found[2].sure


@pytest.mark.quick
def test_a_triplet_that_widens_its_measure_is_no_crooked_measure() -> None:
    """Three in a quarter note need twelve characters; eighth notes of the others have four."""
    wide = times("0 1/3 2/3 1 3/2 2 5/2 3 7/2")
    other = times("0 1/3 2/3 1 3/2 2 5/2 3")
    plain = in_time([EVEN, HALF] * 4, 8, 33)
    widened = in_time([wide, other, wide, other], 12, 49)
    found = read(typed([*plain[:4], *widened, *plain[4:]], "2/2"), "2/2").measures
    assert not [m.length for m in found if m.sure and m.length != 4]
    assert [m.onsets for m in found[4:8]] == [wide, other, wide, other]


@pytest.mark.quick
def test_a_measure_twice_as_wide_is_not_two_measures_long() -> None:
    """A last note too short for the others' spacing: the measure has one of its own, twice over."""
    sixteenths = times("0 1/4 1/2 3/4 1 5/4 3/2 7/4")
    fewer = times("0 1/4 1/2 3/4 1 3/2")
    last = (*sixteenths, Fraction(15, 8))
    plain = in_time([sixteenths, fewer] * 4, 8, 17)
    wide = in_time([last], 16, 33)
    found = read(typed([*plain[:4], *wide, *plain[4:6], *wide, *plain[6:]], "2/4"), "2/4").measures
    assert not [m.length for m in found if m.sure and m.length != 2]


@pytest.mark.quick
def test_a_pickup_and_an_end_that_miss_each_other_by_a_character_are_not_sure() -> None:
    bars = in_time([EVEN, HALF, EVEN, HALF, EVEN], 2, 8)
    bars = [([place - 1 for place in places], width) for places, width in bars]
    end = ([0, 1, 2, 3, 5], 7)  # seven eighth notes, after a pickup as wide as two
    found = read(typed([([0], 2), *bars, end], "4/4"), "4/4").measures
    assert not found[0].sure
    assert not found[-1].sure


@pytest.mark.quick
def test_letters_that_fill_an_end_though_a_pickup_wants_room_are_not_sure() -> None:
    even, places = "e  " * 8, list(range(1, 25, 3))
    bars = [([1], 4), *[(places, 25)] * 2, (places[:7], 25)]
    line = "   e    " + f"{even}  " * 2 + "e  " * 6
    assert not read(typed(bars, "4/4") + line + "q\n", "4/4").measures[3].sure
    told = read(typed(bars, "4/4") + line + "e\n", "4/4").measures[3]
    assert told.sure
    assert told.complement


@pytest.mark.quick
def test_a_dotted_sixteenth_without_its_32nd_is_not_sure() -> None:
    even, places = "e  " * 6, list(range(1, 19, 3))
    bars = [([1, 4], 6), *[(places, 19)] * 4]
    found = read(typed(bars, "6/8") + "   s. s   " + f"{even}  " * 4 + "\n", "6/8").measures
    assert found[0].onsets == times("0 3/8")
    assert not found[0].sure


@pytest.mark.quick
def test_a_pickup_of_half_a_measure_does_not_make_itself_whole() -> None:
    """Threes over a pickup may be eighth notes in the time of two, or sixteenths."""
    four, places = "e  " * 4, list(range(1, 13, 3))
    bars = [([1, 4, 7], 10), *[(places, 13)] * 4]
    found = read(typed(bars, "2/4") + "   3  3  3    " + f"{four}  " * 4 + "\n", "2/4").measures
    assert found[0].length == 1
    assert not found[0].sure


COUNTED = """Title: Rope walk
Tuning: gDGBD
Time: 2/2

|-------|--------------0|------0--------0-|
|-------|---0------0----|-----------0-----|
|-------|-0------7------|-9-------9-------|
|-0h2-4-|---------------|-----------------|
|-------|-----0------0--|----0--------0---|
  &       1 e &  2 e & a  1  & a 2 e & a


|--------0-------0-|-7-----7--7--7--|-------5--------5-|
|----3-------3-----|---7------7--7--|---0-------0------|
|----------5-------|----------------|-0-------7--------|
|-4----------------|----------------|------------------|
|------0-------0---|-----0----------|-----0--------0---|
  1  e & a 2 e & a  1 e & a  2  &    1 e & a 2 e  &  a

|--------7-------7-|-------------7-|------0---0--:|:----|
|----------8h10----|-7-------7-----|---7--------7:|:----|
|-7/9--------------|---7---9-------|-7-----------:|:----|
|------------------|---------------|-------------:|:----|
|-----7--------7---|-----0-----7---|--------0----:|:----|
  1 e &   a 2 e & a   1 e & 2 e & a   1 e  & a 2 e

A
|-------0--------0--|-------0-------0-|--------0--------0|
|---3-------3-------|---0-------0-----|----3-------3-----|
|---------2---------|-0-------9-------|----------2-------|
|-0-----------------|-----------------|-0----------------|
|-----0-------0-----|-----0-------0---|------0-------0---|
  1 e   & a 2e & a   1  e & a 2 e   & a   1  e & a 2 e& a

|--------0-------0---|--------0-------0-|----0-------0-|
|------------0-------|----0-------0-----|--------0-----|
|-5-/7-----0---------|-0--------4-------|-7----11------|
|--------------------|------------------|--------------|
|------0-------0-----|------0-------0---|----------0---|
  1 e & a 2 e & a     1  e &  a 2 e & a   1  a 2 e & a

|-0-5-2-----------|------0-0--:|
|---------0-------|---0----0--:|
|-------5---0-2---|-0------0--:|
|----------------4|--------5--:|
|-----------------|-----------:|
 1 e & a 2 e  &  a    1 e  & a
"""


@pytest.mark.quick
def test_counts_do_not_say_how_long_the_last_note_of_a_strain_lasts() -> None:
    """And the last counts may be those of another beat, so that they are weighed."""
    assert not read(COUNTED, "2/2").measures[-1].sure


@pytest.mark.quick
def test_a_pickup_is_answered_by_the_end_of_its_own_strain() -> None:
    """Another strain has an end that is as short; those that may go back to it are full."""

    def strain(pickup: int, end: int) -> list[str]:
        full = [([1 + int(o * 4) for o in bar], 17) for bar in [EVEN, HALF, EVEN]]
        last = ([1 + int(o * 4) for o in times("0 1 2")], end)
        return typed([([1], pickup), *full, last], "4/4").splitlines()

    first, second, third = strain(5, 17), strain(3, 13), strain(5, 17)
    rows = [
        "||".join((a[:-1], b.split("|", 1)[1][:-1], c.split("|", 1)[1]))
        for a, b, c in zip(first[4:], second[4:], third[4:], strict=True)
    ]
    found = read("\n".join((*first[:4], *rows)) + "\n", "4/4").measures
    assert [m.length for m in found if m.pickup] == [1, Fraction(1, 2), 1]
    assert not found[0].sure


@pytest.mark.quick
def test_a_letter_that_the_line_has_lost_before_leaves_the_next_measure_in_doubt() -> None:
    """The line has drifted by a note: the last letter of a measure stands under the next."""
    bars = [([0, 2, 4, 6], 8), ([0, 2, 4, 6], 8), ([0, 2, 4, 6, 8], 10)]
    line = "  e e e e  e e e    e e s s e"
    found = read(typed(bars, "2/4") + line + "\n", "2/4").measures
    assert found[0].sure
    assert not found[2].sure


@pytest.mark.quick
def test_a_letter_beside_a_note_is_no_rest_without_doubt() -> None:
    bars = [([0, 4, 8, 12], 16), ([0, 4, 6, 8, 10], 14)]
    line = "  e   e   e   e    e   sss s e"
    assert not read(typed(bars, "2/4") + line + "\n", "2/4").measures[1].sure


@pytest.mark.quick
@pytest.mark.parametrize(
    ("fit", "hand", "width", "mode"),
    [
        (0.95, "melody 0", 17, "columns exact"),
        (0.5, "melody 0", 17, "loose exact"),
        (0.95, "melody 0", 25, "own exact"),
        (0.0, "rolls", 25, "eye exact"),
        (0.0, "melody 0", 17, "eye melody exact"),
    ],
)
def test_how_sure_weighed_columns_are_is_told_by_their_ground(
    fit: float, hand: str, width: int, mode: str
) -> None:
    """A measure in 4/4 with a lead-in of one character, four to a quarter note."""
    spacing = Spacing(columns=4, lead=1, spare=0, pushed=False, fit=fit)
    (tune,) = read_grid(typed([([1, 5, 9, 13], width)], "4/4"), FIVE_STRING_BANJO, ProblemList())
    (evidence,) = gather(tune.measures)
    why = Why(Source.COLUMNS, "columns", spacing)
    assert column_mode(spacing, why, hand, evidence, 4 * TICKS) == mode


ROWS = """Tuning: gDGBD
Time: 4/4

D|{}|----0-------0---|
B|{}|------0-------0-|
G|{}|0-------0-------|
D|{}|----------------|
g|{}|--0-------0-----|
"""
REST = "-" * 16


def _state_of(*cells: str) -> State:
    return state_of(ROWS.format(*cells), Meter(4, 4))


def state_of(text: str, meter: Meter) -> State:
    (tune,) = read_grid(text, FIVE_STRING_BANJO, ProblemList())
    return State(
        measures=tune.measures,
        evidence=gather(tune.measures),
        meter=meter,
        found=[None] * len(tune.measures),
    )


@pytest.mark.quick
def test_two_notes_a_character_apart_may_be_one() -> None:
    apart = _state_of("1---2---1---2---", REST, "--0---0---0---0-", REST, REST)
    assert not may_be_one(apart, 0)
    # On one string they may be the figures of one fret, on two a stroke that is typed askew.
    one_string = _state_of("1---2---1---2---", *[REST] * 4)
    first = one_string.evidence[0]
    one_string.evidence = [replace(first, gaps=(1, *first.gaps[1:])), one_string.evidence[1]]
    assert may_be_one(one_string, 0)
    assert may_be_one(_state_of("1---2---1---2---", "-1--------------", *[REST] * 3), 0)


@pytest.mark.quick
def test_by_the_eye_the_signs_of_the_left_hand_hide_the_time() -> None:
    slurred, plain = "0-2h4---0---2---", "0---2---0---2---"
    for mode in ("eye nearly", "loose nearly"):
        assert is_hidden(mode, _state_of(slurred, *[REST] * 4).evidence[0])
    assert not is_hidden("eye nearly", _state_of(plain, *[REST] * 4).evidence[0])
    assert not is_hidden("columns nearly", _state_of(slurred, *[REST] * 4).evidence[0])


@pytest.mark.quick
def test_a_last_measure_between_pickups_of_two_lengths_is_not_sure() -> None:
    """By its counts it ends where its own pickup begins, or goes on to the other, half as long."""
    text = """Time: 2/2

d|-----|-0-----0--|-0---0----:||:---|-0-----0--|-0---0----:|
B|---0-|---2------|---2------:||:-0-|---2------|---2------:|
G|-2---|-----0----|-------2--:||:---|-----0----|-------2--:|
D|-----|----------|----------:||:---|----------|----------:|
g|-----|----------|----------:||:---|----------|----------:|
   4 &   1 2 3 4    1 2 3 4       &   1 2 3 4    1 2 3 4
"""
    found = read(text, "2/2").measures
    assert not found[2].sure


@pytest.mark.quick
@pytest.mark.parametrize(("fit", "sure"), [(0.75, True), (0.6, False)])
def test_much_room_before_bars_that_explains_little_makes_nothing_sure(
    fit: float, sure: bool
) -> None:
    """Six characters a quarter note, or four and as many before each bar line."""
    state = state_of(typed([([1, 7], 13)] * 2, "2/4"), Meter(2, 4))
    spacing = Spacing(columns=4, lead=1, spare=4, pushed=False, fit=fit)
    choice = Choice(
        members=[0], evidence=state.evidence[0], patterns=[(48, (0, 36))], base=[0.0], columns=[0.0]
    )
    assert told_by_columns(state, choice, 0, 0, spacing) is sure


@pytest.mark.quick
def test_a_rest_that_is_weighed_is_not_sure() -> None:
    """What is before a first note may be room before it."""
    state = state_of(typed([([2, 7], 13)] * 3, "2/4"), Meter(2, 4))
    spacing = Spacing(columns=6, lead=1, spare=0, pushed=False, fit=0.8)
    patterns = [(48, (4, 24)), (48, (0, 24))]
    choice = Choice(
        members=[0],
        evidence=state.evidence[0],
        patterns=patterns,
        base=[0.0] * 2,
        columns=[0.0] * 2,
    )
    assert [told_by_columns(state, choice, best, 0, spacing) for best in (0, 1)] == [False, True]


@pytest.mark.quick
@pytest.mark.parametrize(("gaps", "sure"), [((2, 2, 2, 2), False), ((4, 1, 1, 2), True)])
def test_a_melody_of_notes_as_far_apart_as_each_other_may_be_squeezed(
    gaps: tuple[int, ...], sure: bool
) -> None:
    places = list(accumulate(gaps[:-1], initial=1))
    state = state_of(typed([(places, 9)] * 6, "2/4"), Meter(2, 4))
    spacing = Spacing(columns=4, lead=1, spare=0, pushed=False, fit=0.6)
    onsets = tuple(6 * (place - 1) for place in places)
    choice = Choice(
        members=[0], evidence=state.evidence[0], patterns=[(48, onsets)], base=[0.0], columns=[0.0]
    )
    assert state.hand.startswith("melody")
    assert told_by_columns(state, choice, 0, 0, spacing) is sure
