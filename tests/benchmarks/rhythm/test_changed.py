"""Tunes changed so that they hold triplets or a crooked measure: arithmetic on their events."""

from __future__ import annotations

import random

import pytest

from .changed import crooked, is_changed, with_triplets
from .melodies import melody
from .model import ArrangedTune, Style
from .people import TYPISTS, arranged, typed


def tunes() -> list[ArrangedTune]:
    return [arranged("kestrel", melody(number), seed=1) for number in range(20, 32)]


def test_triplets_take_the_time_of_two_eighths() -> None:
    found = [new for tune in tunes() if (new := with_triplets(tune, random.Random(1)))]
    assert found
    for tune in found:
        assert any(is_changed("triplets", m, tune) for m in tune.measures)
        for measure in (m for m in tune.measures if m.events):
            ends = [e.onset + e.duration for e in measure.events]
            assert [e.onset for e in measure.events[1:]] == ends[:-1]
            assert ends[-1] == measure.length


def test_a_crooked_tune_has_the_same_measure_of_two_or_six_quarters_twice() -> None:
    found = [new for tune in tunes() if (new := crooked(tune, random.Random(1)))]
    for tune in found:
        changed = [m for m in tune.measures if is_changed("crooked", m, tune)]
        assert len(changed) == 2
        assert changed[0] == changed[1]
        assert changed[0].length in (2, 6)
        assert sum(e.duration for e in changed[0].events) == changed[0].length


@pytest.mark.parametrize("typist", TYPISTS)
def test_every_typist_types_them(typist: str) -> None:
    for tune in tunes():
        for new in (with_triplets(tune, random.Random(1)), crooked(tune, random.Random(1))):
            if new is not None:
                text = typed(typist, new, Style.EVEN, 1)
                assert [m.onsets for m in text.measures] == [
                    tuple(e.onset for e in m.events) for m in new.measures
                ]
