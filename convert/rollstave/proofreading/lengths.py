"""Measures longer or shorter than their neighbours."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median

from rollstave.api import Tune
from rollstave.grid.typed import Bar, GridMeasure
from rollstave.problems import Place
from rollstave.proofreading.correction import Correction
from rollstave.rhythm.spoken import as_beats
from rollstave.vocabulary import problems as kinds

_FEWEST = 4  # measures that show what is usual
_TWICE = 1.7  # so much wider than usual, and with so many more notes, are two measures in one
_EDGES = (Bar.REPEAT_END, Bar.REPEAT_START, Bar.DOUBLE, Bar.FINAL)


def odd_lengths(tune: Tune) -> Iterator[Correction]:
    """A measure that the meter does not allow in the middle of a strain; one as wide and full as
    two. At the edges of strains short measures are pickups and what completes them."""
    measures = tune.grid.measures
    widths = sorted(m.width for m in measures)
    columns = sorted(len(m.columns) for m in measures)
    usual_width = median(widths) if widths else 0
    usual_columns = median(columns) if columns else 0
    meter = tune.score.meter
    enough = len(measures) >= _FEWEST
    for index, (grid, measure) in enumerate(zip(measures, tune.score.measures, strict=True)):
        place = Place(grid.first_line, grid.first_column)
        if (
            enough
            and grid.width > _TWICE * usual_width
            and len(grid.columns) > _TWICE * usual_columns
            and _nothing_between(measures, index, usual_width)
        ):
            yield Correction(
                kind=kinds.LONG,
                place=place,
                message=f"{measure.called} is as wide and as full as two; "
                "a bar line may be missing",
                mend="a bar line (|) in the middle",
            )
            continue
        if measure.length == meter.length or measure.number == 0:
            continue
        if measure.length > meter.length or not _at_edge(measures, index):
            kind = "longer" if measure.length > meter.length else "shorter"
            yield Correction(
                kinds.LENGTH,
                place,
                f"{measure.called} is {kind} than its neighbours: it has "
                f"{as_beats(measure.length, meter)} where {meter} has "
                f"{as_beats(meter.length, meter)}",
            )


def _nothing_between(measures: tuple[GridMeasure, ...], index: int, usual: float) -> bool:
    """True if few measures are so wide: a tune may have a broad part."""
    wide = sum(m.width > _TWICE * usual for m in measures)
    return wide <= max(1, len(measures) // 12)


def _at_edge(measures: tuple[GridMeasure, ...], index: int) -> bool:
    """True for the first and last measures of a strain, a section or an ending."""
    measure = measures[index]
    before = measures[index - 1] if index else None
    after = measures[index + 1] if index + 1 < len(measures) else None
    return (
        before is None
        or after is None
        or measure.right in _EDGES
        or measure.left in _EDGES
        or before.right in _EDGES
        or after.left is Bar.REPEAT_START
        or measure.section is not None
        or after.section is not None
        or measure.ending is not None
        or measure.ending_stop
        or after.ending is not None
    )
