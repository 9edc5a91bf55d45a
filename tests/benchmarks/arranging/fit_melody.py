"""Fit the weights by which the melody of a tune is found.

    python -m tests.benchmarks.arranging.fit_melody [--tunes 200] [--left-out]

On all arrangers but marten; tunes whose number is a multiple of 5 are left out, and only reported
on. Writes ``plugins/rollstave_arranging/data/melody.json``; with ``--left-out`` nothing, but tells
of each arranger what weights find that were fitted on the others. Needs numpy.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence

import numpy as np

import rollstave_arranging.melody as finding
from rollstave_arranging.flow import moments

from .melodies import FITTED, found_in, known, told


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--tunes", type=int, default=200)
    parser.add_argument("--left-out", action="store_true")
    asked = parser.parse_args()
    if asked.left_out:
        for left in FITTED:
            weights = fitted([name for name in FITTED if name != left], asked.tunes)
            print(told(left, found_in(range(0, asked.tunes, 5), left, weights)))
        return
    weights = fitted(FITTED, asked.tunes)
    lines = json.dumps({"first": weights.first, "second": weights.second}).replace("], ", "],\n ")
    finding.WEIGHTS.write_text(f"{lines}\n", encoding="utf-8")


def fitted(arrangers: Sequence[str], numbers: int) -> finding.Weights:
    """The weights that fit the melodies of some arrangers best, a fifth of the tunes left out."""
    tunes = [
        found
        for arranger in arrangers
        for number in range(numbers)
        if number % 5 and (found := known(number, arranger)) is not None
    ]
    rows, truth, all_rows = [], [], []
    for score, melody in tunes:
        struck = list(moments(score))
        found = finding.features(score, struck)
        all_rows.append((score, struck, found))
        for moment, of_event in zip(struck, found, strict=True):
            for note, row in zip(moment.event.notes, of_event, strict=True):
                rows.append(row)
                truth.append((moment.at[0], moment.event.onset, note.string) in melody)
    y = np.array(truth, dtype=float)
    first = fit(np.array(rows), y)
    second_rows = []
    for score, struck, found in all_rows:
        chances = [[finding.sigmoid(row, first) for row in of_event] for of_event in found]
        for of_event in finding.again(score, struck, found, chances):
            second_rows += of_event
    second = fit(np.array(second_rows), y)
    print(f"{len(tunes)} tunes, {len(rows)} notes")
    return finding.Weights(first=tuple(first), second=tuple(second))


def fit(x: np.ndarray, y: np.ndarray) -> list[float]:
    """Logistic regression with a small ridge, by Newton's method."""
    weights = np.zeros(x.shape[1])
    for _ in range(25):
        chances = 1 / (1 + np.exp(-np.clip(x @ weights, -30, 30)))
        slope = x.T @ (y - chances) - 1.0 * weights
        curve = (x * (chances * (1 - chances))[:, None]).T @ x + np.eye(x.shape[1])
        step = np.linalg.solve(curve, slope)
        weights += step
        if np.abs(step).max() < 1e-4:
            break
    return [round(float(w), 3) for w in weights]


if __name__ == "__main__":
    main()
