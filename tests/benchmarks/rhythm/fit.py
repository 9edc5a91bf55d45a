"""Fits the solver's data: patterns, weights, blend, calibration.

    python -m tests.benchmarks.rhythm.fit
    python -m tests.benchmarks.rhythm.fit --leave-out ivy --tunes 200 --out without-ivy.json

The first writes ``convert/rollstave/data/rhythm.json``; the second learns from all typists,
arrangers and collections but one, for ``unseen --data``. Only tunes whose number is not a multiple
of 5 are used. The same seed gives the same file.

Stage one fits the factors of a measure by conditional logistic regression with an L2 penalty
(L-BFGS); stage two, on tunes left out of stage one, how much the rest of the tune counts, and then
the calibration, by itself with ``--stage sure``, and from the package's data where the file that is
to be written is not there yet. Needs scipy.
"""

from __future__ import annotations

import argparse
import json
from collections import Counter
from collections.abc import Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass
from math import log
from pathlib import Path
from typing import Any

import numpy as np
from scipy import optimize, sparse

from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.problems import ProblemList
from rollstave.reading.reader import read_grid
from rollstave.rhythm.candidates import candidates, role_of
from rollstave.rhythm.evidence import TICKS, Evidence, gather
from rollstave.rhythm.factors import local_factors, mood, whole_factors
from rollstave.rhythm.model_data import Pattern, from_json
from rollstave.rhythm.right_hand import HANDS

from .corpus import COLLECTIONS
from .material import FIT_SEED, Lesson, Recipe, lessons
from .model import MeasureKind, Style
from .people import ARRANGERS, EVERYTHING, FITTED, TYPISTS, Sources
from .tables import PACKAGED, parsed

PENALTY = 2.0
RAREST = 3  # a factor seen less often than this in right readings has no weight,
OFTEN_WRONG = 120  # unless it is seen so often in wrong ones
MODES = (
    *(
        f"{sort} {ground}"
        for sort in ("columns", "loose", "own", "eye", "eye melody")
        for ground in ("exact", "nearly", "other")
    ),
    "order rolls named",
    "order rolls filled",
    *(f"order {hand}{linked}" for hand in HANDS for linked in ("", " linked")),
)


@dataclass
class Sample:
    """One measure to learn from: its evidence and its true pattern."""

    evidence: Evidence
    truth: Pattern
    role: str
    usable: bool
    around: tuple[int, int]


@dataclass
class TuneSample:
    """One tune to learn from."""

    meter: str
    length: int
    mood: str
    measures: list[Sample]
    held_out: bool


def ticks(value: Any) -> int:
    return int(value * TICKS)


def sample_of(lesson: Lesson) -> TuneSample | None:
    """What a squeezed text says and what is true of it; None if it is misread."""
    tune, typed = lesson.make(Style.SQUEEZED)
    grids = read_grid(typed.text, FIVE_STRING_BANJO, ProblemList())
    if len(grids) != 1 or len(grids[0].measures) != len(typed.measures):
        return None
    evidence = gather(grids[0].measures)
    counts = [e.count for e in evidence]
    samples = []
    for index, (seen, truth) in enumerate(zip(evidence, typed.measures, strict=True)):
        pattern = (ticks(truth.length), tuple(ticks(o) for o in truth.onsets))
        around = (counts[index - 1] if index else -1, (counts[index + 1 : index + 2] or [-1])[0])
        usable = truth.kind is not MeasureKind.ODD and len(truth.onsets) == seen.count > 0
        samples.append(Sample(seen, pattern, role_of(seen), usable, around))
    length = ticks(tune.meter.length)
    return TuneSample(str(tune.meter), length, mood(evidence), samples, lesson.held_out)


def tunes(recipe: Recipe) -> list[TuneSample]:
    """The tunes to learn from."""
    with ProcessPoolExecutor(2) as pool:
        found = pool.map(sample_of, lessons(recipe), chunksize=16)
        return [t for t in found if t is not None]


