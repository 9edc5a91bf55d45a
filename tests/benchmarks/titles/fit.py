"""Fitting the weights of the signs: the likelihood of the right names, with a quadratic penalty."""

from __future__ import annotations

from collections import Counter
from typing import Any

import numpy as np
from scipy.optimize import minimize
from scipy.sparse import csr_matrix
from tests.benchmarks.titles.material import Known

from rollstave.reading.words.title_model import plain_name

_RAREST = 4  # texts that a sign must be in
_PENALTY = 0.5
_AGAIN = 0.05  # how much a text counts that was typed under another head
_SMALLEST = 0.02  # a weight less than this is none


def fitted(texts: list[Known]) -> dict[str, float]:
    """The weight of each sign. Texts whose title is no candidate are left out."""
    texts = [t for t in texts if any(_is_right(t, c.name) for c, _ in t.found)]
    counts = Counter(s for t in texts for s in {s for _, signs in t.found for s in signs})
    names = sorted(sign for sign, count in counts.items() if count >= _RAREST)
    number = {sign: at for at, sign in enumerate(names)}
    rows, columns, right, starts = [], [], [], []
    for text in texts:
        starts.append(len(right))
        for candidate, signs in text.found:
            known = [number[sign] for sign in dict.fromkeys(signs) if sign in number]
            rows += [len(right)] * len(known)
            columns += known
            right.append(_is_right(text, candidate.name))
    x = csr_matrix((np.ones(len(rows)), (rows, columns)), shape=(len(right), len(names)))
    y = np.array(right, float)
    of = np.repeat(np.arange(len(texts)), np.diff([*starts, len(right)]))
    count = np.array([_AGAIN if text.again else 1.0 for text in texts])

    def loss(w: Any) -> tuple[float, Any]:
        sums = x @ w
        shares = np.exp(sums - np.maximum.reduceat(sums, starts)[of])
        whole, true = np.add.reduceat(shares, starts), np.add.reduceat(shares * y, starts)
        true = np.maximum(true, 1e-300)
        residual = (shares / whole[of] - shares * y / true[of]) * count[of]
        total = float((count * (np.log(whole) - np.log(true))).sum())
        return total + _PENALTY * float(w @ w), x.T @ residual + 2 * _PENALTY * w

    found = minimize(loss, np.zeros(len(names)), jac=True, method="L-BFGS-B")
    rounded = zip(names, np.round(found.x, 2).tolist(), strict=True)
    return {sign: weight for sign, weight in rounded if abs(weight) >= _SMALLEST}


def _is_right(text: Known, name: str) -> bool:
    return plain_name(name) == plain_name(text.right)
