"""Measures longer or shorter than their neighbours."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise
from statistics import median

from msgspec import Struct

from rollstave.api import Tune
from rollstave.grid.typed import Bar, GridMeasure
from rollstave.problems import Place
from rollstave.proofreading.correction import Correction
from rollstave.rhythm.meter import Meter
from rollstave.rhythm.spoken import as_beats, too_long
from rollstave.vocabulary import problems as kinds

_FEWEST = 4  # measures that show what is usual
_TWICE = 1.7  # so much wider than usual, and with so many more notes, are two measures in one
_ALIKE = 0.8  # share of measures that are equally wide where one that is not stands out
_MEANT = 0.2  # share of measures of another length that is a habit of the tune
_UNITS = (Fraction(1, 4), Fraction(1, 3), Fraction(1, 2), Fraction(1))  # quarter notes of a step
_EDGES = (Bar.REPEAT_END, Bar.REPEAT_START, Bar.DOUBLE, Bar.FINAL)


def odd_lengths(tune: Tune) -> Iterator[Correction]:
    """A measure that the meter does not allow in the middle of a strain; one as wide and full as
    two. At the edges of strains short measures are pickups and what completes them."""
    measures = tune.grid.measures
    widths = sorted(m.width for m in measures)
    columns = sorted(len(m.columns) for m in measures)
    usual_width = median(widths) if widths else 0
    usual_columns = median(columns) if columns else 0
    enough = len(measures) >= _FEWEST
    first = tune.score.meter
    crooked, typed = _is_crooked(tune), _typed(measures, first)
    usual_lengths = Counter(m.length for m in tune.score.measures)
    pairs = zip(measures, tune.score.measures, tune.score.meters, strict=True)
    for index, (grid, measure, meter) in enumerate(pairs):
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
        length = measure.length
        if length == meter.length and not measure.rhythm.sure and typed and meter == first:
            length = typed.length_of(grid) or length
        if length == meter.length or measure.number == 0 or crooked:
            continue
        if usual_lengths[length] > max(1, _MEANT * len(measures)):
            continue  # what the typist repeats is no slip
        if length > meter.length or not _at_edge(measures, index):
            yield Correction(
                kinds.LENGTH,
                place,
                f"{measure.called} is {too_long(length, meter)}: it has "
                f"{as_beats(length, meter)} where {meter} has {as_beats(meter.length, meter)}",
            )


class _Typed(Struct, frozen=True):
    """The measures of a tune that are all typed equally wide: their width, and the length in
    quarter notes that ``step`` characters take."""

    width: int
    step: int
    unit: Fraction

    def length_of(self, grid: GridMeasure) -> Fraction | None:
        """The length of a measure that is wider or narrower by whole steps, its notes on them."""
        more, rest = divmod(grid.width - self.width, self.step)
        positions = [c.position for c in grid.columns]
        if rest or not more or not positions:
            return None
        if any((p - positions[0]) % self.step for p in positions):
            return None
        cells = self.width // self.step
        if more > 0 and (positions[-1] - positions[0]) // self.step < cells:
            return None  # its notes have room in a measure that is as wide as the others
        return self.unit * (cells + more)


def _typed(measures: Sequence[GridMeasure], meter: Meter) -> _Typed | None:
    """The spacing of a tune nearly all of whose measures are equally wide."""
    if not measures:
        return None
    width, number = Counter(m.width for m in measures).most_common(1)[0]
    alike = [m for m in measures if m.width == width]
    if number < _FEWEST or number < _ALIKE * len(measures):
        return None
    gaps = Counter(
        b.position - a.position for m in alike for a, b in pairwise(m.columns) if b.position
    )
    step = min(gaps, default=0)
    if step < 1 or any(gap % step for gap in gaps) or gaps[step] < number:
        return None
    unit = meter.length / (width // step)
    return _Typed(width, step, unit) if unit in _UNITS else None


def _is_crooked(tune: Tune) -> bool:
    """Whether the typist says that measures are not all alike: "crooked" is the trade's word
    (common practice, no source)."""
    said = (tune.score.title, *tune.score.notes, *(words for _, words in tune.score.said))
    return any("crooked" in words.lower() for words in said)


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
