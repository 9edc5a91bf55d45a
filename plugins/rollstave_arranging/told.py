"""What is told: changes and cautions as problems with a place, and refusals."""

from __future__ import annotations

from rollstave import Place, Problem, Severity, TabError


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
