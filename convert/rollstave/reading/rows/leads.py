"""Systems that leave more or less room behind the bar than the others of their tune.

Common practice, no source: what a typist leaves behind the bar takes no time, and the next page may
have a column more of it. Where every note of a system stands between the places of the others, and
is as far apart as theirs, all of them are moved at once.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import groupby
from math import gcd

from msgspec import Struct
from msgspec.structs import replace

from rollstave.grid.typed import GridMeasure
from rollstave.problems import Place
from rollstave.reading.state import ReadingState
from rollstave.vocabulary import problems as kinds

_FEWEST_MEASURES = 2
_FEWEST_NOTES = 8  # of a system that show where its notes stand
_FARTHEST = 3  # columns
_CLOSEST = 2  # of a step: half of it is the half of the shortest note


class _Stands(Struct, frozen=True):
    """Where the notes of a system stand: the first behind any bar, and their common step."""

    first: int
    step: int
    widths: tuple[int, ...]


def leads_of_systems(
    state: ReadingState, measures: Sequence[GridMeasure]
) -> list[GridMeasure] | None:
    """The measures with the notes of such systems where those of the others stand."""
    systems = [list(group) for _, group in groupby(measures, key=lambda m: m.system)]
    stands = [_stands(system) for system in systems]
    usual = Counter((s.first, s.step) for s in stands if s is not None).most_common(1)
    if len(systems) < 2 or not usual:
        return None
    (first, step), times = usual[0]
    model = next(s for s in stands if s is not None and (s.first, s.step) == (first, step))
    if times * 2 < sum(s is not None for s in stands):
        return None
    result: list[GridMeasure] = []
    moved = False
    for system, own in zip(systems, stands, strict=True):
        alike = own is not None and own.step == step and set(own.widths) == set(model.widths)
        by = own.first - first if own is not None and alike else 0
        # Half a step off may be meant: chords on the second half of every beat.
        meant = by % step == 0 or (2 * by % step == 0 and (step > _CLOSEST or first == 0))
        if not (0 < abs(by) <= _FARTHEST) or meant:
            result += system
            continue
        moved = True
        line = system[0]
        state.problems.add(
            kinds.LEADS,
            f"the notes of this system stand {abs(by)} column{'s' * (abs(by) > 1)} farther "
            f"{'right' if by > 0 else 'left'} than those of the others, which takes no time",
            Place(line.first_line, line.first_column),
        )
        result += [moved_left(measure, by) for measure in system]
    return result if moved else None


def _stands(system: Sequence[GridMeasure]) -> _Stands | None:
    """Where the notes of a system stand, or None if it has too few, or they stand anywhere."""
    at = [column.position for measure in system for column in measure.columns]
    if len(system) < _FEWEST_MEASURES or len(at) < _FEWEST_NOTES:
        return None
    first = min(at)
    step = gcd(*(position - first for position in at))
    if step < 2:
        return None
    # A last measure may be wider by its bar.
    return _Stands(first=first, step=step, widths=tuple(m.width for m in system))


def moved_left(measure: GridMeasure, by: int) -> GridMeasure:
    """The measure with its notes and words ``by`` columns farther left."""
    return replace(
        measure,
        columns=tuple(replace(c, position=c.position - by) for c in measure.columns),
        attachments=tuple(
            replace(a, position=max(0, a.position - by)) for a in measure.attachments
        ),
        rests=tuple(rest - by for rest in measure.rests),
    )
