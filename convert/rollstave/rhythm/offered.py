"""Kinds of evidence for rhythm that others than the solver itself bring.

Our own kinds are weighed together, by weights that were fitted together (``choices``,
``tunewide``). Others are asked for each group of like measures, and what they say is added before
the rest of the tune speaks.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

from msgspec import Struct, field

from rollstave.grid.typed import GridMeasure
from rollstave.rhythm.choices import Choice, normalise
from rollstave.rhythm.evidence import TICKS
from rollstave.rhythm.meter import Meter

# Readings of a measure that are weighed: the onsets and the length of each, in quarter notes.
Candidates = tuple[tuple[tuple[Fraction, ...], Fraction], ...]
# The natural logarithm of how much likelier each candidate became, and why.
Said = tuple[list[float], str]
# None where it has nothing to say. It never raises.
Weigh = Callable[[GridMeasure, Meter, Candidates], Said | None]
# Asked for the kinds of evidence only where a measure is open.
Others = Callable[[], Sequence[Weigh]]


def no_others() -> Sequence[Weigh]:
    """Only the evidence of our own."""
    return ()


class Spoken(Struct):
    """What others said: by the first measure of a choice, log weights and the reason."""

    said: dict[int, list[tuple[list[float], str]]] = field(default_factory=dict)

    def reasons(self, choice: Choice, best: int) -> tuple[str, ...]:
        """The reasons of those that spoke for a reading more than for any other."""
        found = self.said.get(choice.members[0], [])
        return tuple(
            reason for weights, reason in found if weights[best] == max(weights) > min(weights)
        )


def others_say(
    others: Others, measures: Sequence[GridMeasure], meter: Meter, choices: Sequence[Choice]
) -> Spoken:
    """Ask the evidence of others about all choices, and add what it says to their scores."""
    spoken = Spoken()
    kinds = others()
    for choice in choices if kinds else ():
        candidates = tuple(
            (tuple(Fraction(o, TICKS) for o in onsets), Fraction(length, TICKS))
            for length, onsets in choice.patterns
        )
        for weigh in kinds:
            total = [0.0] * len(candidates)
            reason = ""
            for member in choice.members:
                said = weigh(measures[member], meter, candidates)
                if said is not None:
                    weights, why = said
                    total = [a + b for a, b in zip(total, weights, strict=True)]
                    reason = reason or why
            if any(total):
                choice.base = [b + t for b, t in zip(choice.base, total, strict=True)]
                spoken.said.setdefault(choice.members[0], []).append((total, reason))
        if choice.members[0] in spoken.said:
            both = zip(choice.base, choice.columns, strict=True)
            choice.odds = normalise([b + c for b, c in both])
    return spoken
