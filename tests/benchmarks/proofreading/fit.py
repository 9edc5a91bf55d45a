"""Fits the weights of proofreading on development seeds and writes ``data/proofreading.json``.

    python -m tests.benchmarks.proofreading.fit          # some minutes; needs scipy

Logistic regression with a small penalty: features of a planted slip and its mend against those of
all candidates in clean tabs. Thresholds are set so that clean tabs of the same seeds are accused
as often as ``ACCUSED`` says. Seeds 1 to 4 are for this; report on others.
"""

from __future__ import annotations

import argparse
import itertools
import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

import rollstave
from rollstave.api import Tune
from rollstave.problems import TabError
from rollstave.proofreading import row_evidence, slip_evidence, tuning_evidence
from rollstave.proofreading.surroundings import Surroundings

from .measure import trace_of, trials
from .plant import Slip

DATA = Path(__file__).parents[3] / "convert/rollstave/data/proofreading.json"
SEEDS = (1, 2, 3, 4)
SLIPS = 275
ACCUSED = {"slips": 0.35, "rows": 0.02, "tuning": 0.05}  # per hundred clean measures
PENALTY = {"slips": 3.0, "rows": 1.0, "tuning": 0.3}

Features = tuple[float, ...]
Matrix = NDArray[np.float64]


@dataclass
class Cases:
    """Features of what should be marked and of what should not, and to which unit each of these
    belongs: only the most striking of a unit (a note, a system, a tune) would be marked."""

    slips: list[Features] = field(default_factory=list)
    clean: list[Features] = field(default_factory=list)
    unit: list[tuple[object, ...]] = field(default_factory=list)


def cases_of(seeds: Sequence[int]) -> Iterator[tuple[str, Tune, Slip | None, Tune | None, str]]:
    """Kind of slip, clean tune, slip, the tune with it (None: not read), the clean text."""
    for seed in seeds:
        for kind, text, slip in itertools.islice(trials(seed), SLIPS):
            (tune,) = rollstave.read(text)
            changed = None
            if slip is not None:
                try:
                    (changed,) = rollstave.read(slip.text)
                except (TabError, ValueError):
                    changed = None
            yield kind, tune, slip, changed, text


def gather(seeds: Sequence[int], wanted: Sequence[str]) -> tuple[dict[str, Cases], int]:
    """The cases of each wanted check, and how many clean measures they come from."""
    cases = {name: Cases() for name in wanted}
    measures = 0
    for number, (kind, tune, slip, changed, text) in enumerate(cases_of(seeds)):
        measures += len(tune.score.measures)
        for name in wanted:
            _add_clean(cases[name], name, number, tune)
        if slip is not None and changed is not None:
            _add_slip(cases, kind, tune, slip, changed, text)
    return cases, measures


def _add_clean(cases: Cases, check: str, number: int, tune: Tune) -> None:
    """What speaks for a slip in a clean tab, each under the unit that would be marked once."""
    units: Iterator[tuple[Features, tuple[object, ...]]]
    if check == "slips":
        found = slip_evidence.candidates(Surroundings(tune))
        units = ((f.features, (number, f.note.place.line, f.note.place.column)) for f in found)
    elif check == "rows":
        pairs = row_evidence.pairs(tune)
        units = ((p.features, (number, p.measures[0].system)) for p in pairs)
    else:
        units = ((o.features, (number,)) for o in tuning_evidence.others(tune))
    for features, unit in units:
        cases.clean.append(features)
        cases.unit.append(unit)


