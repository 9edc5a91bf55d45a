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
