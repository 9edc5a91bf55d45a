"""Typed corpus tunes keep the rhythm that music21 reads in them.

Source: the durations of music21's corpus ``ryansMammoth`` (fiddle tunes of 1883, public domain),
typed by the benchmark's simulated typist in even columns: nothing is left out, so nothing may be
lost. Only a few tunes: the benchmark has them all.
"""

from __future__ import annotations

import pytest

from tests.benchmarks.rhythm.arrange import arrange
from tests.benchmarks.rhythm.corpus import load_some
from tests.benchmarks.rhythm.model import MeasureKind, Style
from tests.benchmarks.rhythm.solver import solve
from tests.benchmarks.rhythm.typist import type_tune

NUMBERS = (10, 200, 415, 640, 905)


@pytest.mark.parametrize("style", [Style.EVEN, Style.LETTERED])
@pytest.mark.parametrize("number", NUMBERS)
def test_rhythm_of_the_corpus_comes_back(number: int, style: Style) -> None:
    tune = load_some((number,))[number]
    typed = type_tune(arrange(tune, 3, bare=True), style, 3)
    solved = solve(typed.text, True)
    assert len(solved.measures) == len(typed.measures)
    for truth, read in zip(typed.measures, solved.measures, strict=True):
        if truth.kind is not MeasureKind.ODD:
            assert read.onsets == truth.onsets
            assert read.durations == truth.durations
