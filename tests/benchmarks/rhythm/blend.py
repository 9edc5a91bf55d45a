"""Stage two of the fit: how much the rest of the tune counts, and how sure the solver may be."""

from __future__ import annotations

from collections import Counter
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
from .model import Style
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
# Of readings called sure; what is promised of every row is 0.995, and those left out are not here.
_SURE_RIGHT = 0.997
_ENOUGH = 60  # sure readings of a typist or a collection from which what is right has a say
STYLES = (Style.SQUEEZED, Style.SLOPPY, Style.EVEN)
Whose = tuple[str, str]  # typist and collection
Weighed = tuple[str, float, bool, bool]  # mode, raw odds, right, sure if the odds are enough


class _Odds(float):
    """Raw odds that remember the table that would calibrate them."""

    mode = ""

    def __mul__(self, other: float) -> _Odds:
        return self


def _raw(odds: float, data: Any, mode: str) -> float:
    found = _Odds(odds)
    found.mode = mode
    return found


def _odds(job: tuple[Lesson, Style]) -> list[Weighed]:
    """What is said of each weighed measure of one tune, solved with identity calibration and with
    tables in which any odds are enough to be sure."""
    from rollstave.instruments.table import FIVE_STRING_BANJO
    from rollstave.problems import ProblemList
    from rollstave.reading.reader import read_grid
    from rollstave.rhythm import by_weighing, infer_rhythm
    from rollstave.rhythm.meter import parse_meter

    from .model import MeasureKind

    by_weighing.calibrate = _raw
    lesson, style = job
    arranged, typed = lesson.make(style)
    grids = read_grid(typed.text, FIVE_STRING_BANJO, ProblemList())
    if len(grids) != 1 or len(grids[0].measures) != len(typed.measures):
        return []
    reading = infer_rhythm(grids[0].measures, parse_meter(str(arranged.meter)))
    return [
        (
            m.confidence.mode,
            float(m.confidence),
            (m.onsets, m.durations) == (t.onsets, t.durations),
            m.sure,
        )
        for m, t in zip(reading.measures, typed.measures, strict=True)
        if isinstance(m.confidence, _Odds) and t.kind is not MeasureKind.ODD and t.onsets
    ]


_LEAST = 0.95  # a reading with lower odds is not sure, however good the others are
NEVER = 2.0  # odds that no reading has


def calibrate(data: dict[str, Any], recipe: Recipe, path: Path, apart: bool = False) -> None:
    """Measure how often readings with given odds are right (held-out tunes), in equal bins made
    monotone (pool adjacent violators), and from where on enough of them are, for the worst typist
    too. ``path`` is where the data are saved; ``apart``: beside it, what the others say without
    each typist in turn."""
    from .fit import MODES, save

    data["sure"] = dict.fromkeys(MODES, 0.0)
    data["calibration"] = {mode: [[0.0, 0.0], [1.0, 1.0]] for mode in MODES}
    save(data, path)
    lessons = list(exams(recipe))
    jobs = [(lesson, style) for style in STYLES for lesson in lessons]
    said: list[tuple[Whose, Weighed]] = []
    with ProcessPoolExecutor(2, initializer=use, initargs=(path, True)) as pool:
        for job, rows in zip(jobs, pool.map(_odds, jobs, chunksize=8), strict=True):
            said += [((job[0].typist, job[0].collection), row) for row in rows]
    for name in recipe.sources.typists if apart else ():
        _set(data, [(whose, row) for whose, row in said if whose[0] != name])
        data["sure_set_on"]["typists"] = [t for t in recipe.sources.typists if t != name]
        save(data, path.with_name(f"{path.stem}-without-{name}.json"))
    _set(data, said)
    data["sure_set_on"]["typists"] = list(recipe.sources.typists)
    for mode, odds in data["sure"].items():
        print(mode, sum(row[0] == mode for _, row in said), "sure from", odds)


def _set(data: dict[str, Any], said: Sequence[tuple[Whose, Weighed]]) -> None:
    """Set the tables of each mode by what was said of weighed measures, and whose they are."""
    for mode in data["sure"]:
        rows = [(whose, row) for whose, row in said if row[0] == mode]
        weighed = [(odds, right, whose) for whose, (_, odds, right, sure) in rows if sure]
        # The order of notes alone does not tell a dotted melody from an even one.
        told = not mode.startswith("order melody")
        data["sure"][mode] = _sure(weighed, _SURE_RIGHT) if told else NEVER
        data["calibration"][mode] = _monotone(
            sorted((odds, right) for _, (_, odds, right, _) in rows)
        )


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


def _sure(readings: Sequence[tuple[float, bool, Whose]], wanted: float) -> float:
    """The lowest odds from which on enough readings are right, beyond reasonable doubt for all
    together, and for each typist and each collection: one that is not among them may be as the
    worst."""
    wrong: Counter[str] = Counter()
    done: Counter[str] = Counter()
    count = lost = 0
    lowest = NEVER
    ordered = sorted(readings, reverse=True)
    for odds, part in groupby(ordered, key=lambda reading: reading[0]):
        for _, right, whose in part:
            count += 1
            lost += not right
            for name in whose:
                done[name] += 1
                wrong[name] += not right
        each = all(wrong[name] <= (1 - wanted) * n for name, n in done.items() if n >= _ENOUGH)
        # A standard deviation of a Poisson count, so that luck does not set the threshold.
        if each and lost + sqrt(lost + 1) <= (1 - wanted) * count:
            lowest = odds
    return max(_LEAST, round(lowest, 5))
