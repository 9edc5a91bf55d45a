"""A linear chain over lines: what each is, all lines weighed together.

A conditional random field with a label for each line (Lafferty, McCallum and Pereira 2001): the
features of a line speak for its label, and a label for the next one. What is known (a row) is held.
The weights are fitted on typed texts whose truth is known, by ``tests/benchmarks/lines``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache, lru_cache
from math import exp
from operator import mul

from msgspec import Struct

from rollstave.packaged import packaged

_LEAST = 0.01  # less is not kept


class Weights(Struct, frozen=True):
    """The fitted table: the labels; for each feature a weight for each label; for two lines next
    to each other, and for two with an empty line between, a weight for each pair of labels; and
    what begins a text and what ends one."""

    labels: tuple[str, ...]
    features: dict[str, tuple[float, ...]]
    close: tuple[tuple[float, ...], ...]
    apart: tuple[tuple[float, ...], ...]
    begin: tuple[float, ...]
    end: tuple[float, ...]


@cache
def weights() -> Weights:
    """The table of the package."""
    import msgspec

    return msgspec.json.decode(packaged("data", "lines.json").read_bytes(), type=Weights)


class Step(Struct, frozen=True):
    """A line in a chain: its features, a label that is known ("" for none), and whether an empty
    line stands between it and the line before."""

    features: tuple[str, ...]
    known: str = ""
    apart: bool = False


@lru_cache(maxsize=64)  # the parts of a long file look alike: a name between two systems
def likely_labels(steps: tuple[Step, ...]) -> tuple[dict[str, float], ...]:
    """The labels that each line of a chain may have by the package's table, and how likely."""
    table = weights()
    return tuple(
        {label: value for label, value in zip(table.labels, values, strict=True) if value >= _LEAST}
        for values in probabilities(steps, table)
    )


def probabilities(steps: Sequence[Step], table: Weights) -> list[list[float]]:
    """How likely each label is for each line of a chain, in the order of the table's labels."""
    if not steps:
        return []
    between = _between(table)
    local = [_local(step, table) for step in steps]
    local[0] = [p * exp(b) for p, b in zip(local[0], table.begin, strict=True)]
    forward = [_scaled(local[0])]
    for step, here in zip(steps[1:], local[1:], strict=True):
        into, _ = between[step.apart]
        before = forward[-1]
        forward.append(
            _scaled([p * sum(map(mul, before, row)) for p, row in zip(here, into, strict=True)])
        )
    behind = _scaled([exp(e) for e in table.end])
    found = [_scaled(list(map(mul, forward[-1], behind)))]
    for at in range(len(steps) - 2, -1, -1):
        _, out_of = between[steps[at + 1].apart]
        after = list(map(mul, local[at + 1], behind))
        behind = _scaled([sum(map(mul, row, after)) for row in out_of])
        found.append(_scaled(list(map(mul, forward[at], behind))))
    return found[::-1]


def _local(step: Step, table: Weights) -> list[float]:
    """What the features of a line say, for each label, the likeliest as 1."""
    if step.known:
        return [float(label == step.known) for label in table.labels]
    rows = [row for name in step.features if (row := table.features.get(name))]
    sums = [sum(column) for column in zip(*rows, strict=True)]
    most = max(sums)
    return [exp(s - most) for s in sums]


def _scaled(values: Iterable[float]) -> list[float]:
    found = list(values)
    total = sum(found)
    return [value / total for value in found] if total else [1 / len(found)] * len(found)


_Matrix = tuple[tuple[float, ...], ...]


@cache
def _exponents(matrix: _Matrix) -> tuple[_Matrix, _Matrix]:
    """A matrix of weights as factors: by the second label, and by the first."""
    out_of = tuple(tuple(exp(w) for w in row) for row in matrix)
    return tuple(zip(*out_of, strict=True)), out_of


def _between(table: Weights) -> tuple[tuple[_Matrix, _Matrix], tuple[_Matrix, _Matrix]]:
    return _exponents(table.close), _exponents(table.apart)
