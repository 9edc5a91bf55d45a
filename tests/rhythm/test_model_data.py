"""The chain of onsets that is counted from patterns, worked by hand."""

from __future__ import annotations

import math

import pytest

from rollstave.rhythm.model_data import _chain, _count_shares, rhythm_data

# Meter, length and number of onsets; each pattern: its length and onsets in ticks (24 a quarter),
# and how often it was seen.
PATTERNS = {
    "3/4 72 2": [(72, (0, 24), 3), (72, (0, 48), 1)],
    "3/4 72 1": [(72, (0,), 4)],
    "4/4 96 2": [(96, (0, 48), 5)],
}


def test_a_chain_counts_the_patterns_of_its_meter_alone() -> None:
    """After 0 came 24 three times, 48 once and the end four times."""
    shares = {
        start: {end: math.exp(odds) for end, odds in row.items()}
        for start, row in _chain(PATTERNS, "3/4").items()
    }
    assert shares == {
        -1: {0: pytest.approx(1)},
        0: {24: pytest.approx(3 / 8), 48: pytest.approx(1 / 8), 72: pytest.approx(1 / 2)},
        24: {72: pytest.approx(1)},
        48: {72: pytest.approx(1)},
    }
    assert _chain(PATTERNS, "7/8") == {}


def test_how_many_onsets_a_measure_has() -> None:
    found = {count: math.exp(odds) for count, odds in _count_shares(PATTERNS, "3/4").items()}
    assert found == {1: pytest.approx(1 / 2), 2: pytest.approx(1 / 2)}


@pytest.mark.parametrize("meter", ["2/4", "3/4", "4/4", "6/8"])
def test_what_comes_next_is_certain_to_come(meter: str) -> None:
    """The shares after each onset are one in all (any chain of Markov)."""
    chain = rhythm_data().chain(meter)
    assert chain
    for row in chain.values():
        assert sum(map(math.exp, row.values())) == pytest.approx(1)