def count_patterns(samples: Iterable[TuneSample]) -> dict[tuple[str, str, int], Counter[Pattern]]:
    found: dict[tuple[str, str, int], Counter[Pattern]] = {}
    for tune in samples:
        for m in tune.measures:
            if m.usable:
                key = (tune.meter, m.role, m.evidence.count)
                found.setdefault(key, Counter())[m.truth] += 1
    return found


def pattern_json(counts: dict[tuple[str, str, int], Counter[Pattern]]) -> dict[str, Any]:
    return {
        f"{meter} {role} {count}": [
            [length, list(onsets), n]
            for (length, onsets), n in sorted(found.items(), key=lambda f: (-f[1], f[0]))[:80]
        ]
        for (meter, role, count), found in sorted(counts.items())
    }


def factors_of(tune: TuneSample, m: Sample, pattern: Pattern) -> tuple[str, ...]:
    length, onsets = pattern
    ends = (*onsets[1:], length)
    found: list[str] = []
    durations = [e - o for o, e in zip(onsets, ends, strict=True)]
    for i, onset in enumerate(onsets):
        before = onset - onsets[i - 1] if i else 0
        found += local_factors(m.evidence, i, onset, before, durations[i], tune.meter, tune.mood)
    found += whole_factors(m.evidence, durations, tune.meter, m.around)
    return tuple(found)


def fit_weights(samples: Sequence[TuneSample], data: Any) -> dict[str, float]:
    counts = count_patterns(samples)
    seen: Counter[str] = Counter()
    wrong: Counter[str] = Counter()
    for tune in samples:
        for m in tune.measures:
            if m.usable:
                seen.update(factors_of(tune, m, m.truth))
                for pattern, _ in candidates(data, m.evidence, tune.meter, tune.length):
                    wrong.update(factors_of(tune, m, pattern))
    names = {"prior": 0}
    for name in sorted(wrong | seen):
        if seen[name] >= RAREST or wrong[name] >= OFTEN_WRONG:
            names[name] = len(names)
    print("factors", len(names))
    rows: list[int] = []
    columns: list[int] = []
    values: list[float] = []
    starts: list[int] = []
    right: list[int] = []
    row = 0
    lost = 0
    for tune in samples:
        own = count_patterns([tune])
        for m in tune.measures:
            if not m.usable:
                continue
            key = (tune.meter, m.role, m.evidence.count)
            pool = candidates(data, m.evidence, tune.meter, tune.length)
            options = [p for p, _ in pool]
            if m.truth not in options:
                lost += 1
                continue
            if len(options) < 2:
                continue
            starts.append(row)
            total = sum(counts[key].values()) - sum(own[key].values())
            for pattern, share in pool:
                left = counts[key][pattern] - own[key][pattern]
                # Shares without the tune itself, so that the prior is not trusted too much.
                prior = log((left + 0.2) / (total + 5)) if counts[key][pattern] else share
                rows.append(row)
                columns.append(0)
                values.append(prior)
                for name in factors_of(tune, m, pattern):
                    position = names.get(name)
                    if position is not None:
                        rows.append(row)
                        columns.append(position)
                        values.append(1.0)
                if pattern == m.truth:
                    right.append(row)
                row += 1
    print("measures", len(starts), "readings", row, "truth not among them", lost)
    matrix = sparse.csr_matrix((values, (rows, columns)), shape=(row, len(names)))
    edges = np.array([*starts, row])
    sizes = np.diff(edges)
    target = np.asarray(matrix[right].sum(axis=0)).ravel()

    def loss(w: Any) -> tuple[float, Any]:
        score = matrix @ w
        top = np.maximum.reduceat(score, edges[:-1])
        exp = np.exp(score - np.repeat(top, sizes))
        z = np.add.reduceat(exp, edges[:-1])
        p = exp / np.repeat(z, sizes)
        value = float(np.sum(np.log(z) + top) - target @ w)
        gradient = matrix.T @ p - target
        pull = w.copy()
        pull[0] -= 1.0
        return value + PENALTY / 2 * float(pull @ pull), gradient + PENALTY * pull

    start = np.zeros(len(names))
    start[0] = 1.0
    result = optimize.minimize(
        loss, start, jac=True, method="L-BFGS-B", options={"maxiter": 200, "maxcor": 10}
    )
    print("loss a measure", result.fun / max(1, len(starts)), result.message)
    return {
        name: round(float(result.x[i]), 3) for name, i in names.items() if abs(result.x[i]) >= 0.02
    }


