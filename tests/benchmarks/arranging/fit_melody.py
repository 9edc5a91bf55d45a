"""Fit the weights by which the melody of a tune is found.

    python -m tests.benchmarks.arranging.fit_melody [--tunes 100] [--left-out alder,fern]

On all arrangers but marten, and but those that nobody opens; on invented melodies, and on as many
fiddle tunes for half. Tunes whose number is a multiple of 5 are left out, and only reported on.
Writes ``plugins/rollstave_arranging/data/melody.json``; with ``--left-out`` nothing, but tells of
each of these arrangers what weights find that were fitted on the others. Needs numpy.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Sequence

import numpy as np
from msgspec import Struct, json

import rollstave_arranging.melody as finding
from rollstave_arranging.cues import Row, Tune
from rollstave_arranging.flow import moments
from rollstave_arranging.habits import habit_rows

from .melodies import FITTED, found_in, known, told
from .rollers import FIDDLE

SUMS, ROUNDS, BATCH = 24, 20, 1024
RATE, RIDGE = 3e-3, 2e-4
STEP = 17  # of the fiddle tunes one in so many
LONGEST = 50  # measures of a tune that is fitted on


class Known(Struct):
    """A tune, its features, and which of its notes are the melody."""

    arranger: str
    tune: Tune
    rows: list[list[Row]]
    truth: list[float]


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--tunes", type=int, default=100)
    parser.add_argument("--left-out", default="")
    asked = parser.parse_args()
    numbers = numbers_of(asked.tunes)
    fitted_on = [n for n in numbers if n % 5]
    tunes = [one for name in FITTED for n in fitted_on if (one := looked_at(n, name))]
    if asked.left_out:
        for left in asked.left_out.split(","):
            weights = fitted([one for one in tunes if one.arranger != left])
            print(told(left, found_in([n for n in numbers if n % 5 == 0], left, weights)))
        return
    finding.WEIGHTS.write_bytes(json.format(json.encode(fitted(tunes)), indent=0) + b"\n")


def numbers_of(tunes: int) -> list[int]:
    """The melodies that are arranged: invented ones, and fiddle tunes."""
    return [*range(tunes), *range(FIDDLE, FIDDLE + STEP * tunes // 2, STEP)]


def looked_at(number: int, arranger: str) -> Known | None:
    """A tune by an arranger; None where its melody is not known, or it is long."""
    one = known(number, arranger)
    if one is None or len(one[0].measures) > LONGEST:
        return None
    score, melody = one
    struck = list(moments(score))
    truth = [
        float((moment.at[0], moment.event.onset, note.string) in melody)
        for moment in struck
        for note in moment.event.notes
    ]
    tune = Tune(score, struck)
    return Known(arranger, tune, tune.rows(), truth)


def fitted(tunes: Sequence[Known]) -> finding.Weights:
    """The weights that fit the melodies of some arrangers best; each of them counts the same."""
    counted: Counter[str] = Counter()
    for one in tunes:
        counted[one.arranger] += len(one.truth)
    truth = np.array([value for one in tunes for value in one.truth], dtype=np.float32)
    counts = np.array(
        [1 / counted[one.arranger] for one in tunes for _ in one.truth], dtype=np.float32
    )
    rows = [[row for of_event in one.rows for row in of_event] for one in tunes]
    first = fit(np.array([row for of_tune in rows for row in of_tune], np.float32), truth, counts)
    second = []
    for one in tunes:
        chances = [[first.chance(row) for row in of_event] for of_event in one.rows]
        for of_event, habits in zip(one.rows, habit_rows(one.tune, chances), strict=True):
            second += [(*row, *habit) for row, habit in zip(of_event, habits, strict=True)]
    print(f"{len(tunes)} tunes, {len(truth)} notes", flush=True)
    return finding.Weights(first=first, second=fit(np.array(second, np.float32), truth, counts))


def fit(x: np.ndarray, truth: np.ndarray, counts: np.ndarray) -> finding.Net:
    """A net by gradient descent with a small ridge, its steps by Adam's rule, always from the same
    numbers."""
    rng = np.random.default_rng(0)
    middle, spread = x.mean(0), x.std(0) + 1e-3
    even = ((x - middle) / spread).astype(np.float32)
    counts = counts / counts.mean()
    width = even.shape[1]
    parts = [
        rng.normal(0, 1 / np.sqrt(width), (width, SUMS)).astype(np.float32),
        np.zeros(SUMS, np.float32),
        rng.normal(0, 0.3, SUMS).astype(np.float32),
        np.zeros(1, np.float32),
        np.zeros(width, np.float32),
    ]
    parts[0][x.std(0) < 1e-3] = 0.0  # nothing can be learnt of what is always the same
    slopes = [np.zeros_like(part) for part in parts]
    squares = [np.zeros_like(part) for part in parts]
    step = 0
    for turn in range(ROUNDS):
        order = rng.permutation(len(truth))
        rate = RATE * 0.5 * (1 + np.cos(np.pi * turn / ROUNDS)) + 1e-5
        for start in range(0, len(truth), BATCH):
            some = order[start : start + BATCH]
            step += 1
            for part, slope, square, new in zip(
                parts,
                slopes,
                squares,
                _slopes(parts, even[some], truth[some], counts[some]),
                strict=True,
            ):
                slope += 0.1 * (new - slope)
                square += 0.001 * (new**2 - square)
                by = np.sqrt(square / (1 - 0.999**step)) + 1e-8
                part -= rate * slope / (1 - 0.9**step) / by
    return _net(parts, middle, spread)


def _slopes(
    parts: Sequence[np.ndarray], x: np.ndarray, truth: np.ndarray, counts: np.ndarray
) -> list[np.ndarray]:
    into, begins, out, odds, direct = parts
    over = np.maximum(x @ into + begins, 0)
    chances = 1 / (1 + np.exp(-np.clip(over @ out + odds + x @ direct, -30, 30)))
    wrong = (chances - truth) * counts / len(truth)
    back = np.outer(wrong, out) * (over > 0)
    return [
        x.T @ back + RIDGE * into,
        back.sum(0),
        over.T @ wrong + RIDGE * out,
        wrong.sum(keepdims=True),
        x.T @ wrong + RIDGE * direct,
    ]


def _net(parts: Sequence[np.ndarray], middle: np.ndarray, spread: np.ndarray) -> finding.Net:
    """The net for features as they are, in four figures."""
    into, begins, out, odds, direct = (part.astype(float) for part in parts)
    into, direct = into / spread[:, None], direct / spread
    sums = np.vstack([begins - middle @ into, into]).T
    whole = np.concatenate([odds - middle @ direct, direct])
    return finding.Net(sums=tuple(map(_short, sums)), out=_short(out), direct=_short(whole))


def _short(values: np.ndarray) -> Row:
    return tuple(float(f"{value:.4g}") for value in values)


if __name__ == "__main__":
    main()
