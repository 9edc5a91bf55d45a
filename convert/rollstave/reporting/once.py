"""What is said of one cause in many places is said once, at the first of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec.structs import replace

from rollstave.problems import Place, Problem

_MOST = 6  # lines that are named


def said_once(problems: Iterable[Problem]) -> list[Problem]:
    """The problems for people: those that say the same, or the same of other figures, are one
    that names the lines of all. Of two of a kind at one place the first is kept."""
    alike: dict[tuple[object, ...], list[Problem]] = {}
    places: set[tuple[str, Place]] = set()
    for problem in problems:
        if problem.place is not None:
            at = (problem.code, problem.place)
            figure, _ = _figure(problem.message)
            if figure and at in places:
                continue
            places.add(at)
        _, rest = _figure(problem.message)
        alike.setdefault((problem.severity, problem.code, rest), []).append(problem)
    return [_as_one(same) for same in alike.values()]


def _figure(message: str) -> tuple[str, str]:
    """The figure that a message begins with, if it does, and the rest."""
    first, _, rest = message.partition(" ")
    return (first, rest) if first.isdigit() else ("", message)


def _as_one(same: Sequence[Problem]) -> Problem:
    first = same[0]
    if len(same) == 1:
        return first
    own, _ = _figure(first.message)
    figures = list(dict.fromkeys(_figure(p.message)[0] for p in same))
    others = ", ".join(f for f in figures if f != own)
    lines = lines_of(p.place for p in same[1:])
    if not lines:
        return first
    of = f" of {others}" if others else ""
    return replace(first, message=f"{first.message}; the same{of} in {lines}")


def lines_of(places: Iterable[Place | None]) -> str:
    """``line 4``, ``lines 4, 9 and 12``, or the first few and how many more."""
    numbers = list(dict.fromkeys(place.line for place in places if place is not None))
    if not numbers:
        return ""
    if len(numbers) == 1:
        return f"line {numbers[0]}"
    if len(numbers) > _MOST:
        named = ", ".join(str(n) for n in numbers[:_MOST])
        return f"lines {named} and {len(numbers) - _MOST} more"
    return f"lines {', '.join(str(n) for n in numbers[:-1])} and {numbers[-1]}"
