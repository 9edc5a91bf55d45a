"""The weights of evidence: data fitted on the development tabs of the proofreading benchmark.

``python -m tests.benchmarks.proofreading.fit`` writes ``data/proofreading.json``: for each of the
checks ``slips``, ``rows`` and ``tuning`` the weight of every feature by name, a constant, and the
score above which something is marked. A score is the logarithm of odds, up to the constant.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from functools import cache

from msgspec import Struct

from rollstave.packaged import packaged


class Weights(Struct, frozen=True):
    """Of one check: weights in the order of its features, the constant, and the threshold."""

    values: tuple[float, ...]
    constant: float
    threshold: float

    def score(self, features: Sequence[float]) -> float:
        return self.constant + sum(w * f for w, f in zip(self.values, features, strict=True))


@cache
def weights_of(check: str, names: tuple[str, ...]) -> Weights:
    """The weights of a check, in the order of ``names``. Raises KeyError if one is missing."""
    text = packaged("data", "proofreading.json").read_text(encoding="utf-8")
    data = json.loads(text)[check]
    return Weights(
        tuple(data["weights"][name] for name in names), data["constant"], data["threshold"]
    )
