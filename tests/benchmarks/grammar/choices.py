"""Choices and their values: the tables, what is set aside, and how a combination is drawn.

The first value of a choice is the plainest and is never set aside. Of the others a value is set
aside when the SHA-256 of its choice and name, as a number, is divisible by three. Where that would
take none of three or more values, the one with the smallest number is; where it would take all but
the first, the one with the largest stays. Values set aside stand in the modules ``held_*.py``.
When those were opened for mending, others were invented beside them: ``fresh_*.py``. In a document
of theirs each choice falls on a fresh value as often as it fell on one that was held.
"""

from __future__ import annotations

import hashlib
import importlib
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import lru_cache
from random import Random
from typing import Any, TypeVar

F = TypeVar("F", bound=Callable[..., Any])
AREAS = ("scores", "rows", "heads", "signs", "words", "files")


@dataclass(frozen=True)
class Value:
    """A value of a choice; ``weight`` says how often people type so."""

    choice: str
    name: str
    data: Any
    weight: float = 1.0


@dataclass
class Table:
    """The values that a module gives."""

    values: list[Value] = field(default_factory=list)

    def row(self, choice: str, name: str, data: Any, weight: float = 1.0) -> None:
        self.values.append(Value(choice=choice, name=name, data=data, weight=weight))

    def function(self, choice: str, name: str, weight: float = 1.0) -> Callable[[F], F]:
        """A decorator: the function is the value."""

        def keep(data: F) -> F:
            self.row(choice, name, data, weight)
            return data

        return keep


def number(choice: str, name: str) -> int:
    return int.from_bytes(hashlib.sha256(f"{choice}: {name}".encode()).digest(), "big")


def aside(choice: str, names: list[str]) -> frozenset[str]:
    """The names that are set aside."""
    if len(names) < 3:
        return frozenset()
    ranked = sorted(names[1:], key=lambda name: number(choice, name))
    taken = {name for name in ranked if number(choice, name) % 3 == 0} or {ranked[0]}
    if len(taken) == len(ranked):
        taken.remove(ranked[-1])
    return frozenset(taken)


KINDS = {
    "dev": ("values",),
    "held": ("held",),
    "both": ("values", "held"),
    "fresh": ("fresh",),
}


@lru_cache
def tables(part: str) -> dict[str, tuple[Value, ...]]:
    """The values of each choice: ``dev``, ``held`` or ``fresh`` (set aside only), ``both``."""
    kinds = KINDS[part]
    found: dict[str, list[Value]] = {}
    for kind in kinds:
        for area in AREAS:
            module = importlib.import_module(f"tests.benchmarks.grammar.{kind}_{area}")
            for value in module.VALUES.values:
                found.setdefault(value.choice, []).append(value)
    return {choice: tuple(values) for choice, values in sorted(found.items())}


@lru_cache
def mixed(part: str) -> dict[str, tuple[Value, ...]]:
    """What a document of a part is drawn from.

    Fresh values weigh among all as much as those held do among ``both``.
    """
    if part != "fresh":
        return tables("dev" if part == "dev" else "both")
    held, fresh, both = tables("held"), tables("fresh"), tables("both")
    found = dict(both)
    for choice, values in fresh.items():
        aside = sum(v.weight for v in held.get(choice, ()))
        known = sum(v.weight for v in both[choice])
        # The share s = aside / known of all: fresh weigh s / (1 - s) of what is known.
        scale = known * aside / (known - aside) / sum(v.weight for v in values)
        found[choice] += tuple(replace(v, weight=v.weight * scale) for v in values)
    return found


Drawn = dict[str, Value]


def draw(part: str, random: Random) -> Drawn:
    """A combination: of ``dev`` values only, or with two to four values set aside in it."""
    plain = random.uniform(0.1, 0.7)  # how much of what a person types is as most type it
    values = mixed(part)
    drawn = {c: v[0] if random.random() < plain else _one(v, random) for c, v in values.items()}
    if part == "dev":
        return drawn
    held = tables(part)
    for choice in random.sample(sorted(held), random.choice((2, 2, 3, 3, 4))):
        drawn[choice] = _one(held[choice], random)
    return drawn


def held_in(drawn: dict[str, str], part: str = "held") -> int:
    """How many of the values named are set aside."""
    held = {(c, v.name) for c, values in tables(part).items() for v in values}
    return sum(item in held for item in drawn.items())


def _one(values: tuple[Value, ...], random: Random) -> Value:
    return random.choices(values, weights=[v.weight for v in values])[0]
