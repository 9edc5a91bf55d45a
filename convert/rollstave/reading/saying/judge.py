"""How sure it is that a line says what was found in it."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from math import exp

from rollstave.packaged import packaged
from rollstave.reading.saying.parse import Found, found_in, may_tell

TAKEN = 0.8  # from here on a fact is taken, and said
DENIED = 0.25  # below, words that a pattern takes for a fact are none
ASKED = 0.5  # from here on it is asked about; below, the words are prose


@cache
def _weights() -> dict[str, float]:
    import msgspec

    data = packaged("data", "sayings.json").read_bytes()
    return msgspec.json.decode(data, type=dict[str, float])


def probability(found: Found) -> float:
    """How likely the words mean what was found."""
    weights = _weights()
    total = weights.get("always", 0.0)
    for name, value in found.features.items():
        total += weights.get(name, 0.0) * value
    return 1 / (1 + exp(-total))


def told(text: str, *facts: str, least: float = TAKEN) -> Iterator[Found]:
    """What a line says of some facts, if it is as likely as ``least``."""
    if not may_tell(text, facts):
        return
    for found in found_in(text, facts):
        if found.fact in facts and probability(found) >= least:
            yield found


def denied(text: str, fact: str, start: int, end: int) -> bool:
    """True for words, from one character to another, that look like a fact and are none."""
    there = [f for f in found_in(text) if f.fact == fact and f.start < end and start < f.end]
    return bool(there) and all(probability(f) < DENIED for f in there)
