"""Some of the standing attack (tests/benchmarks/attack.py): changed tabs and scores."""

from __future__ import annotations

import random

import pytest
from lxml import etree

from tests.amount import some
from tests.benchmarks.attack import attack_lot, seed_scores
from tests.benchmarks.attack_score_changes import SCORE_CHANGES

_NUMBER = some(12, 500)


@pytest.mark.parametrize("kind", ["text", "score"])
def test_whatever_is_changed_the_rules_hold(kind: str) -> None:
    found = [f for f in attack_lot(kind, range(_NUMBER)) if "seconds" not in f.wrong]
    assert found == []


def test_forty_kinds_of_change_of_a_score() -> None:
    assert len(SCORE_CHANGES) >= 40
    for change in SCORE_CHANGES:  # each is one that changes some score
        for seed in range(200):
            choose = random.Random(seed)
            root = etree.fromstring(choose.choice(seed_scores()))
            before = etree.tostring(root)
            change(choose, root)
            if etree.tostring(root) != before:
                break
        else:
            raise AssertionError(change)
