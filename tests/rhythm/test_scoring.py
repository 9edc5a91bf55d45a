"""Scores that are computed once for all that looks alike are those of each by itself."""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rollstave.rhythm.by_eye import rough_spacing
from rollstave.rhythm.candidates import candidates
from rollstave.rhythm.evidence import TICKS, Evidence
from rollstave.rhythm.factors import local_factors, surroundings, whole_factors
from rollstave.rhythm.model_data import Pattern, rhythm_data
from rollstave.rhythm.scoring import Scorer
from tests.amount import some

METER, MOOD = "4/4", "2008"


@st.composite
def measures(draw: st.DrawFn) -> Evidence:
    """A measure as the solver sees it."""
    count = draw(st.integers(1, 9))
    some_of = lambda values: tuple(draw(values) for _ in range(count))  # noqa: E731
    strings = some_of(st.integers(1, 5))
    frets = some_of(st.integers(0, 5))
    return Evidence(
        index=0,
        lead=1,
        gaps=(2,) * count,
        pushes=(0,) * count,
        kinds="".join(some_of(st.sampled_from("lbptof"))),
        strings=strings,
        frets=frets,
        signature=tuple(((s, f, False),) for s, f in zip(strings, frets, strict=True)),
        opens=draw(st.booleans()),
        closes=draw(st.booleans()),
        chords=some_of(st.booleans()),
    )


def by_itself(evidence: Evidence, pattern: Pattern, prior: float, around: tuple[int, int]) -> float:
    """The score of a reading as the names of its factors say."""
    weights = rhythm_data().weights
    length, onsets = pattern
    ends = (*onsets[1:], length)
    score = weights.get("prior", 1.0) * prior
    for index, (onset, end) in enumerate(zip(onsets, ends, strict=True)):
        before = onset - onsets[index - 1] if index else 0
        names = local_factors(evidence, index, onset, before, end - onset, METER, MOOD)
        score += sum(weights.get(name, 0.0) for name in names)
    durations = [end - onset for onset, end in zip(onsets, ends, strict=True)]
    for name in whole_factors(evidence, durations, METER, around):
        score += weights.get(name, 0.0)
    return score


@settings(max_examples=some(30, 200), deadline=None)
@given(st.lists(measures(), min_size=1, max_size=6), st.tuples(*[st.integers(-1, 9)] * 2))
def test_what_was_computed_for_others_holds(found: list[Evidence], around: tuple[int, int]) -> None:
    data = rhythm_data()
    scorer = Scorer(data=data, meter=METER, mood=MOOD)
    for evidence in found:
        pool = candidates(data, evidence, METER, 96)
        scores = scorer.scores(evidence, pool, around)
        assert scores == [by_itself(evidence, *one, around) for one in pool]


@settings(max_examples=some(60, 400), deadline=None)
@given(measures(), measures(), st.tuples(*[st.integers(0, 40)] * 3))
def test_onsets_with_the_same_surroundings_have_the_same_factors(
    one: Evidence, other: Evidence, times: tuple[int, int, int]
) -> None:
    factors: dict[object, tuple[str, ...]] = {}
    for evidence in (one, other):
        for index, key in enumerate(surroundings(evidence)):
            found = local_factors(evidence, index, *times, METER, MOOD)
            assert factors.setdefault(key, found) == found


class Halting(dict[tuple[int, int, int], int]):
    """A table at which every thread halts after it has asked how much there is, as any may."""

    def __len__(self) -> int:
        count = super().__len__()
        time.sleep(0.002)
        return count


def test_threads_give_no_two_times_one_number() -> None:
    """Two tunes of a kind may be read at once, and share what was computed."""
    scorer = Scorer(data=rhythm_data(), meter=METER, mood=MOOD, times=Halting())
    evidence = Evidence(
        index=0,
        lead=1,
        gaps=(2,),
        pushes=(0,),
        kinds="b",
        strings=(1,),
        frets=(0,),
        signature=(((1, 0, False),),),
        opens=False,
        closes=False,
        chords=(False,),
    )

    def read(first: int) -> None:
        for length in range(first, 96, 4):
            scorer.scores(evidence, [((length, (0,)), 0.0)], (1, 1))

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(read, range(4, 8)))
    numbers = list(scorer.times.values())
    assert len(set(numbers)) == len(numbers) == 92


def typed(*gaps: int) -> Evidence:
    count = len(gaps)
    return Evidence(
        index=0,
        lead=1,
        gaps=gaps,
        pushes=(0,) * count,
        kinds="b" * count,
        strings=(1,) * count,
        frets=(0,) * count,
        signature=(((1, 0, False),),) * count,
        opens=False,
        closes=False,
        chords=(False,) * count,
    )


@pytest.mark.parametrize(("empty", "shows"), [(1, True), (5, False)])
def test_a_rough_spacing_has_a_character_for_a_quarter(empty: int, shows: bool) -> None:
    """Most measures may be nothing but a note right before the bar line."""
    evidence = [typed(2, 2, 4, 2, 2, 4)] * 4 + [typed(0)] * empty
    found = rough_spacing(evidence, 4 * TICKS)
    assert (found is not None) is shows
    assert found is None or found.columns == 4
