"""How well places keep to a pulse, as circular statistics have it.

The judge is the resultant length of directions (Mardia and Jupp, Directional Statistics, 2000): as
many as there are where all point one way, none where they are spread evenly round the circle,
and it does not change when all are turned alike.
"""

from __future__ import annotations

import math

import pytest

from rollstave_documents.pulse import _phase, _turned


@pytest.mark.parametrize("start", [0.0, 1.25, 2.5, 17.9])
@pytest.mark.parametrize("count", [1, 3, 8])
def test_even_places_point_one_way_wherever_they_begin(start: float, count: int) -> None:
    places = [start + 5.0 * n for n in range(count)]
    assert abs(_turned(places, 5.0)) == pytest.approx(count)
    assert math.cos(2 * math.pi * (_phase(places, 5.0) - start) / 5.0) == pytest.approx(1.0)


@pytest.mark.parametrize("start", [0.0, 1.25, 17.9])
@pytest.mark.parametrize("count", [2, 4, 7])
def test_places_all_over_the_pulse_point_nowhere(start: float, count: int) -> None:
    places = [start + 5.0 * n / count for n in range(count)]
    assert abs(_turned(places, 5.0)) == pytest.approx(0.0, abs=1e-9)
