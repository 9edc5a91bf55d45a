"""The rhythm of a tune in one meter: grid measures in, onsets and durations out.

``infer_rhythm`` is the one way in; a tune of several meters is cut by ``stretches``. What is
written wins (``by_writing``); columns that say it to the letter come next (``by_columns``);
everything else is weighed together (``by_weighing``): columns, hands, meter, and the tune's own
repetition.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache

from rollstave.grid.typed import GridMeasure
from rollstave.rhythm.by_columns import (
    DOUBTED,
    NEAT,
    find_spacing,
    take_columns,
    trust_ends,
)
from rollstave.rhythm.by_weighing import doubt_columns, weigh
from rollstave.rhythm.by_writing import learn_from_written, take_written
from rollstave.rhythm.evidence import TICKS, gather
from rollstave.rhythm.left_hand import is_quick_start
from rollstave.rhythm.meter import Meter, MeterPrior
from rollstave.rhythm.meters import find_meter
from rollstave.rhythm.model_data import Pattern
from rollstave.rhythm.offered import Others, no_others
from rollstave.rhythm.reasons import explain
from rollstave.rhythm.state import State
from rollstave.rhythm.threes import without_figures
from rollstave.rhythm.timed import Alternative, RhythmReading, TimedMeasure

_UNEXPLAINED = 0.6  # at most, for a measure that is too long or too short without a reason


def infer_rhythm(
    measures: Sequence[GridMeasure],
    meter: Meter | None = None,
    prior: MeterPrior | None = None,
    others: Others = no_others,
) -> RhythmReading:
    """Onsets and durations for every column of every measure of a tune.

    ``meter`` is the meter that the typist wrote, or None to infer it, with
    ``prior`` for what else is known of it. A measure that is too long
    or too short is returned as it is typed. ``others`` are kinds of evidence that are asked, beside
    our own, of measures that nothing written settles.
    """
    measures, threes = without_figures(measures)
    evidence = gather(measures)
    reason, confidence, told = "written in the heading", 1.0, True
    if meter is None:
        meter, reason, confidence, told = find_meter(measures, evidence, prior)
    state = State(
        measures=measures,
        evidence=evidence,
        meter=meter,
        found=[None] * len(measures),
        others=others,
        threes=threes,
    )
    take_written(state)
    spacing = find_spacing(state)
    if spacing is not None and spacing.fit >= NEAT:
        take_columns(state, spacing)
        if state.doubtful:
            doubt_columns(state)
    learn_from_written(state)
    weigh(state, spacing)
    trust_ends(state, spacing)
    for of_measure, found in zip(evidence, state.found, strict=True):
        if found is not None and found.why.text != "empty":
            found.sure = found.sure and told  # in a meter in doubt nothing is sure
            quick = is_quick_start(of_measure, found.pattern[0], state.length)
            quick = quick or state.is_contradicted(of_measure.index)
            if found.sure and (quick or of_measure.index in state.within_beat):
                found.probability, found.sure = min(found.probability, DOUBTED), False
    patterns = [found.pattern if found else (0, ()) for found in state.found]
    timed = tuple(_timed(state, index, patterns, confidence) for index in range(len(measures)))
    return RhythmReading(
        meter=meter, meter_reason=reason, measures=timed, meter_confidence=confidence
    )


@lru_cache(maxsize=4096)  # measures of a tune are alike, and fractions are slow to make
def _in_quarters(pattern: Pattern) -> tuple[Fraction, tuple[Fraction, ...], tuple[Fraction, ...]]:
    """The length, the onsets and the durations of a pattern in ticks, in quarter notes. Durations
    reach from each onset to the next, the last one to the end."""
    length, onsets = pattern
    ends = (*onsets[1:], length) if onsets else ()
    return (
        Fraction(length, TICKS),
        tuple(Fraction(onset, TICKS) for onset in onsets),
        tuple(Fraction(end - start, TICKS) for start, end in zip(onsets, ends, strict=True)),
    )


def _timed(state: State, index: int, patterns: Sequence[Pattern], of_meter: float) -> TimedMeasure:
    """A measure as it was found. Its probability is that of its reading in the meter of the tune
    times ``of_meter``, that of the meter; ``sure`` speaks of the reading alone, for what is said of
    an inferred meter is said once for the tune."""
    found = state.found[index]
    assert found is not None
    length = found.pattern[0]
    total, onsets, durations = _in_quarters(found.pattern)
    source, reasons = explain(
        found.why,
        index,
        state.evidence,
        patterns,
        state.length,
    )
    pickup = length < state.length and state.evidence[index].opens and _is_pickup(state, index)
    complement = state.is_complement(index, length)
    explained = pickup or complement or index in state.crooked or found.why.text == "empty"
    if length != state.length and not explained:
        # Too long or too short, and nothing explains it: worth a second look in any case.
        found.probability = min(found.probability, _UNEXPLAINED)
        found.sure = False
    return TimedMeasure(
        onsets=onsets,
        durations=durations,
        length=total,
        confidence=found.probability * of_meter,
        sure=found.sure,
        source=source,
        reasons=reasons,
        alternatives=tuple(_alternative(p, odds) for p, odds in found.others),
        pickup=pickup,
        complement=complement,
    )


def _is_pickup(state: State, index: int) -> bool:
    """A short opening measure is a pickup if a strain follows it."""
    return index + 1 < len(state.measures) and (index == 0 or not state.evidence[index].closes)


def _alternative(pattern: Pattern, odds: float) -> Alternative:
    _, onsets, durations = _in_quarters(pattern)
    return Alternative(
        onsets=onsets,
        durations=durations,
        probability=odds,
        reason="nearly as likely",
    )
