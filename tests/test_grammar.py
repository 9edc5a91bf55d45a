"""The grammar of typists: its documents are the same each time, its truths hold together."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from tests.benchmarks.grammar.choices import aside, held_in, tables
from tests.benchmarks.grammar.document import document
from tests.benchmarks.grammar.model import LABELS
from tests.benchmarks.grammar.report import kept
from tests.benchmarks.unlike.truth import load

pytestmark = pytest.mark.quick
COUNT = 12


@pytest.mark.parametrize("part", ["dev", "held"])
def test_a_document_is_made_the_same_each_time(part: str) -> None:
    """The same seed and index give the same bytes and truth."""
    first = [document(part, 5, index) for index in range(3)]
    again = [document(part, 5, index) for index in reversed(range(3))]
    assert first == again[::-1]
    assert len({made.data for made in first}) == 3


@pytest.mark.parametrize("part", ["dev", "held"])
def test_a_truth_holds_together(part: str, tmp_path: Path) -> None:
    """Durations fill each measure from its start, and the lines are of the closed list."""
    for index in range(COUNT):
        made = document(part, 7, index)
        truth = load(kept(made, tmp_path).with_suffix(".json"))
        for tune in truth:
            assert tune.measures
            for measure in tune.measures:
                at = Fraction(0)
                for event in measure.events:
                    assert event.onset == at
                    assert event.duration
                    at += event.duration
                assert at == measure.length
        assert {line.label for line in made.lines} <= set(LABELS)
        assert {line.tune for line in made.lines} == set(range(len(truth)))


def test_what_is_set_aside_is_never_drawn_for_development() -> None:
    """No document of the one part has a value of the other; those set aside have two or more."""
    for index in range(COUNT):
        assert held_in(document("dev", 11, index).values) == 0
        assert held_in(document("held", 11, index).values) >= 2


def test_values_stand_where_the_rule_puts_them() -> None:
    """A value is set aside by its name alone; each choice of three or more has one."""
    held = {c: {v.name for v in values} for c, values in tables("held").items()}
    for choice, values in tables("both").items():
        names = [value.name for value in values]
        assert len(set(names)) == len(names)
        assert aside(choice, names) == held.get(choice, set())
