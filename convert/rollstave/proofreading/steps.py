"""A dash too many or too few in one row of a measure: where, and what mends it."""

from __future__ import annotations

from rollstave.api import Tune
from rollstave.grid.typed import GridMeasure, Stroke
from rollstave.problems import Problem
from rollstave.proofreading.correction import Correction
from rollstave.vocabulary import problems as kinds

_ASIDE = 3  # characters that a measure may begin beside those of the row over it


def with_mend(tune: Tune, problem: Problem) -> Correction | None:
    """The mark of a row that is out of step in one measure, with the dash that mends it; None
    where the measure is not to be found or its notes do not show the place."""
    assert problem.place is not None
    line = problem.place.line
    for grid, measure in zip(tune.grid.measures, tune.score.measures, strict=True):
        if not grid.first_line <= line <= grid.last_line:
            continue
        if abs(grid.first_column - problem.place.column) > _ASIDE:
            continue
        where = _where(_typed(grid, line), problem.place.column)
        more = "too few" in problem.message
        return Correction(
            kind=kinds.ROWS_OUT_OF_STEP,
            place=problem.place,
            message=f"in {measure.called} {problem.message.replace(' in this measure', '')}",
            mend=f"one dash {'more' if more else 'fewer'} in this row, {where}",
        )
    return None


def _typed(grid: GridMeasure, line: int) -> list[tuple[Stroke, int]]:
    """The strokes of one row of a measure in order, each with where it is read."""
    found = [(s, c.position) for c in grid.columns for s in c.strokes if s.place.line == line]
    return sorted(found, key=lambda item: item[0].place.column)


def _where(typed: list[tuple[Stroke, int]], begin: int) -> str:
    """Before which stroke the row falls out of step: the first that is read beside its place."""
    if not typed:
        return "anywhere in it"
    last = typed[0][0]
    for stroke, position in typed:
        if position != stroke.place.column - begin:
            return f"before the {stroke.fret} in column {stroke.place.column}"
        last = stroke
    return f"after the {last.fret} in column {last.place.column}"
