"""Stage two of the fit: how much the rest of the tune counts, and how sure the solver may be."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from itertools import groupby, pairwise
from math import sqrt
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from scipy import optimize

from rollstave.rhythm.choices import Choice, make_choice
from rollstave.rhythm.model_data import from_json
from rollstave.rhythm.tunewide import TuneWide

from .material import Lesson, Recipe, exams
from .model import Style, TuneKind
from .tables import use

if TYPE_CHECKING:
    from .fit import TuneSample

Rows = list[tuple[np.ndarray, int, int]]  # terms of each reading, the right one, weight


def _beat(meter: str) -> int:
    count, unit = map(int, meter.split("/"))
    return 36 if unit == 8 and count % 3 == 0 and count > 3 else 96 // unit


def _tune(sample: TuneSample, data: Any) -> tuple[TuneWide, list[Choice]]:
    evidence = [m.evidence for m in sample.measures]
    groups: dict[object, list[int]] = {}
    for index, e in enumerate(evidence):
        if e.count:
            groups.setdefault((e.signature, e.opens, e.closes), []).append(index)
    choices = [
        make_choice(data, members, evidence, sample.meter, sample.length, None, sample.mood)
        for members in groups.values()
    ]
    choices = [c for c in choices if c.patterns]
    return TuneWide(choices, evidence, sample.length, _beat(sample.meter)), choices


def _rows(tune: TuneWide, choices: Sequence[Choice], sample: TuneSample) -> Rows:
    tune.collect()
    rows: Rows = []
    for number, choice in enumerate(choices):
        truth = sample.measures[choice.members[0]]
        if not truth.usable or truth.truth not in choice.patterns or len(choice.patterns) < 2:
            continue
        terms = [(base, *t) for base, t in zip(choice.base, tune.terms(number), strict=True)]
        rows.append((np.array(terms), choice.patterns.index(truth.truth), len(choice.members)))
    return rows


def _fit(rows: Rows, start: Any) -> Any:
    def loss(w: Any) -> tuple[float, Any]:
        value, gradient = 0.0, np.zeros_like(w)
        for terms, right, weight in rows:
            score = terms @ w
            top = score.max()
            p = np.exp(score - top)
            z = p.sum()
            value += weight * (np.log(z) + top - score[right])
            gradient += weight * (terms.T @ (p / z) - terms[right])
        return value, gradient

    result = optimize.minimize(loss, start, jac=True, method="L-BFGS-B")
    print("blend", np.round(result.x, 3), "loss", result.fun / sum(r[2] for r in rows))
    return result.x


def fit_blend(data: dict[str, Any], samples: Sequence[TuneSample]) -> None:
    """Fit the weights of what the rest of the tune says, on tunes that the factors never saw."""
    tables = from_json(data)
    tunes = [(_tune(s, tables), s) for s in samples]
    blend = np.array([1.0, 0.5, 0.3, 0.3, 0.5])
    for _ in range(3):
        rows = [row for (tune, choices), s in tunes for row in _rows(tune, choices, s)]
        blend = _fit(rows, blend)
        for (tune, _), _ in tunes:
            tune.round(blend.tolist())
    data["blend"] = [round(float(b), 3) for b in blend]


# Calibration -------------------------------------------------------------------------------

_BINS = 40
_SURE_RIGHT = 0.995  # of readings called sure
_ENOUGH = 30  # measures of a kind from which it has a say in what is sure


def _odds(job: tuple[Lesson, Style]) -> tuple[TuneKind, list[tuple[str, float, bool]]]:
    """The kind of one tune, and raw odds and rightness of each of its measures, solved with
    identity calibration."""
    from rollstave.instruments.table import FIVE_STRING_BANJO
    from rollstave.problems import ProblemList
    from rollstave.reading.reader import read_grid
    from rollstave.rhythm import by_columns, by_weighing, infer_rhythm
    from rollstave.rhythm.evidence import gather
    from rollstave.rhythm.meter import parse_meter
    from rollstave.rhythm.right_hand import right_hand
    from rollstave.rhythm.timed import Source

    from .model import MeasureKind

    by_weighing.calibrate = lambda odds, data, mode: odds
    lesson, style = job
    arranged, typed = lesson.make(style)
    kind = TuneKind.ROLL if arranged.kind is TuneKind.ROLL else TuneKind.FIDDLE
    grids = read_grid(typed.text, FIVE_STRING_BANJO, ProblemList())
    if len(grids) != 1 or len(grids[0].measures) != len(typed.measures):
        return kind, []
    grid = grids[0]
    reading = infer_rhythm(grid.measures, parse_meter(str(arranged.meter)))
    evidence = gather(grid.measures)
    hand = right_hand(evidence)
    # Measures whose columns are taken at their word, doubtfully or not, are not weighed.
    settled = {by_columns.EXACT, by_weighing.DOUBTED}
    found = []
    for m, t, e in zip(reading.measures, typed.measures, evidence, strict=True):
        weighed = m.source is not Source.WRITTEN and m.confidence not in settled
        if t.kind is not MeasureKind.ODD and t.onsets and weighed:
            mode = "columns"
            if style is Style.SQUEEZED:
                mode = by_weighing.order_mode(hand, e)
            right = (m.onsets, m.durations) == (t.onsets, t.durations)
            found.append((mode, m.confidence, right))
    # Order alone makes a reading sure only in tunes that are clear as a whole.
    clear = sum(odds for _, odds, _ in found) / len(found) if found else 1.0
    if style is Style.SQUEEZED and not by_weighing.is_clear(hand, clear):
        return kind, [(f"{mode} unclear", odds, right) for mode, odds, right in found]
    return kind, found


_LEAST = 0.75  # a reading with lower odds is not sure, however good the others are
NEVER = 2.0  # odds that no reading has


def calibrate(data: dict[str, Any], recipe: Recipe, path: Path) -> None:
    """Measure how often readings with given odds are right (held-out tunes), in equal bins made
    monotone (pool adjacent violators), and from where on enough of them are. ``path`` is where
    the data are saved."""
    from .fit import MODES

    lessons = list(exams(recipe))
    jobs = [(lesson, style) for style in (Style.SQUEEZED, Style.SLOPPY) for lesson in lessons]
    found: dict[str, list[tuple[float, bool]]] = {mode: [] for mode in MODES}
    parts_of: dict[str, dict[tuple[TuneKind, str], list[tuple[float, bool]]]] = {}
    with ProcessPoolExecutor(2, initializer=use, initargs=(path,)) as pool:
        for job, (kind, rows) in zip(jobs, pool.map(_odds, jobs, chunksize=8), strict=True):
            for mode, odds, right in rows:
                found.setdefault(mode, []).append((odds, right))
                part = parts_of.setdefault(mode, {}).setdefault((kind, job[0].typist), [])
                part.append((odds, right))
    for mode in MODES:
        clear = sorted(found[mode])
        # Sure must mean it for tunes of either kind and of every typist, as far as there are
        # enough to tell.
        every = parts_of.get(mode, {}).values()
        parts = [sorted(part) for part in every if len(part) >= _ENOUGH] or [clear]
        data["sure"][mode] = max(_sure(part, _SURE_RIGHT) for part in parts)
        pairs = sorted([*clear, *found.get(f"{mode} unclear", [])])
        data["calibration"][mode] = _monotone(pairs)
        print(mode, len(pairs), "sure from", data["sure"][mode])


def _monotone(pairs: Sequence[tuple[float, bool]]) -> list[list[float]]:
    if not pairs:
        return [[0.0, 0.0], [1.0, 1.0]]  # few tunes, and none of this sort
    bins = max(1, min(_BINS, len(pairs) // 20))
    size = len(pairs) // bins
    blocks: list[list[float]] = []  # odds sum, right sum, count
    edges = [i * len(pairs) // bins for i in range(bins + 1)]
    for start, end in pairwise(edges):
        part = pairs[start:end]
        blocks.append([sum(o for o, _ in part), float(sum(r for _, r in part)), float(len(part))])
        while len(blocks) > 1 and blocks[-2][1] / blocks[-2][2] >= blocks[-1][1] / blocks[-1][2]:
            last = blocks.pop()
            blocks[-1] = [a + b for a, b in zip(blocks[-1], last, strict=True)]
    points = [[0.0, 0.0]]
    for odds, right, count in blocks:
        # One imaginary wrong reading a block keeps the table from promising certainty.
        point = [round(odds / count, 5), round(right / (count + 1), 5)]
        if point[0] > points[-1][0]:
            points.append(point)
    points.append([1.0, max(points[-1][1], round(1 - 1 / (size + 1), 5))])
    return points


def _sure(pairs: Sequence[tuple[float, bool]], wanted: float) -> float:
    """The lowest odds from which on enough readings are right, beyond reasonable doubt."""
    wrong = done = 0
    lowest = NEVER
    for odds, part in groupby(reversed(pairs), key=lambda pair: pair[0]):
        for _, right in part:
            done += 1
            wrong += not right
        # Two standard deviations of a Poisson count, so that luck does not set the threshold.
        if wrong + 2 * sqrt(wrong + 1) <= (1 - wanted) * done:
            lowest = odds
    return max(_LEAST, round(lowest, 5))
