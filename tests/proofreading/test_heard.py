"""How smooth a melody is: what is summed, and over how many steps."""

from __future__ import annotations

import pytest

from rollstave.proofreading.heard import smoothness, step_to


@pytest.mark.parametrize("count", [0, 1, 2, 7])
def test_a_melody_has_a_step_less_than_notes(count: int) -> None:
    """By counting; rests are no notes, and all steps of a chromatic scale are equal."""
    scale = [(60 + n,) for n in range(count)]
    total, steps = smoothness([*scale[:1], (), *scale[1:]])
    assert steps == max(0, count - 1)
    assert total == pytest.approx(steps * step_to(61, (60,)))
