"""What is told: changes and cautions as problems with a place, and refusals."""

from __future__ import annotations

from rollstave import Place, Problem, Score, Severity, TabError


def change(message: str, place: Place | None = None) -> Problem:
    """Something that could not stay as it was."""
    return Problem(severity=Severity.NOTICE, code="reworked", message=message, place=place)


def caution(message: str, place: Place | None = None) -> Problem:
    """Something that asks for care, in one sentence."""
    return Problem(severity=Severity.WARNING, code="reworked", message=message, place=place)


def refusal(message: str) -> TabError:
    """Why a tune cannot be reworked so, and what comes nearest."""
    return TabError((Problem(severity=Severity.ERROR, code="no-rework", message=message),))


def held_throughout(score: Score) -> Score:
    """The score, if its instrument is set up once for all of it. Raises TabError: where frets are
    found anew, they are found for one tuning and one capo."""
    anew = next((m for m in score.measures if m.change is not None and m.change.setup), None)
    if anew is not None:
        raise refusal(
            f"tuning or capo change in {anew.called}, and a tune is reworked in one of each; "
            "divide it there"
        )
    return score


def many(count: int, noun: str) -> str:
    """``1 note``, ``3 notes``."""
    plural = noun + ("es" if noun.endswith("ch") else "s")
    return f"{count} {noun if count == 1 else plural}"
