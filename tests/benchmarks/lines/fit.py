"""Fit the weights of the chain of lines again: ``python -m tests.benchmarks.lines.fit``.

Maximum conditional likelihood with a quadratic penalty (Lafferty, McCallum and Pereira 2001), by
L-BFGS of scipy. Takes minutes. Only texts of the grammar's ``dev`` part are used.
"""

from __future__ import annotations

import argparse
import json
from collections import Counter, defaultdict
from pathlib import Path
from typing import Any

import numpy as np
from scipy.optimize import minimize
from scipy.sparse import csr_matrix
from scipy.special import logsumexp
from tests.benchmarks.lines.material import Labelled, material

import rollstave

DATA = Path(rollstave.__file__).parent / "data" / "lines.json"
_RAREST = 8  # lines that a feature must have
_SMALLEST = 0.02  # a weight less than this is none


class Problem:
    """The likelihood of all chains and its gradient."""

    def __init__(self, chains: list[list[Labelled]], penalty: float) -> None:
        counts = Counter(name for chain in chains for line in chain for name in set(line.features))
        self.names = sorted(name for name, count in counts.items() if count >= _RAREST)
        self.labels = sorted({line.label for chain in chains for line in chain})
        self.penalty = penalty
        number = {name: index for index, name in enumerate(self.names)}
        label = {name: index for index, name in enumerate(self.labels)}
        by_length: dict[int, list[list[Labelled]]] = defaultdict(list)
        for chain in chains:
            by_length[len(chain)].append(chain)
        ordered = [chain for length in sorted(by_length) for chain in by_length[length]]
        rows, columns = [], []
        truth, known, apart = [], [], []
        self.groups: list[tuple[int, int, int]] = []  # start, chains, length
        at = 0
        for length, group in sorted(by_length.items()):
            self.groups.append((at, len(group), length))
            at += len(group) * length
        for at, line in enumerate(line for chain in ordered for line in chain):
            for name in line.features:
                if name in number:
                    rows.append(at)
                    columns.append(number[name])
            truth.append(label[line.label])
            known.append(label[line.known] if line.known else -1)
            apart.append(int(line.apart))
        self.x = csr_matrix(
            (np.ones(len(rows)), (rows, columns)), shape=(len(truth), len(self.names))
        )
        self.truth, self.known, self.apart = map(np.array, (truth, known, apart))
        size = len(self.labels)
        self.shapes = ((len(self.names), size), (2, size, size), (size,), (size,))

    def split(self, w: Any) -> list[Any]:
        """The weights of features, of pairs, of beginnings and of ends."""
        parts, at = [], 0
        for shape in self.shapes:
            end = at + int(np.prod(shape))
            parts.append(w[at:end].reshape(shape))
            at = end
        return parts

    def loss(self, w: Any) -> tuple[float, Any]:
        emit, pairs, begin, end = self.split(w)
        scores = self.x @ emit
        held = self.known >= 0
        scores[held] = -1e4
        scores[held, self.known[held]] = 0.0
        residual = np.zeros_like(scores)
        g_pairs, g_begin, g_end = np.zeros_like(pairs), np.zeros_like(begin), np.zeros_like(end)
        total = 0.0
        for start, number, length in self.groups:
            span = slice(start, start + number * length)
            s = scores[span].reshape(number, length, -1)
            y = self.truth[span].reshape(number, length)
            a = self.apart[span].reshape(number, length)
            alpha = np.empty_like(s)
            alpha[:, 0] = s[:, 0] + begin
            for t in range(1, length):
                step = pairs[a[:, t]]
                alpha[:, t] = s[:, t] + logsumexp(alpha[:, t - 1, :, None] + step, axis=1)
            z = logsumexp(alpha[:, -1] + end, axis=1)
            beta = np.empty_like(s)
            beta[:, -1] = end
            for t in range(length - 2, -1, -1):
                step = pairs[a[:, t + 1]]
                inner = step + (s[:, t + 1] + beta[:, t + 1])[:, None, :]
                beta[:, t] = logsumexp(inner, axis=2)
                both = np.exp(alpha[:, t, :, None] + inner - z[:, None, None])
                for kind in (0, 1):
                    g_pairs[kind] += both[a[:, t + 1] == kind].sum(axis=0)
                    chosen = a[:, t + 1] == kind
                    np.add.at(g_pairs[kind], (y[chosen, t], y[chosen, t + 1]), -1.0)
            p = np.exp(alpha + beta - z[:, None, None])
            g_begin += p[:, 0].sum(axis=0)
            g_end += p[:, -1].sum(axis=0)
            np.add.at(g_begin, y[:, 0], -1.0)
            np.add.at(g_end, y[:, -1], -1.0)
            right = np.take_along_axis(s, y[:, :, None], axis=2)[:, :, 0].sum()
            right += begin[y[:, 0]].sum() + end[y[:, -1]].sum()
            for t in range(1, length):
                right += pairs[a[:, t], y[:, t - 1], y[:, t]].sum()
            total += z.sum() - right
            np.put_along_axis(
                p, y[:, :, None], np.take_along_axis(p, y[:, :, None], axis=2) - 1.0, axis=2
            )
            residual[span] = p.reshape(number * length, -1)
        residual[held] = 0.0
        gradient = np.concatenate(
            [(self.x.T @ residual).ravel(), g_pairs.ravel(), g_begin.ravel(), g_end.ravel()]
        )
        return total + self.penalty * (w @ w), gradient + 2 * self.penalty * w

    def fitted(self, rounds: int) -> Any:
        size = sum(int(np.prod(shape)) for shape in self.shapes)
        found = minimize(
            self.loss, np.zeros(size), jac=True, method="L-BFGS-B", options={"maxiter": rounds}
        )
        return found.x

    def table(self, w: Any) -> dict[str, Any]:
        """The table as the package keeps it: two decimals, features that say nothing left out."""
        emit, pairs, begin, end = self.split(w)

        def plain(values: Any) -> Any:
            return np.round(values, 2).tolist()

        return {
            "labels": self.labels,
            "features": {
                name: plain(row)
                for name, row in zip(self.names, emit, strict=True)
                if np.abs(row).max() >= _SMALLEST
            },
            "close": plain(pairs[0]),
            "apart": plain(pairs[1]),
            "begin": plain(begin),
            "end": plain(end),
        }


def main() -> None:
    """Fit, and write the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.lines.fit")
    parser.add_argument("--count", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=2)
    parser.add_argument("--penalty", type=float, default=0.5)
    parser.add_argument("--rounds", type=int, default=150)
    parser.add_argument("--out", type=Path, default=DATA)
    options = parser.parse_args()
    chains = material("dev", options.seed, options.count)
    problem = Problem(chains, options.penalty)
    print(len(chains), "chains,", len(problem.names), "features,", len(problem.labels), "labels")
    table = problem.table(problem.fitted(options.rounds))
    text = json.dumps(table, separators=(",", ":"))
    options.out.write_text(text.replace('],"', '],\n"') + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
