"""Two rows of a system that were exchanged: with them put back, its measures are those that stand
elsewhere, or its foreign notes are gone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import groupby

from rollstave.api import Tune
from rollstave.grid.model import GridMeasure
from rollstave.instruments.setup import NoSuchFret, Setup
from rollstave.problems import Place
from rollstave.proofreading.model import Mark

_MAJOR = (0, 2, 4, 5, 7, 9, 11)
_ORDER = 0.95  # share of notes that a scale must hold before foreign notes tell something
_MEASURES = 2  # so many measures must stand elsewhere the other way round
_FOREIGN = 2  # foreign notes of a system that must all be gone

Content = tuple[tuple[int, int, int], ...]  # column index, string, fret


def exchanged_rows(tune: Tune) -> Iterator[Mark]:
    """At most one pair for each system: the one that explains most."""
    measures = tune.grid.measures
    setup = tune.score.setup
    times = Counter(_content(m, 0) for m in measures)
    scale, share = _scale(measures, setup)
    for _, group in groupby(measures, key=lambda m: m.system):
        system = list(group)
        here = Counter(_content(m, 0) for m in system)
        best: tuple[int, int] | None = None
        for upper in range(1, setup.instrument.strings):
            gain = _as_elsewhere(system, upper, times, here)
            gone = _foreign_gone(system, upper, scale, setup) if share >= _ORDER else 0
            gain = gain + gone if gain >= _MEASURES or (gain >= 0 and gone) else 0
            if gain > 0 and (best is None or gain > best[0]):
                best = (gain, upper)
        if best is not None:
            upper = best[1]
            yield Mark(
                "rows-exchanged",
                Place(system[0].first_line + upper - 1, 1),
                f"the rows of strings {upper} and {upper + 1} seem to be exchanged in this "
                "system: the other way round its notes fit the rest of the tune",
                "exchange this row and the one below it, labels left where they are",
            )


def _content(measure: GridMeasure, upper: int) -> Content:
    """What is struck, with rows ``upper`` and the next one exchanged (0 for as it is)."""
    other = {upper: upper + 1, upper + 1: upper} if upper else {}
    return tuple(
        sorted(
            (index, other.get(s.string, s.string), -1 if s.fret is None else s.fret)
            for index, column in enumerate(measure.columns)
            for s in column.strokes
        )
    )


def _as_elsewhere(
    system: Sequence[GridMeasure], upper: int, times: Counter[Content], here: Counter[Content]
) -> int:
    """How many measures are found in other systems only when the rows are exchanged, less those
    that are found there as they are."""
    gain = 0
    for measure in system:
        own, turned = _content(measure, 0), _content(measure, upper)
        if own == turned or len(own) < 4:
            continue
        gain += (times[turned] > here[turned]) - (times[own] > here[own])
    return gain


def _scale(measures: Sequence[GridMeasure], setup: Setup) -> tuple[frozenset[int], float]:
    counts: Counter[int] = Counter()
    for measure in measures:
        counts.update(c for c in _classes(_content(measure, 0), setup) if c is not None)
    best = max(range(12), key=lambda tonic: sum(counts[(tonic + s) % 12] for s in _MAJOR))
    scale = frozenset((best + s) % 12 for s in _MAJOR)
    whole = sum(counts.values())
    return scale, sum(counts[c] for c in scale) / whole if whole else 0.0


def _classes(content: Content, setup: Setup) -> list[int | None]:
    """Pitch classes, None for a fret that does not exist."""
    found: list[int | None] = []
    for _, string, fret in content:
        try:
            found.append(setup.midi(string, max(fret, 0)) % 12)
        except NoSuchFret:
            found.append(None)
    return found


def _foreign_gone(
    system: Sequence[GridMeasure], upper: int, scale: frozenset[int], setup: Setup
) -> int:
    """How many foreign notes a system has that are all gone with the rows exchanged."""
    before = after = 0
    for measure in system:
        before += sum(c not in scale for c in _classes(_content(measure, 0), setup))
        after += sum(c not in scale for c in _classes(_content(measure, upper), setup))
    return before if before >= _FOREIGN and after == 0 else 0
