"""Where systems break: strains, phrases of four, no measure alone (common practice, no source)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest
from msgspec.structs import replace

from rollstave.grid.typed import Bar
from rollstave.notating.layout import system_starts
from rollstave.notating.notation import notate
from tests import tunes
from tests.writing import everything


def _starts(count: int, pickup: bool = False, **fields: Mapping[int, Any]) -> tuple[int, ...]:
    """Where systems of so many measures of rolls begin, with fields of single measures."""
    first = [[("1/2", [(4, 0)])]] if pickup else []
    score = tunes.score([*first, *[everything.ROLL] * count], pickup=pickup)
    measures = list(score.measures)
    measures[-1] = replace(measures[-1], right=Bar.SINGLE)
    for field, values in fields.items():
        for index, value in values.items():
            measures[index] = replace(measures[index], **{field: value})
    return system_starts(notate(replace(score, measures=tuple(measures))))


@pytest.mark.parametrize(
    ("count", "starts"), [(1, (0,)), (4, (0,)), (8, (0, 4)), (12, (0, 4, 8)), (16, (0, 4, 8, 12))]
)
def test_phrases_have_four_measures(count: int, starts: tuple[int, ...]) -> None:
    assert _starts(count) == starts


def _for_one_page(count: int, held: int, **fields: Mapping[int, Any]) -> tuple[int, ...]:
    measures = list(tunes.score([everything.ROLL] * count).measures)
    for field, values in fields.items():
        for index, value in values.items():
            measures[index] = replace(measures[index], **{field: value})
    score = replace(tunes.score([everything.ROLL] * count), measures=tuple(measures))
    return system_starts(notate(score), one_page=held)


def test_a_strain_of_ten_has_two_lines_where_that_saves_a_page() -> None:
    # Ours: two measures by themselves on a page of their own are worse than lines of five.
    second = {"section": {8: "B part"}, "right": {7: Bar.DOUBLE}}
    assert _for_one_page(18, 5, **second) == (0, 4, 8, 12, 16)
    assert _for_one_page(18, 4, **second) == (0, 4, 8, 13)
    # Not where it would not be one page anyway, and never six measures of eighths.
    assert _for_one_page(18, 3, **second) == (0, 4, 8, 12, 16)
    assert _for_one_page(12, 2) == (0, 4, 8)


@pytest.mark.parametrize("bar", [Bar.REPEAT_END, Bar.DOUBLE])
def test_a_strain_begins_a_system(bar: Bar) -> None:
    # Six measures to a bar that closes a strain, then four.
    assert 6 in _starts(10, right={5: bar})
    assert 6 in _starts(10, left={6: Bar.REPEAT_START})
    assert 6 in _starts(10, section={6: "B part"})
    assert 6 not in _starts(10)


def test_a_measure_alone_joins_the_strain_before_it() -> None:
    # Four and one: the last is a strain by its bars, and begins no system.
    found = _starts(5, right={3: Bar.DOUBLE})
    assert found[0] == 0
    assert 4 not in found
    # Between two strains as well: four, one, four.
    found = _starts(9, right={3: Bar.DOUBLE, 4: Bar.DOUBLE})
    assert found[0] == 0
    assert 4 not in found
    assert 5 in found


def test_a_measure_alone_at_the_beginning_joins_what_follows() -> None:
    assert _starts(5, right={0: Bar.DOUBLE})[:1] == (0,)
    assert 1 not in _starts(5, right={0: Bar.DOUBLE})


def test_a_pickup_shares_the_system_of_what_follows() -> None:
    assert _starts(8, pickup=True) == (0, 5)
    assert _starts(8, pickup=True, left={1: Bar.REPEAT_START}) == (0, 5)


def test_a_second_ending_stays_with_the_first() -> None:
    # A repeat ends inside the endings: the second one is no strain of its own.
    endings = {2: "1", 3: "2"}
    found = _starts(4, ending=endings, in_ending=endings, right={2: Bar.REPEAT_END})
    assert found == (0,)
