"""The judge between rules: how likely it is that a line is what a rule would take it for.

The chain is asked once for a file, when the rows are known. A rule may still take a line of which
the chain is not sure; what the chain is sure the line is not, no rule makes of it.
"""

from __future__ import annotations

from collections.abc import Collection

from rollstave.reading.labelling.chain import probabilities, weights
from rollstave.reading.labelling.chains import chains_of
from rollstave.reading.state import ReadingState

SURE = 0.97  # from here on the chain is believed against a rule
_LEAST = 0.01  # less is not kept


def judge_lines(state: ReadingState) -> None:
    """Find what each line of words may be, and how likely."""
    chains = chains_of(state)
    if not chains:
        return
    table = weights()
    for chain in chains:
        found = probabilities([step for _, step in chain], table)
        for (index, step), values in zip(chain, found, strict=True):
            if not step.known:
                state.judged[index] = {
                    label: value
                    for label, value in zip(table.labels, values, strict=True)
                    if value >= _LEAST
                }


def likely(state: ReadingState, index: int, labels: Collection[str]) -> float:
    """How likely a line is one of some labels; 1 for a line that was not judged."""
    judged = state.judged.get(index)
    if judged is None:
        return 1.0
    return sum(value for label, value in judged.items() if label in labels)


def seems(state: ReadingState, index: int, labels: Collection[str]) -> float:
    """The same; 0 for a line that was not judged."""
    return likely(state, index, labels) if index in state.judged else 0.0


def ruled_out(state: ReadingState, index: int, labels: Collection[str]) -> bool:
    """True if the chain is sure that a line is none of some labels."""
    return bool(labels) and likely(state, index, labels) < 1 - SURE


def sure_of(state: ReadingState, index: int) -> str:
    """The label that the chain is sure of, or an empty string."""
    judged = state.judged.get(index, {})
    return next((label for label, value in judged.items() if value >= SURE), "")
