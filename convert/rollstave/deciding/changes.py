"""What changes in the midst of a tune, as the headings between its systems say it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from msgspec.structs import replace

from rollstave.deciding.about import meter_of
from rollstave.grid.typed import GridMeasure
from rollstave.problems import ProblemList
from rollstave.rhythm.meter import Meter
from rollstave.score.records import Change, Measure


def meters_said(measures: Sequence[GridMeasure], problems: ProblemList) -> dict[int, Meter]:
    """The meter that is named over a measure, by the place of the measure in the tune. What is no
    meter is a problem, and changes nothing."""
    found = {
        index: meter_of(heading, problems)
        for index, measure in enumerate(measures)
        if measure.changes  # hardly ever
        for heading in measure.changes
        if heading.key == "time"
    }
    return {index: meter for index, meter in found.items() if meter is not None}


def with_changes(measures: Sequence[Measure], meters: Sequence[Meter]) -> tuple[Measure, ...]:
    """Measures that say where what holds for them is not what held before. Empty sequences are of
    what never changes."""
    found: dict[int, dict[str, Any]] = {}
    for name, held in (("meter", meters),):
        for index, (before, now) in enumerate(pairwise(held), start=1):
            if now != before:
                found.setdefault(index, {})[name] = now
    if not found:
        return tuple(measures)  # nearly always
    return tuple(
        replace(measure, change=Change(**found[index])) if index in found else measure
        for index, measure in enumerate(measures)
    )
