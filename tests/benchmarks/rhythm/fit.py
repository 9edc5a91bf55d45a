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
from array import array
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass, field
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


def fit_weights(samples: Sequence[TuneSample], data: Any) -> dict[str, float]:
    names, rows = _rows(samples, data)
    print("measures", len(rows.right), "readings", len(rows.priors), "factors", len(names))
    prior = np.frombuffer(rows.priors, dtype=np.float64)
    there = np.frombuffer(rows.factors, dtype=np.int32)
    edges = np.frombuffer(rows.ends, dtype=np.int64)
    matrix = sparse.csr_matrix((np.ones(len(there)), there, edges), shape=(len(prior), len(names)))
    columns = matrix.T.tocsr()
    starts = np.array(rows.starts)
    sizes = np.diff([*rows.starts, len(prior)])
    right = np.array(rows.right)
    target = np.concatenate([[prior[right].sum()], np.asarray(matrix[right].sum(axis=0)).ravel()])

    def loss(w: Any) -> tuple[float, Any]:
        score = w[0] * prior + matrix @ w[1:]
        top = np.maximum.reduceat(score, starts)
        exp = np.exp(score - np.repeat(top, sizes))
        z = np.add.reduceat(exp, starts)
        p = exp / np.repeat(z, sizes)
        value = float(np.sum(np.log(z) + top) - target @ w)
        seen = np.concatenate([[prior @ p], columns @ p])
        pull = w.copy()
        pull[0] -= 1.0
        return value + PENALTY / 2 * float(pull @ pull), seen - target + PENALTY * pull

    start = np.zeros(len(names) + 1)
    start[0] = 1.0
    result = optimize.minimize(
        loss, start, jac=True, method="L-BFGS-B", options={"maxiter": 200, "maxcor": 10}
    )
    print("loss a measure", result.fun / max(1, len(starts)), result.message)
    found = dict(zip(("prior", *names), (float(x) for x in result.x), strict=True))
    return {name: round(x, 3) for name, x in sorted(found.items()) if abs(x) >= 0.02}


@dataclass
class _Rows:
    """Readings to weigh: the log prior and the factors of each (``factors`` up to ``ends``), where
    those of a measure start, and which of them are right."""

    priors: array[float] = field(default_factory=lambda: array("d"))
    factors: array[int] = field(default_factory=lambda: array("i"))
    ends: array[int] = field(default_factory=lambda: array("q", [0]))
    starts: list[int] = field(default_factory=list)
    right: list[int] = field(default_factory=list)


def _rows(samples: Sequence[TuneSample], data: Any) -> tuple[list[str], _Rows]:
    """All readings of all measures; factors that are hardly ever seen are left out."""
    counts = count_patterns(samples)
    number: dict[str, int] = {}
    rows = _Rows()
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
            rows.starts.append(len(rows.priors))
            rows.right.append(len(rows.priors) + options.index(m.truth))
            total = sum(counts[key].values()) - sum(own[key].values())
            memo: dict[tuple[int, ...], list[int]] = {}
            for pattern, share in pool:
                left = counts[key][pattern] - own[key][pattern]
                # Shares without the tune itself, so that the prior is not trusted too much.
                rows.priors.append(
                    log((left + 0.2) / (total + 5)) if counts[key][pattern] else share
                )
                for part in _parts(tune, m, pattern, memo, number):
                    rows.factors.extend(part)
                rows.ends.append(len(rows.factors))
    print("truth not among the readings", lost)
    return _thinned(list(number), rows)


def _parts(
    tune: TuneSample,
    m: Sample,
    pattern: Pattern,
    memo: dict[tuple[int, ...], list[int]],
    number: dict[str, int],
) -> Iterator[list[int]]:
    """The numbers of the factors of each onset of a reading, and those of the whole."""
    length, onsets = pattern
    durations = [e - o for o, e in zip(onsets, (*onsets[1:], length), strict=True)]
    for i, onset in enumerate(onsets):
        before = onset - onsets[i - 1] if i else 0
        key = (i, onset, before, durations[i])
        if key not in memo:
            found = local_factors(m.evidence, *key, tune.meter, tune.mood)
            memo[key] = [number.setdefault(name, len(number)) for name in found]
        yield memo[key]
    found = whole_factors(m.evidence, durations, tune.meter, m.around)
    yield [number.setdefault(name, len(number)) for name in found]


def _thinned(names: list[str], rows: _Rows) -> tuple[list[str], _Rows]:
    """The rows without factors that are seen too rarely to be weighed."""
    all_of_them = np.frombuffer(rows.factors, dtype=np.int32)
    ends = np.frombuffer(rows.ends, dtype=np.int64)
    often = np.bincount(all_of_them, minlength=len(names))
    seen = np.zeros(len(names), dtype=np.int64)
    for row in rows.right:
        seen[all_of_them[ends[row] : ends[row + 1]]] += 1
    kept = (seen >= RAREST) | (often - seen >= OFTEN_WRONG)
    anew = np.cumsum(kept, dtype=np.int32) - 1
    stays = kept[all_of_them]
    thin_ends = np.concatenate([[0], np.cumsum(stays)])[ends]
    thin = _Rows(
        priors=rows.priors,
        factors=array("i", anew[all_of_them[stays]].tobytes()),
        ends=array("q", thin_ends.astype(np.int64).tobytes()),
        starts=rows.starts,
        right=rows.right,
    )
    return [name for name, keep in zip(names, kept, strict=True) if keep], thin


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
