"""Writing grows with the length of a measure and no faster; work is counted (``tests/work.py``)."""

from __future__ import annotations

import random
from collections.abc import Callable

import pytest

import rollstave
from tests.work import calls


def full(size: int) -> rollstave.Tune:
    """A measure with a note on each string at every third character."""
    (tune,) = rollstave.read("\n".join(f"{label}|{'0--' * size}|" for label in "dBGDg"))
    return tune


def by_chance(size: int) -> rollstave.Tune:
    """A measure with notes in columns of no grid: triplets and all."""
    choose = random.Random(size)
    rows = [""] * 5
    for _ in range(size):
        at, gap = choose.randrange(4), "-" * choose.randint(1, 4)
        rows = [row + ("2" if r == at else "-") + gap for r, row in enumerate(rows)]
    lines = (f"{label}|{row}|" for label, row in zip("dBGDg", rows, strict=True))
    (tune,) = rollstave.read("\n".join(lines))
    return tune


@pytest.mark.parametrize("form", ["text", "musicxml", "midi", "mei"])
@pytest.mark.parametrize("make", [full, by_chance])
def test_a_measure_four_times_as_long_is_about_four_times_the_work(
    form: str, make: Callable[[int], rollstave.Tune]
) -> None:
    """4 is linear and 16 quadratic."""
    short, long = make(60), make(240)
    rollstave.write(make(20), form)  # all that is made once
    once = calls(lambda: rollstave.write(short, form))
    assert calls(lambda: rollstave.write(long, form)) < 6 * once
