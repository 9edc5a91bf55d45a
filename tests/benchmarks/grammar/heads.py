"""Laying facts out as lines; what the headings' tables share."""

from __future__ import annotations

from tests.benchmarks.grammar.model import Fact, Tune


def fact(name: str, label: str, value: str, *forms: str) -> Fact:
    """A fact; its forms are the short one and the part of a sentence."""
    return Fact(name=name, label=label, value=value, short=forms[0], phrase=forms[1])


def facts_of_lines(facts: list[Fact], form: str) -> list[str]:
    return [form.format(f.label, f.value) for f in facts]


def boxed(lines: list[str], signs: str) -> list[str]:
    """Lines in a box of characters: corner, top, side."""
    corner, top, side = tuple(signs)
    wide = max(len(line) for line in lines)
    rule = corner + top * (wide + 2) + corner
    return [rule, *(f"{side} {line:<{wide}} {side}" for line in lines), rule]


def sentence(opening: str, facts: list[Fact]) -> str:
    """Facts as a sentence."""
    parts = [f.phrase for f in facts]
    if len(parts) == 1:
        return opening + parts[0]
    return opening + ", ".join(parts[:-1]) + " and " + parts[-1]


def tuning_fact(tune: Tune) -> Fact:
    w = tune.tuning.written
    return fact("tuning", "Tuning", w, w, f"tuned {w}")


def time_fact(tune: Tune) -> Fact:
    w = tune.meter.written
    return fact("time", "Time", w, w, f"in {w}")
