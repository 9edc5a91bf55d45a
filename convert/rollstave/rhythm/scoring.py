"""Scores of readings by the factors, computed once for what looks alike.

Most of the work on a tune whose columns say nothing is to score some dozen readings of each of its
measures by the names of factors (``factors.py``). What one onset adds depends on few things, which
come again and again within a tune and in the tunes of its kind.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import count

from msgspec import Struct, field

from rollstave.rhythm.evidence import Evidence
from rollstave.rhythm.factors import Around, local_factors, surroundings, whole_factors
from rollstave.rhythm.model_data import Pattern, RhythmData

Times = tuple[int, int, int]  # an onset, the time since the one before it, and its duration


class Scorer(Struct):
    """Scores patterns of measures of one tune by the factors: what onsets add that look alike, at
    the same times, is computed once for all measures, and times have numbers, as they are looked up
    again and again. Threads share it: each takes its numbers from one row, so no two times have the
    same, and whatever they compute twice is equal."""

    data: RhythmData
    meter: str
    mood: str
    times: dict[Times, int] = field(default_factory=dict)
    numbers: Iterator[int] = field(default_factory=count)
    timed: dict[Pattern, tuple[tuple[int, ...], tuple[int, ...]]] = field(default_factory=dict)
    onsets: dict[Around, dict[int, float]] = field(default_factory=dict)
    wholes: dict[object, dict[tuple[int, ...], tuple[float, ...]]] = field(default_factory=dict)

    def scores(
        self,
        evidence: Evidence,
        pool: Sequence[tuple[Pattern, float]],
        around: tuple[int, int],
    ) -> list[float]:
        """Log scores of patterns, of which each has a log prior."""
        prior_weight = self.data.weights.get("prior", 1.0)
        added = [self.onsets.setdefault(key, {}) for key in surroundings(evidence)]
        own = evidence.count
        more = tuple([(n > own) - (n < own) for n in around])
        whole = self.wholes.setdefault((evidence.opens, evidence.closes, own, more), {})
        timed = self.timed
        scores = []
        for pattern, prior in pool:
            times, shape = timed.get(pattern) or self._timed(pattern)
            score = prior_weight * prior
            for index, (known, number) in enumerate(zip(added, times, strict=True)):
                value = known.get(number)
                if value is None:
                    value = known[number] = self._onset(evidence, index, pattern)
                score += value
            for value in whole.get(shape) or self._whole(evidence, pattern, around, whole):
                score += value
            scores.append(score)
        return scores

    def _timed(self, pattern: Pattern) -> tuple[tuple[int, ...], tuple[int, ...]]:
        """The numbers of the times of a pattern, and what factors see of its durations."""
        durations = _durations(pattern)
        onsets = pattern[1]
        times = zip(onsets, (onsets[0], *onsets), durations, strict=False)
        numbers = tuple(
            [
                self.times.setdefault((onset, onset - before, duration), next(self.numbers))
                for onset, before, duration in times
            ]
        )
        shape = (durations[-1], min(durations), max(durations), len(set(durations)))
        self.timed[pattern] = numbers, shape
        return numbers, shape

    def _onset(self, evidence: Evidence, index: int, pattern: Pattern) -> float:
        """What one onset of a pattern adds."""
        length, onsets = pattern
        onset = onsets[index]
        before = onset - onsets[max(0, index - 1)]
        end = onsets[index + 1] if index + 1 < len(onsets) else length
        names = local_factors(evidence, index, onset, before, end - onset, self.meter, self.mood)
        weight_of = self.data.weights.get
        return sum([weight_of(name, 0.0) for name in names])

    def _whole(
        self,
        evidence: Evidence,
        pattern: Pattern,
        around: tuple[int, int],
        known: dict[tuple[int, ...], tuple[float, ...]],
    ) -> tuple[float, ...]:
        """What the durations of a pattern add as a whole."""
        names = whole_factors(evidence, _durations(pattern), self.meter, around)
        weight_of = self.data.weights.get
        found = tuple([weight_of(name, 0.0) for name in names])
        known[self.timed[pattern][1]] = found
        return found


# Scorers that are kept with what they have computed, as the tunes of a file are of a few kinds; and
# how much one may know that is kept.
_SCORERS, _TIMES = 32, 20_000


def scorer_of(data: RhythmData, meter: str, mood: str) -> Scorer:
    """The scorer of tunes of that meter and mood, which knows what it has computed before."""
    key = meter, mood
    scorer: Scorer | None = data.scorers.get(key)
    if scorer is None or len(scorer.times) > _TIMES:
        if len(data.scorers) >= _SCORERS:
            data.scorers.clear()
        scorer = data.scorers[key] = Scorer(data=data, meter=meter, mood=mood)
    return scorer


def _durations(pattern: Pattern) -> list[int]:
    length, onsets = pattern
    return [end - onset for onset, end in zip(onsets, (*onsets[1:], length), strict=True)]
