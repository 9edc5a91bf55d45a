"""A refusal says why and what to do, and nothing else."""

from __future__ import annotations

import pytest

import rollstave
from tests.proofreading.test_checks import CLEAN


def _refused(text: str) -> tuple[rollstave.Problem, ...]:
    with pytest.raises(rollstave.TabError) as caught:
        rollstave.read(text)
    return caught.value.problems


def test_a_row_that_is_typed_twice_is_named() -> None:
    lines = CLEAN.split("\n")
    lines.insert(8, lines[8])
    (error,) = _refused("\n".join(lines))
    assert error.message.endswith("line 10 is the same as the row over it: take it out")
    assert error.place == rollstave.Place(10, 2)


def test_what_else_was_understood_is_not_said() -> None:
    """A measure's rhythm, a title in a sentence: no help where a fret is wrong."""
    text = CLEAN.replace("g|-------0", "g|-------3", 1).replace("Time: 4/4\n", "")
    assert [p.severity for p in _refused(text)] == [rollstave.Severity.ERROR]
