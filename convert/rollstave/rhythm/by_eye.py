"""Files typed in time by the eye: each measure is a little wider or narrower than the next.

No spacing explains such a file. Within a measure longer notes still stand apart as much farther as
they last, to a character or so; so each reading of a measure is held beside its columns in the
scale that its own first and last note give.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from math import log

from rollstave.rhythm.evidence import TICKS, Evidence
from rollstave.rhythm.model_data import Pattern
from rollstave.rhythm.spacing import Spacing

# Of the measures so many hold two notes that stand apart as one to two where time is shown at all.
# Squeezed typing has hardly any of them: its typists add a dash, at the most two.
_SHOWN = 0.15
_TWICE, _APART = 1.8, 2
_LEAST = 4  # measures from which that is asked


def rough_spacing(evidence: Sequence[Evidence], length: int) -> Spacing | None:
    """The spacing of a file that is typed in time by the eye: none explains it, but full measures
    of ``length`` ticks are about so wide. None where time is not shown at all."""
    inner = [e for e in evidence if e.count and not e.opens and not e.closes]
    if len(inner) < _LEAST or _shown(inner) < _SHOWN:
        return None
    lead = Counter(e.lead for e in inner).most_common(1)[0][0]
    widths = sorted(e.width - lead for e in inner)
    columns = widths[len(widths) // 2] * TICKS / length
    if columns < 1:  # less than a character for a quarter shows no time
        return None
    return Spacing(columns=columns, lead=lead, spare=0, pushed=_pushed(inner), fit=0.0)


def _shown(inner: Sequence[Evidence]) -> float:
    """The share of measures in which two notes stand apart as one to two, wide frets and signs
    taken to push the notes after them or not."""
    asked = [e for e in inner if e.count > 2]
    return min(
        sum(_is_uneven(_steps(e, pushed)[:-1]) for e in asked) / max(1, len(asked))
        for pushed in (False, True)
    )


def _is_uneven(steps: Sequence[int]) -> bool:
    least = max(2, min(steps))
    return max(steps) >= _TWICE * least and max(steps) - least >= _APART


def _steps(evidence: Evidence, pushed: bool) -> list[int]:
    """Characters that stand for time from each column to the next, the last to the bar line."""
    if not pushed:
        return list(evidence.gaps)
    return [gap - push for gap, push in zip(evidence.gaps, evidence.pushes, strict=True)]


def _pushed(inner: Sequence[Evidence]) -> bool:
    """Whether gaps with a wide fret or a sign in them are wider than the others of their measure,
    by half of what is in them at the least."""
    more = signs = 0.0
    for e in inner:
        wide = [(gap, push) for gap, push in zip(e.gaps[:-1], e.pushes[:-1], strict=True) if push]
        plain = [gap for gap, push in zip(e.gaps[:-1], e.pushes[:-1], strict=True) if not push]
        if wide and plain:
            usual = sum(plain) / len(plain)
            more += sum(gap - usual for gap, _ in wide)
            signs += sum(push for _, push in wide)
    return more > signs / 2


# Log probability of a gap by how many characters it is off: what typists who type by the eye do
# (means of their misses, tunes that may be tuned on: 0.1 to 0.4 of a character, whatever the
# duration; before a bar line, where one drops a dash and another adds two, 0.1 to 2).
_MISS, _LONG, _AT_BAR, _AT_START = 0.4, 0.04, 1.2, 0.7
_CUT = 1.6
_WORST = 6.0  # no gap speaks against a reading by more
_USUAL_SCALE = 0.25  # how much scales of measures differ, as log ratios


def eye_scores(evidence: Evidence, spacing: Spacing, patterns: Sequence[Pattern]) -> list[float]:
    """Log probability of a measure's columns under each pattern, in the scale that is its own."""
    steps = _steps(evidence, spacing.pushed)
    *inner, final = steps
    span = sum(inner)
    first = evidence.lead - spacing.lead
    usual = spacing.columns / TICKS
    scores = []
    for length, onsets in patterns:
        lasts = onsets[-1] - onsets[0]
        scale = span / lasts if lasts and span > 0 else max(1, first + final) / length
        score = -(((log(scale / usual)) / _USUAL_SCALE) ** 2) / 2
        for gap, start, end in zip(inner, onsets, onsets[1:], strict=False):
            expected = scale * (end - start)
            size = _MISS + _LONG * expected
            off = abs(gap - expected)
            if gap < expected and end - start >= TICKS:
                off /= _CUT  # long notes are cut short
            score -= min(off / size, _WORST) + log(2 * size)
        score -= min(abs(final - scale * (length - onsets[-1])) / _AT_BAR, _WORST)
        score -= min(abs(first - scale * onsets[0]) / _AT_START, _WORST)
        scores.append(score - log(4 * _AT_BAR * _AT_START))
    return scores
