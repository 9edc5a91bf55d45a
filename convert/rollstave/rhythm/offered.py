"""Kinds of evidence for rhythm as the contract has them, and what plugins' kinds say.

Our own kinds are weighed together, by weights that were fitted together (``choices``,
``tunewide``); they are in the table so that everybody sees what there is. A plugin's kinds are
asked for each group of like measures, and what they say is added before the rest of the tune
speaks.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from msgspec import Struct, field

from rollstave.contract.manager import OWN, contract
from rollstave.contract.offers import Candidate, RhythmEvidence, Weights, resolve
from rollstave.grid.typed import GridMeasure
from rollstave.rhythm.choices import Choice, normalise
from rollstave.rhythm.evidence import TICKS
from rollstave.rhythm.meter import Meter
from rollstave.rhythm.state import State

EVIDENCE = (
    RhythmEvidence("columns", "rollstave.rhythm.choices:column_scores", "how the notes are spaced"),
    RhythmEvidence(
        "hands and meter", "rollstave.rhythm.choices:base_scores", "what is usual for such strokes"
    ),
    RhythmEvidence(
        "the rest of the tune", "rollstave.rhythm.tunewide:TuneWide", "what the tune repeats"
    ),
)
_MOST = 5.0  # natural logarithm: no plugin makes a reading more than 150 times likelier


class Spoken(Struct):
    """What plugins said: by the first measure of a choice, log weights and the reason."""

    said: dict[int, list[tuple[list[float], str]]] = field(default_factory=dict)

    def reasons(self, choice: Choice, best: int) -> tuple[str, ...]:
        """The reasons of those that spoke for a reading more than for any other."""
        found = self.said.get(choice.members[0], [])
        return tuple(
            reason for weights, reason in found if weights[best] == max(weights) > min(weights)
        )


def plugins_say(state: State, choices: Sequence[Choice]) -> Spoken:
    """Ask the evidence of plugins about all choices, and add what it says to their scores."""
    spoken = Spoken()
    offers = [o for o in contract().offers("rhythm evidence") if o.plugin.name != OWN]
    for choice in choices if offers else ():
        candidates = tuple(
            Candidate(tuple(Fraction(o, TICKS) for o in onsets), Fraction(length, TICKS))
            for length, onsets in choice.patterns
        )
        for offer in offers:
            evidence: RhythmEvidence = offer.thing
            total = [0.0] * len(candidates)
            reason = ""
            for member in choice.members:
                measure = state.measures[member]
                worked, said = contract().attempt(
                    offer, "the rhythm evidence", _ask, evidence, measure, state.meter, candidates
                )
                if worked and said is not None:
                    total = [a + b for a, b in zip(total, said.log_weights, strict=True)]
                    reason = reason or said.reason
            if any(total):
                choice.base = [b + t for b, t in zip(choice.base, total, strict=True)]
                spoken.said.setdefault(choice.members[0], []).append((total, reason))
        if choice.members[0] in spoken.said:
            both = zip(choice.base, choice.columns, strict=True)
            choice.odds = normalise([b + c for b, c in both])
    return spoken


def _ask(
    evidence: RhythmEvidence,
    measure: GridMeasure,
    meter: Meter,
    candidates: tuple[Candidate, ...],
) -> Weights | None:
    return _checked(resolve(evidence.weigh)(measure, meter, candidates), len(candidates))


def _checked(said: object, count: int) -> Weights | None:
    """What a plugin returned, its weights kept in bounds. Raises TypeError or ValueError."""
    if said is None:
        return None
    if not isinstance(said, Weights):
        raise TypeError(f"it returned a {type(said).__name__}, not Weights or None")
    weights = [float(w) for w in said.log_weights]
    if len(weights) != count:
        raise ValueError(f"it returned {len(weights)} weights for {count} candidates")
    if not all(math.isfinite(w) for w in weights):
        raise ValueError("a weight is not a finite number")
    return Weights([max(-_MOST, min(_MOST, w)) for w in weights], str(said.reason))
