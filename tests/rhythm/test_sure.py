"""What is neat to the letter and may yet be meant otherwise is not sure.

Each kind was seen in tabs of typists that the solver was not tuned on. The habits are common
practice, no source; what the measures say is arithmetic on characters, counts and letters.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

import pytest

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
