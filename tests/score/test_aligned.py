"""Which measures of two versions are the same ones: put in, left out, in tunes of any length."""

from __future__ import annotations

import pytest

from rollstave.score.aligned import aligned


@pytest.mark.parametrize("times", [1, 10, 60, 300])
def test_a_measure_put_in_before_a_tune_of_four_that_go_round(times: int) -> None:
    old = list("abcd" * times)
    assert aligned(old, ["x", *old]) == [(None, 0), *((n, n + 1) for n in range(len(old)))]
    assert aligned(["x", *old], old) == [(0, None), *((n + 1, n) for n in range(len(old)))]
