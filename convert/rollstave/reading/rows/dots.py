"""Repeat dots that stand in place of a dash, of which the measure is narrower than the others.

Common practice, no source: who types over the last dash of a measure, or over the room behind a
bar, keeps all measures in step on the screen. No time goes with it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from math import gcd

from msgspec import Struct
from msgspec.structs import replace

from rollstave.grid.typed import Bar, GridMeasure
from rollstave.reading.rows.leads import moved_left
from rollstave.reading.state import ReadingState

_FEWEST = 2  # measures that show how wide one is
_CLOSEST = 2  # columns between notes; where they may be closer, a column may be a note's


class _Usual(Struct, frozen=True):
    """How wide measures without dots are, where their notes begin and how far apart they are."""

    width: int
    first: int
    step: int


def dots_for_dashes(
    _state: ReadingState, measures: Sequence[GridMeasure]
) -> list[GridMeasure] | None:
    """The measures, those one column too narrow with the dot's column given back."""
    usual = _usual([m for m in measures if not _opens(m) and not _closes(m)])
    if usual is None:
        return None
    result = [_with_dots(measure, usual) for measure in measures]
    return None if result == list(measures) else result


def _usual(plain: Sequence[GridMeasure]) -> _Usual | None:
    widths = Counter(measure.width for measure in plain).most_common(1)
    if not widths or widths[0][1] < _FEWEST or 2 * widths[0][1] <= len(plain):
        return None
    at = [c.position for m in plain if m.width == widths[0][0] for c in m.columns]
    if not at:
        return None
    step = gcd(*(position - at[0] for position in at))
    return _Usual(width=widths[0][0], first=min(at), step=step) if step >= _CLOSEST else None


def _with_dots(measure: GridMeasure, usual: _Usual) -> GridMeasure:
    lacking = usual.width - measure.width
    opens = _opens(measure) and all(
        (c.position + 1 - usual.first) % usual.step == 0 for c in measure.columns
    )
    if not lacking or lacking != opens + _closes(measure) or not measure.columns:
        return measure
    return replace(moved_left(measure, -1) if opens else measure, width=usual.width)


def _opens(measure: GridMeasure) -> bool:
    return measure.left is Bar.REPEAT_START


def _closes(measure: GridMeasure) -> bool:
    return measure.right is Bar.REPEAT_END
