"""The fitted numbers of the solver: rhythm patterns with their counts, and weights.

They are data, in ``data/rhythm.json``, written by ``tests/benchmarks/rhythm/fit.py``; nothing
here is typed by hand. Loaded when a measure first needs them: a tab whose columns say it all
does not.
"""

from __future__ import annotations

import itertools
import json
from functools import lru_cache
from importlib import resources
from math import log
from typing import Any

from msgspec import Struct, field

Pattern = tuple[int, tuple[int, ...]]  # length and onsets in ticks


class RhythmData(Struct, frozen=True):
    """``patterns`` maps meter, role and number of onsets to patterns and their counts.

    ``weights`` maps the name of a factor (see ``factors``) to its weight. ``blend`` weighs what
    the rest of the tune says. ``calibration`` maps raw probabilities to measured ones, as points
    to interpolate between, and ``sure`` are the raw odds from which a reading is sure;
    both for files typed in time (``columns exact``, see ``by_weighing.column_mode``)
    and for those that show only the order, by what the right hand does (``order rolls named``,
    ``order melody 2``, see ``by_weighing.order_mode``).
    ``onset_counts`` has, for each meter, the log share of measures with so many onsets.
    ``invented`` keeps what ``candidates.invented`` has found in the chains before.
    """

    patterns: dict[tuple[str, str, int], tuple[tuple[Pattern, int], ...]]
    chains: dict[str, dict[int, dict[int, float]]]
    weights: dict[str, float]
    blend: tuple[float, ...]
    calibration: dict[str, tuple[tuple[float, float], ...]]
    sure: dict[str, float]
    meters: dict[str, float]
    onset_counts: dict[str, dict[int, float]]
    invented: dict[tuple[str, int, int], list[Pattern]] = field(default_factory=dict)


def from_json(data: dict[str, Any]) -> RhythmData:
    """Build the tables from the parsed file."""
    patterns: dict[tuple[str, str, int], tuple[tuple[Pattern, int], ...]] = {}
    for key, entries in data["patterns"].items():
        meter, role, count = key.split(" ")
        patterns[meter, role, int(count)] = tuple(
            ((length, tuple(onsets)), n) for length, onsets, n in entries
        )
    return RhythmData(
        patterns=patterns,
        chains=_chains(patterns),
        weights=data["weights"],
        blend=tuple(data["blend"]),
        calibration={
            mode: tuple((a, b) for a, b in points) for mode, points in data["calibration"].items()
        },
        sure=data["sure"],
        meters=data["meters"],
        onset_counts={
            meter: _count_shares(patterns, meter) for meter in {key[0] for key in patterns}
        },
    )


def _count_shares(
    patterns: dict[tuple[str, str, int], tuple[tuple[Pattern, int], ...]], name: str
) -> dict[int, float]:
    counts: dict[int, float] = {}
    for (meter, _, count), entries in patterns.items():
        if meter == name:
            counts[count] = counts.get(count, 0.0) + sum(n for _, n in entries)
    total = sum(counts.values())
    return {count: log(n / total) for count, n in counts.items()} if total else {}


def _chains(
    patterns: dict[tuple[str, str, int], tuple[tuple[Pattern, int], ...]],
) -> dict[str, dict[int, dict[int, float]]]:
    """Log probabilities of the next onset after an onset, for each meter; the measure's length
    stands for the end, -1 for the start. Counted from the patterns."""
    counts: dict[str, dict[int, dict[int, float]]] = {}
    for (meter, _, _), entries in patterns.items():
        table = counts.setdefault(meter, {})
        for (length, onsets), n in entries:
            points = (-1, *onsets, length)
            for start, end in itertools.pairwise(points):
                row = table.setdefault(start, {})
                row[end] = row.get(end, 0.0) + n
    for table in counts.values():
        for row in table.values():
            total = sum(row.values())
            for end in row:
                row[end] = log(row[end] / total)
    return counts


@lru_cache(maxsize=1)
def rhythm_data() -> RhythmData:
    """The fitted data that comes with the package."""
    text = resources.files("rollstave").joinpath("data/rhythm.json").read_text("utf-8")
    return from_json(json.loads(text))
