"""Texts that fuzzing found to be read wrongly (``python -m tests.benchmarks.fuzzing``).

That notes of one string follow one another in time is common practice, no source.
"""

from __future__ import annotations

import pytest

import rollstave

SIGN_FOR_A_GAP = """
D+-----0-------0---+-----2-------2---+
B+---0-------1-----+---0-------1-----+
++-0------2-2h4-----+
D+-----------------+-----------------+
g+-------0-------0-+-------0-------0-+
"""
RAGGED = """
|-----0-------0---|-----2h4-------2---|
---
|-|---2h4|
---
-------0-------0-|----0
"""


@pytest.mark.parametrize("text", [SIGN_FOR_A_GAP, RAGGED])
def test_no_two_columns_have_one_onset(text: str) -> None:
    """A sign may take all the room between two notes; they are still two, one after the other."""
    tunes = rollstave.read(text)
    measures = [m for tune in tunes for m in tune.score.measures]
    assert sum(len(m.events) for m in measures) > 4
    for measure in measures:
        assert all(event.duration > 0 for event in measure.events)


def test_a_key_in_capitals_is_read() -> None:
    """KEY OF BB is B flat: two flats (common practice, no source)."""
    (tune,) = rollstave.read("KEY: BB\n" + SIGN_FOR_A_GAP)
    assert (tune.score.key.tonic, tune.score.key.fifths) == ("Bb", -2)
