"""Which measures of two versions are the same ones: put in, left out, in tunes of any length."""

from __future__ import annotations

import pytest

from rollstave.score.aligned import aligned, origins


@pytest.mark.parametrize("times", [1, 10, 60, 300])
def test_a_measure_put_in_before_a_tune_of_four_that_go_round(times: int) -> None:
    old = list("abcd" * times)
    assert aligned(old, ["x", *old]) == [(None, 0), *((n, n + 1) for n in range(len(old)))]
    assert aligned(["x", *old], old) == [(0, None), *((n + 1, n) for n in range(len(old)))]


A, B, C, OTHER = (frozenset((n, midi) for n in range(4)) for midi in (60, 62, 64, 70))


def test_a_measure_that_was_written_anew_was_made_from_the_one_in_its_place() -> None:
    assert origins([A, B, C], [A, OTHER, C]) == {0: 0, 1: 1, 2: 2}


def test_a_measure_that_was_put_in_was_made_from_the_nearest_that_it_is_like() -> None:
    half = frozenset((n, 60 if n < 2 else 71) for n in range(4))
    assert origins([A, B, C], [A, half, B, C]) == {0: 0, 1: 0, 2: 1, 3: 2}
    assert origins([A, B, C], [A, OTHER, B, C]) == {0: 0, 2: 1, 3: 2}
