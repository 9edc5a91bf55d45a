"""Fit the weights by which the melody of a tune is found.

    python -m tests.benchmarks.arranging.fit_melody [--left-out alder,fern]

On all arrangers but marten, and but those that nobody opens: on 100 invented melodies and 50 fiddle
tunes of each, those left out whose number is a multiple of 5; and on players whose habits are
thrown (meadow), on all fiddle tunes but such 50, and 1000 other melodies. Writes
``plugins/rollstave_arranging/data/melody.json``; with ``--left-out`` nothing, but tells of each of
these arrangers what weights find that were fitted on none of them. Needs numpy.
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

from .melodies import FITTED, SEED, found_in, known, told
from .rollers import FIDDLE, fiddle_tunes

PASSES, SUMS, ROUNDS, BATCH = 3, 24, 20, 1024
RATE, RIDGE = 3e-3, 2e-4
TUNES = 100  # invented melodies, and half as many fiddle tunes, one in so many of all
STEP = 17
THROWN = "meadow"
CROWD = 10  # its players count as much as so many arrangers
CROWDED = 8, range(3000, 4000)  # their seed, and the invented melodies that they have
LONGEST = 50  # measures of a tune that is fitted on


class Known(Struct):
    """A tune, its features, and which of its notes are the melody."""

    arranger: str
    tune: Tune
    rows: list[list[Row]]
    truth: list[float]


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--left-out", default="")
    left = parser.parse_args().left_out.split(",")
    names = [name for name in FITTED if name not in (THROWN, *left)]
    tunes = [one for name in names for n in numbers() if n % 5 and (one := looked_at(n, name))]
    if THROWN not in left:
        tunes += [one for n, seed in thrown() if (one := looked_at(n, THROWN, seed))]
    weights = fitted(tunes)
    if left == [""]:
        finding.WEIGHTS.write_bytes(json.format(json.encode(weights), indent=0) + b"\n")
        return
    for name in left:
        print(told(name, found_in([n for n in numbers() if n % 5 == 0], name, weights)))


def numbers() -> list[int]:
    """The melodies that arrangers have: invented ones, and fiddle tunes."""
    return [*range(TUNES), *range(FIDDLE, FIDDLE + STEP * TUNES // 2, STEP)]


def thrown() -> list[tuple[int, int]]:
    """The melodies of players whose habits are thrown, and their seeds; none that others have."""
    seed, invented = CROWDED
    fiddle = [FIDDLE + n for n in range(fiddle_tunes()) if n % STEP]
    return [(n, seed) for n in (*fiddle, *invented)]


def looked_at(number: int, arranger: str, seed: int = SEED) -> Known | None:
    """A tune by an arranger; None where its melody is not known, or it is long."""
    one = known(number, arranger, seed)
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
    """The weights that fit the melodies of some arrangers best; each of them counts the same, but
    for the crowd of those that are thrown."""
    counted: Counter[str] = Counter()
    for one in tunes:
        counted[one.arranger] += len(one.truth)
    truth = np.array([value for one in tunes for value in one.truth], dtype=np.float32)
    counts = np.array(
        [
            (CROWD if one.arranger == THROWN else 1) / counted[one.arranger]
            for one in tunes
            for _ in one.truth
        ],
        dtype=np.float32,
    )
    print(f"{len(tunes)} tunes, {len(truth)} notes", flush=True)
    plain = [_flat(one.rows) for one in tunes]
    seen, nets = plain, list[finding.Net]()
    for _ in range(PASSES):
        if nets:
            pairs = zip(tunes, seen, strict=True)
            habits = [_habits(one, _chances(nets[-1], x)) for one, x in pairs]
            seen = [np.hstack(pair) for pair in zip(plain, habits, strict=True)]
        nets.append(fit(np.concatenate(seen), truth, counts))
    return finding.Weights(nets=tuple(nets))


def _flat(rows: Sequence[Sequence[Row]]) -> np.ndarray:
    return np.array([row for of_event in rows for row in of_event], np.float32)


def _habits(one: Known, chances: Sequence[float]) -> np.ndarray:
    """What a tune's habits say of its notes, by an opinion of them."""
    each = iter(chances)
    return _flat(habit_rows(one.tune, [[next(each) for _ in rows] for rows in one.rows]))


def _chances(net: finding.Net, x: np.ndarray) -> list[float]:
    """``Net.chance`` of many notes at once."""
    sums, direct = np.array(net.sums), np.array(net.direct)
    over = np.maximum(x @ sums[:, 1:].T + sums[:, 0], 0)
    odds = over @ np.array(net.out) + direct[0] + x @ direct[1:]
    found: list[float] = (1 / (1 + np.exp(-np.clip(odds, -30, 30)))).tolist()
    return found


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