def _add_slip(
    cases: dict[str, Cases], kind: str, tune: Tune, slip: Slip, changed: Tune, text: str
) -> None:
    own, other = text.split("\n"), slip.text.split("\n")
    rows = [i for i, (a, b) in enumerate(zip(own, other, strict=False)) if a != b]
    if kind in ("wrong fret", "wrong string", "fifth on fourth", "closed shape"):
        if "slips" not in cases:
            return
        assert slip.note is not None
        line, column = slip.note
        # What melody, chord and roll allow is no slip: it is told from one.
        told = trace_of(kind, tune, slip).told
        for found in slip_evidence.candidates(Surroundings(changed)):
            place = found.note.place
            if (place.line, place.column) != (line, column + 1):
                continue
            if not told:
                cases["slips"].clean.append(found.features)
                cases["slips"].unit.append(("allowed", *slip.note, slip.text[:40]))
                continue
            if kind in ("wrong fret", "closed shape"):
                match = re.match(r"\d+", own[line - 1][column:])
                meant = (found.note.string, int(match[0])) if match else None
            else:
                moved = next(i for i in rows if i != line - 1) - (line - 1)  # from where
                meant = (found.note.string + moved, found.note.fret or 0)
            if found.meant == meant:
                cases["slips"].slips.append(found.features)
    elif kind == "swapped rows" and "rows" in cases:
        for pair in row_evidence.pairs(changed):
            if pair.measures[0].first_line + pair.upper - 1 == rows[0] + 1:
                cases["rows"].slips.append(pair.features)
    elif kind == "wrong tuning" and "tuning" in cases:
        for known in tuning_evidence.others(changed):
            if known.tuning.written == tune.score.setup.tuning.written:
                cases["tuning"].slips.append(known.features)


def fit(cases: Cases, penalty: float) -> tuple[Matrix, float]:
    """Weights and constant."""
    from scipy.optimize import minimize

    x = np.array([*cases.slips, *cases.clean])
    y = np.r_[np.ones(len(cases.slips)), np.zeros(len(cases.clean))]
    mean, spread = x.mean(0), x.std(0) + 1e-9
    z = np.c_[np.ones(len(x)), (x - mean) / spread]

    def loss(w: Matrix) -> tuple[float, Matrix]:
        s = z @ w
        value = (np.logaddexp(0, s) - y * s).sum() + penalty * (w[1:] ** 2).sum()
        return float(value), z.T @ (1 / (1 + np.exp(-s)) - y) + 2 * penalty * np.r_[0, w[1:]]

    w = minimize(loss, np.zeros(z.shape[1]), jac=True, method="L-BFGS-B").x
    weights = w[1:] / spread
    return weights, float(w[0] - weights @ mean)


def threshold(cases: Cases, weights: Matrix, constant: float, accused: float) -> float:
    """The score that ``accused`` units of the clean tabs exceed; what is allowed in tabs with a
    slip is no clean tab's."""
    best: dict[tuple[object, ...], float] = {}
    scores = np.array(cases.clean) @ weights + constant
    for unit, score in zip(cases.unit, scores, strict=True):
        if unit[0] == "allowed":
            continue
        best[unit] = max(best.get(unit, -np.inf), float(score))
    return sorted(best.values())[-max(1, round(accused))]


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.proofreading.fit")
    parser.add_argument("--checks", nargs="+", default=sorted(ACCUSED))
    wanted = parser.parse_args().checks
    cases, measures = gather(SEEDS, wanted)
    names = {
        "slips": slip_evidence.NAMES,
        "rows": row_evidence.NAMES,
        "tuning": tuning_evidence.NAMES,
    }
    data = json.loads(DATA.read_text(encoding="utf-8"))
    for check in wanted:
        of_check = cases[check]
        weights, constant = fit(of_check, PENALTY[check])
        accused = ACCUSED[check] * measures / 100
        least = threshold(of_check, weights, constant, accused)
        data[check] = {
            "weights": dict(zip(names[check], (round(float(w), 4) for w in weights), strict=True)),
            "constant": round(constant, 4),
            "threshold": round(least, 4),
        }
        scores = np.array(of_check.slips) @ weights + constant
        print(f"{check}: {len(scores)} slips, {(scores > least).mean():.1%} over the threshold")
    DATA.write_text(json.dumps(data, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
