"""The readings of one measure that are weighed against each other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from math import exp, log

from msgspec import Struct, field

from rollstave.rhythm.candidates import candidates
from rollstave.rhythm.columns import near_readings, onsets_score
from rollstave.rhythm.evidence import TICKS, Evidence
from rollstave.rhythm.factors import local_factors, whole_factors
from rollstave.rhythm.model_data import Pattern, RhythmData
from rollstave.rhythm.spacing import Spacing

# Of the measures of a file that is typed in time, so many are typed without regard to it.
_CARELESS = 0.01
# Log probability that a measure in the middle of a strain is truly longer or shorter.
_ODD_LENGTH = -6.0
_MOST = 40
_HOPELESS = 12.0  # log odds against a reading that the rest of a tune cannot make up for


class Choice(Struct):
    """All measures of a tune that strike the same strings and frets, and their readings.

    ``base`` scores each pattern by the measure alone, ``columns`` by how it is typed, summed over
    the members. ``odds`` are the probabilities at the moment.
    """

    members: list[int]
    evidence: Evidence
    patterns: list[Pattern]
    base: list[float]
    columns: list[float]
    odds: list[float] = field(default_factory=list)


def normalise(scores: Sequence[float]) -> list[float]:
    """Probabilities from log scores."""
    top = max(scores)
    shares = [exp(s - top) for s in scores]
    total = sum(shares)
    return [s / total for s in shares]


def base_scores(
    data: RhythmData,
    evidence: Evidence,
    pool: Sequence[tuple[Pattern, float]],
    meter: str,
    tune_mood: str,
    around: tuple[int, int],
) -> list[float]:
    """Log scores of patterns by the factors; what one onset adds is computed once."""
    weights = data.weights
    weight_of = weights.get
    prior_weight = weight_of("prior", 1.0)
    memo: dict[tuple[int, int, int, int], float] = {}
    scores = []
    for (length, onsets), prior in pool:
        score = prior_weight * prior
        previous = onsets[0]
        durations = []
        for index, onset in enumerate(onsets):
            end = onsets[index + 1] if index + 1 < len(onsets) else length
            key = (index, onset, onset - previous, end - onset)
            value = memo.get(key)
            if value is None:
                names = local_factors(
                    evidence, index, onset, onset - previous, end - onset, meter, tune_mood
                )
                value = sum([weight_of(name, 0.0) for name in names])
                memo[key] = value
            score += value
            durations.append(end - onset)
            previous = onset
        for name in whole_factors(evidence, durations, meter, around):
            score += weight_of(name, 0.0)
        scores.append(score)
    return scores


def pool_of(
    data: RhythmData, evidence: Evidence, meter: str, length: int, spacing: Spacing | None
) -> list[tuple[Pattern, float]]:
    """Patterns for a measure with log priors: known ones, and those its columns come near to."""
    pool = candidates(data, evidence, meter, length)
    if spacing is None:
        return pool
    have = {pattern for pattern, _ in pool}
    lengths = plausible_lengths(evidence, spacing, length)
    for reading in near_readings(evidence, spacing, lengths, wishes()):
        pattern = (reading.length, reading.onsets)
        if pattern not in have:
            usual = reading.length == length or evidence.opens or evidence.closes
            pool.append((pattern, -6.0 if usual else -6.0 + _ODD_LENGTH))
            have.add(pattern)
    return pool


def plausible_lengths(evidence: Evidence, spacing: Spacing, length: int) -> list[int]:
    """The full length, and what the width says if it is something else on the grid."""
    push = sum(evidence.pushes) if spacing.pushed else 0
    width = evidence.width - spacing.lead - spacing.spare - push
    typed = width * TICKS // spacing.columns
    found = {length}
    for tick in range(typed - typed % 6, typed + 7, 6):
        if tick > 0 and (abs(tick - length) >= 6):
            found.add(tick)
    return sorted(found)


@cache
def wishes() -> Mapping[int, float]:
    """How usual an onset is by its place in the quarter note, as a log weight."""
    found = {}
    for tick in range(TICKS):
        if tick % 12 == 0:
            found[tick] = 0.0
        elif tick % 6 == 0:
            found[tick] = -0.7
        elif tick % 8 == 0:
            found[tick] = -2.0
        elif tick % 3 == 0 or tick % 4 == 0:
            found[tick] = -3.0
    return found


def column_scores(
    evidence: Evidence, spacing: Spacing | None, patterns: Sequence[Pattern]
) -> list[float]:
    """Log probability of how a measure is typed under each pattern; 0 if columns say nothing."""
    if spacing is None:
        return [0.0] * len(patterns)
    careless = log(_CARELESS) + (evidence.count + 1) * log(0.35)
    scores = []
    for length, onsets in patterns:
        typed = onsets_score(evidence, spacing, onsets, length)
        top = max(typed, careless)
        scores.append(top + log(exp(typed - top) + exp(careless - top)))
    return scores


def make_choice(
    data: RhythmData,
    members: list[int],
    all_evidence: Sequence[Evidence],
    meter: str,
    length: int,
    spacing: Spacing | None,
    tune_mood: str,
) -> Choice:
    """The readings of a group of like measures, the best forty by measure and columns."""
    first = all_evidence[members[0]]
    pool = pool_of(data, first, meter, length, spacing)
    if spacing is not None and len(members) > 1:
        have = {pattern for pattern, _ in pool}
        for member in members[1:4]:
            for pattern, prior in pool_of(data, all_evidence[member], meter, length, spacing):
                if pattern not in have:
                    pool.append((pattern, prior))
                    have.add(pattern)
    around = (
        all_evidence[members[0] - 1].count if members[0] else -1,
        all_evidence[members[0] + 1].count if members[0] + 1 < len(all_evidence) else -1,
    )
    base = base_scores(data, first, pool, meter, tune_mood, around)
    patterns = [pattern for pattern, _ in pool]
    columns = [0.0] * len(patterns)
    for member in members:
        for index, score in enumerate(column_scores(all_evidence[member], spacing, patterns)):
            columns[index] += score
    order = sorted(range(len(patterns)), key=lambda i: (-(base[i] + columns[i]), patterns[i]))
    best = base[order[0]] + columns[order[0]] if order else 0.0
    kept = [i for i in order[:_MOST] if base[i] + columns[i] > best - _HOPELESS]
    choice = Choice(
        members=members,
        evidence=first,
        patterns=[patterns[i] for i in kept],
        base=[base[i] for i in kept],
        columns=[columns[i] for i in kept],
    )
    if kept:
        choice.odds = normalise([b + c for b, c in zip(choice.base, choice.columns, strict=True)])
    return choice
