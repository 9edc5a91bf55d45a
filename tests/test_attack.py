"""Some of the standing attack (tests/benchmarks/attack.py): changed tabs and scores."""

from __future__ import annotations

import pytest

from tests.amount import some
from tests.benchmarks.attack import attack_lot

_NUMBER = some(24, 500)


@pytest.mark.parametrize("kind", ["text", "score"])
def test_whatever_is_changed_the_rules_hold(kind: str) -> None:
    found = [f for f in attack_lot(kind, range(_NUMBER), sheets=30) if "seconds" not in f.wrong]
    assert found == []
