"""What is told: changes and cautions as problems with a place, and refusals."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby

from rollstave import Place, Problem, Severity, TabError

PICKUP = "pickup"  # what measure 0 is called


def change(message: str, place: Place | None = None) -> Problem:
    """Something that could not stay as it was."""
    return Problem(severity=Severity.NOTICE, code="reworked", message=message, place=place)


def caution(message: str, place: Place | None = None) -> Problem:
    """Something that asks for care, in one sentence."""
    return Problem(severity=Severity.WARNING, code="reworked", message=message, place=place)


def refusal(message: str) -> TabError:
    """Why a tune cannot be reworked so, and what comes nearest."""
    return TabError((Problem(severity=Severity.ERROR, code="no-rework", message=message),))


def many(count: int, noun: str) -> str:
    """``1 note``, ``3 notes``."""
    plural = noun + ("es" if noun.endswith("ch") else "s")
    return f"{count} {noun if count == 1 else plural}"


def numbered(numbers: Iterable[int]) -> str:
    """Numbers of measures as people write them: ``measures 1, 3-5``."""
    every = sorted(set(numbers))
    parts = []
    for _, group in groupby(enumerate(every), key=lambda pair: pair[1] - pair[0]):
        run = [number for _, number in group]
        parts += [str(run[0])] if len(run) == 1 else [f"{run[0]}-{run[-1]}"]
    parts = [PICKUP if part == "0" else part for part in parts]
    if every == [0]:
        return PICKUP
    return f"{'measure' if len(every) == 1 else 'measures'} {', '.join(parts)}"
