"""The meter of a tab that does not name it, and tabs at the edge of what a measure can be.

A roll of eight is read in 4/4, one of six that comes back in threes in 6/8: common practice, no
source.
"""

from __future__ import annotations

import pytest

import rollstave


def rows(*cells: list[str]) -> str:
    return "\n".join(
        f"{label}|" + "|".join(cell[row] for cell in cells) + "|"
        for row, label in enumerate("DBGDg")
    )


def measure(strings: tuple[int, ...], gap: int = 2) -> list[str]:
    width = 1 + gap * len(strings)
    found = [["-"] * width for _ in range(5)]
    for index, string in enumerate(strings):
        found[string - 1][1 + gap * index] = "0"
    return ["".join(row) for row in found]


def test_a_few_rolls_of_eight_are_in_four_four() -> None:
    (tune,) = rollstave.read(rows(*[measure((3, 2, 5, 1, 4, 2, 5, 1))] * 3))
    assert str(tune.score.meter) == "4/4"


ROLL = (3, 2, 5, 1, 4, 2, 5, 1)


@pytest.mark.parametrize("gap", [1, 2, 3, 4])
@pytest.mark.parametrize(
    ("heading", "meter"),
    [("", "4/4"), ("Title: The Loose Shutter\n", "4/4"), ("Style: reel\n", "2/2")],
)
def test_a_tune_of_rolls_without_a_time_is_in_eighths(gap: int, heading: str, meter: str) -> None:
    """Where nothing else decides, a typed roll is eighths in 4/4, in 2/2 to those who count it so:
    common practice, no source."""
    full = measure(ROLL, gap)
    (tune,) = rollstave.read(f"{heading}\n{rows(*[full] * 12)}")
    assert str(tune.score.meter) == meter
    assert {m.length for m in tune.score.measures} == {4}
    assert any(f.subject == "meter" and f.how is rollstave.How.INFERRED for f in tune.findings)


def test_a_time_that_is_named_counts_the_same_columns_in_sixteenths() -> None:
    (tune,) = rollstave.read(f"Time: 2/4\n\n{rows(*[measure(ROLL, 2)] * 12)}")
    assert str(tune.score.meter) == "2/4"


def test_a_dance_that_is_never_counted_in_four_keeps_its_meter() -> None:
    """A polka is in 2/4: common practice, no source."""
    (tune,) = rollstave.read(f"Title: The Tollgate Polka\n\n{rows(*[measure(ROLL, 2)] * 12)}")
    assert str(tune.score.meter) == "2/4"


@pytest.mark.parametrize("meter", ["5/4", "7/8", "12/8", "3/8", "9/16"])
def test_any_meter_that_is_written_is_kept(meter: str) -> None:
    count, unit = map(int, meter.split("/"))
    typed = measure(tuple((1, 2, 3)[i % 3] for i in range(count if unit > 4 else 2 * count)))
    (tune,) = rollstave.read(f"Time: {meter}\n\n{rows(typed, typed, typed)}")
    assert str(tune.score.meter) == meter
    assert {m.length for m in tune.score.measures} == {tune.score.meter.length}


@pytest.mark.parametrize("count", [1, 2, 97, 200])
def test_a_measure_of_any_number_of_notes_is_read_and_written(count: int) -> None:
    (tune,) = rollstave.read(f"Time: 4/4\n\n{rows(measure((1,) * count))}")
    assert len([e for e in tune.score.measures[0].events if e.notes]) == count
    for form in ("musicxml", "mei", "midi", "svg"):
        assert rollstave.write(tune, form)[0]
