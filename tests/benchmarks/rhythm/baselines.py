"""The two readings that a solver has to beat. Both know the meter and how many notes there are.

- Equal division: the notes of a measure divide a full measure evenly.
- Commonest pattern: the rhythm most often seen for that meter and that number of notes, counted
  on the tunes that may be tuned on (``split``); even division where there is none. Patterns of
  pickups and other short measures are counted too.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable
from fractions import Fraction

from .model import ArrangedTune, MeasureKind, Meter

Rhythm = tuple[tuple[Fraction, Fraction], ...]  # (onset, duration) of each note
Patterns = dict[tuple[Meter, int], Rhythm]


def equal_division(meter: Meter, count: int) -> Rhythm:
    """``count`` notes of the same length over a full measure."""
    step = meter.length / max(count, 1)
    return tuple((i * step, step) for i in range(count))


def count_patterns(tunes: Iterable[ArrangedTune]) -> Patterns:
    """The commonest rhythm for each meter and number of notes; ties go to the one seen first."""
    seen: defaultdict[tuple[Meter, int], Counter[Rhythm]] = defaultdict(Counter)
    for tune in tunes:
        for measure in tune.measures:
            if measure.kind is not MeasureKind.ODD and measure.events:
                rhythm = tuple((e.onset, e.duration) for e in measure.events)
                seen[tune.meter, len(rhythm)][rhythm] += 1
    return {key: counter.most_common(1)[0][0] for key, counter in seen.items()}


def commonest_pattern(patterns: Patterns, meter: Meter, count: int) -> Rhythm:
    """The pattern counted for that meter and number of notes, or even division."""
    return patterns.get((meter, count)) or equal_division(meter, count)
