"""Times that are finer than tab as text can hold: they are named.

Reading counts in 24ths of a quarter note (:data:`rollstave.rhythm.evidence.TICKS`), so finer times
are lost whatever is typed, and for one such part alone there is no note value that is typed. Scores
that were played in rather than written have such times.
"""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.problems import Place, ProblemList
from rollstave.rhythm.evidence import TICKS
from rollstave.score.records import Measure
from rollstave.vocabulary import problems as kinds

SHORTEST = 2  # 24ths of a quarter note: the shortest note value that can be typed, a triplet 32nd
_THUMB = 8  # of a quarter note: t, as a note value


def held(measure: Measure) -> bool:
    """True if text can hold when each event begins and how long the measure is."""
    if TICKS % measure.length.denominator:
        return False
    shortest, all_thumbs = TICKS, True
    for event in measure.events:
        # Whole numbers, because fractions are slow and every measure of every tune comes here.
        duration = event.duration
        if TICKS % event.onset.denominator:
            return False
        shortest = min(shortest, duration.numerator * TICKS // duration.denominator)
        all_thumbs = all_thumbs and duration.denominator == _THUMB and duration.numerator == 1
    # Note values of thirty-seconds alone would be read as the letters of a thumb.
    return shortest >= SHORTEST and not all_thumbs


def report_fine_times(
    measures: Sequence[Measure], problems: ProblemList, places: Sequence[Place] = ()
) -> None:
    """Say which measures have times that are moved where they are typed. ``places`` are those of
    the measures in the text, if there is one."""
    moved = [index for index, measure in enumerate(measures) if not held(measure)]
    if moved:
        problems.add(
            kinds.FINE_TIMES,
            f"{measures[moved[0]].called} has times that text cannot hold; typed as text, its "
            f"notes are moved to the nearest that it can ({len(moved)} measures in all)",
            places[moved[0]] if places else None,
        )