def blank(counts: dict[tuple[str, str, int], Counter[Pattern]]) -> dict[str, Any]:
    return {
        "patterns": pattern_json(counts),
        "weights": {"prior": 1.0},
        "blend": [1.0, 0.0, 0.0, 0.0, 0.0],
        "calibration": {m: [[0.0, 0.0], [1.0, 1.0]] for m in MODES},
        "sure": dict.fromkeys(MODES, 0.98),
        "meters": {},
    }


def meters_of(samples: Sequence[TuneSample]) -> dict[str, float]:
    """Log share of each meter among tunes with as much of the short string (see ``mood``)."""
    counts = Counter((t.mood[0], t.meter) for t in samples)
    totals = Counter(t.mood[0] for t in samples)
    return {
        f"{fullness} {meter}": round(log(n / totals[fullness]), 3)
        for (fullness, meter), n in sorted(counts.items())
    }


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    add = parser.add_argument
    add("--stage", choices=("weights", "blend", "sure", "all"), default="all")
    add("--typists", nargs="+", choices=TYPISTS, metavar="NAME")
    add("--arrangers", nargs="+", choices=ARRANGERS, metavar="NAME")
    add("--collections", nargs="+", choices=COLLECTIONS, metavar="NAME")
    add("--leave-out", metavar="NAME", help="of all there are, or of those named")
    add("--tunes", type=int, help="at most so many of each collection")
    add("--apart", action="store_true", help="files beside it, one without each typist (sure)")
    add("--seed", type=int, default=FIT_SEED)
    add("--out", type=Path, default=PACKAGED)
    args = parser.parse_args()
    base = EVERYTHING if args.leave_out else FITTED
    sources = Sources(
        *(
            tuple(asked or usual)
            for asked, usual in (
                (args.typists, base.typists),
                (args.arrangers, base.arrangers),
                (args.collections, base.collections),
            )
        )
    )
    if args.leave_out:
        if args.out == PACKAGED:
            parser.error("--leave-out needs --out: the package's data leave nothing out")
        try:
            sources = sources.without(args.leave_out)
        except ValueError as error:
            parser.error(str(error))
    fit(Recipe(sources, args.seed, args.tunes), args.stage, args.out, args.apart)


def fit(recipe: Recipe, stage: str, out: Path, apart: bool = False) -> None:
    """Fit one stage, or all of them one after the other, into a file."""
    samples = tunes(recipe) if stage != "sure" else []
    print("tunes", len(samples))
    if stage in ("weights", "all"):
        part = [t for t in samples if not t.held_out]
        data = blank(count_patterns(part))
        data["weights"] = fit_weights(part, from_json(data))
        data["fitted_on"] = asdict(recipe.sources)
        save(data, out)
    if stage in ("blend", "all"):
        from .blend import fit_blend

        data = parsed(out)
        data["meters"] = meters_of(samples)
        fit_blend(data, [t for t in samples if t.held_out])
        save(data, out)
    if stage in ("blend", "sure", "all"):
        from .blend import calibrate

        data = parsed(out if out.exists() else PACKAGED)
        data["sure_set_on"] = asdict(recipe.sources)
        calibrate(data, recipe, out, apart)
        save(data, out)


def save(data: dict[str, Any], out: Path) -> None:
    """Write the data; the same data give the same bytes."""
    out.parent.mkdir(exist_ok=True)
    out.write_text(json.dumps(data, separators=(",", ":"), sort_keys=True) + "\n", "utf-8")
    print("wrote", out.stat().st_size, "bytes")


if __name__ == "__main__":
    main()
