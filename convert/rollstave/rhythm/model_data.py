"""The fitted numbers of the solver: rhythm patterns with their counts, and weights.

They are data, in ``data/rhythm.json``, written by ``tests/benchmarks/rhythm/fit.py``; nothing
here is typed by hand. Loaded when a measure first needs them: a tab whose columns say it all
does not. What is worked out from the patterns is worked out for the meters that are asked for.
"""

from __future__ import annotations

import itertools
from functools import lru_cache
from math import log
from typing import Any

import msgspec
from msgspec import Struct, field

from rollstave.packaged import packaged

Pattern = tuple[int, tuple[int, ...]]  # length and onsets in ticks
Counted = tuple[tuple[Pattern, int], ...]  # patterns and how often each was seen
Chain = dict[int, dict[int, float]]
_Patterns = dict[str, tuple[tuple[int, tuple[int, ...], int], ...]]  # length, onsets, count


class RhythmData(Struct, frozen=True):
    """``patterns`` maps meter, role and number of onsets, as in ``4/4 m 8``, to lengths, onsets
    and counts.

    ``weights`` maps the name of a factor (see ``factors``) to its weight. ``blend`` weighs what
    the rest of the tune says. ``calibration`` maps raw probabilities to measured ones, as points
    to interpolate between, and ``sure`` are the raw odds from which a reading is sure;
    both for files typed in time (``columns exact``, see ``by_weighing.column_mode``)
    and for those that show only the order, by what the right hand does (``order rolls named``,
    ``order melody 2``, see ``by_weighing.order_mode``).
    ``meters`` are the log shares of meters.
    ``seen``, ``chains``, ``shares``, ``invented`` and ``scorers`` keep what was worked out before.
    """

    patterns: _Patterns
    weights: dict[str, float]
    blend: tuple[float, ...]
    calibration: dict[str, tuple[tuple[float, float], ...]]
    sure: dict[str, float]
    meters: dict[str, float]
    seen: dict[tuple[str, str, int], Counted] = field(default_factory=dict)
    chains: dict[str, Chain] = field(default_factory=dict)
    shares: dict[str, dict[int, float]] = field(default_factory=dict)
    invented: dict[tuple[str, int, int], list[Pattern]] = field(default_factory=dict)
    scorers: dict[tuple[str, str], Any] = field(default_factory=dict)

    def counted(self, meter: str, role: str, count: int) -> Counted:
        """The patterns with so many onsets of measures in such a place, the most usual first."""
        key = (meter, role, count)
        if key not in self.seen:
            entries = self.patterns.get(f"{meter} {role} {count}", ())
            self.seen[key] = tuple(((length, onsets), n) for length, onsets, n in entries)
        return self.seen[key]

    def chain(self, meter: str) -> Chain:
        """Log probabilities of the next onset after an onset; the measure's length stands for the
        end, -1 for the start. Counted from the patterns, and empty for an unknown meter."""
        if meter not in self.chains:
            self.chains[meter] = _chain(self.patterns, meter)
        return self.chains[meter]

    def onset_counts(self, meter: str) -> dict[int, float]:
        """The log share of measures with so many onsets."""
        if meter not in self.shares:
            self.shares[meter] = _count_shares(self.patterns, meter)
        return self.shares[meter]


def from_json(data: dict[str, Any]) -> RhythmData:
    """Build the tables from the parsed file."""
    return msgspec.convert(data, RhythmData)


def _count_shares(patterns: _Patterns, name: str) -> dict[int, float]:
    counts: dict[int, float] = {}
    for key, entries in patterns.items():
        meter, _, count = key.split(" ")
        if meter == name:
            counts[int(count)] = counts.get(int(count), 0.0) + sum(n for _, _, n in entries)
    total = sum(counts.values())
    return {count: log(n / total) for count, n in counts.items()} if total else {}


def _chain(patterns: _Patterns, name: str) -> Chain:
    chain: Chain = {}
    for key, entries in patterns.items():
        if not key.startswith(f"{name} "):
            continue
        for length, onsets, n in entries:
            for start, end in itertools.pairwise((-1, *onsets, length)):
                row = chain.setdefault(start, {})
                row[end] = row.get(end, 0.0) + n
    for row in chain.values():
        total = sum(row.values())
        for end in row:
            row[end] = log(row[end] / total)
    return chain


@lru_cache(maxsize=1)
def rhythm_data() -> RhythmData:
    """The fitted data that comes with the package."""
    return msgspec.json.decode(packaged("data", "rhythm.json").read_bytes(), type=RhythmData)
