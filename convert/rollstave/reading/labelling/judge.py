"""The judge between rules: how likely it is that a line is what a rule would take it for.

The chain is asked once for a file, when the rows are known. A rule may still take a line of which
the chain is not sure; what the chain is sure the line is not, no rule makes of it.
"""

from __future__ import annotations

from collections.abc import Collection

from rollstave.reading.labelling.chain import likely_labels
from rollstave.reading.labelling.chains import chains_of, is_plain, with_features
from rollstave.reading.state import ReadingState

SURE = 0.97  # from here on the chain is believed against a rule


def judge_lines(state: ReadingState) -> None:
    """Find the chains of a file. A chain is asked when a rule first asks about one of its lines:
    most lines are never in question, and asking costs more than reading them."""
    state.chains = {
        index: chain
        for chain in chains_of(state)
        for index, step in chain
        if not step.known and not is_plain(state.lines[index])
    }


def may_ask(state: ReadingState, index: int) -> bool:
    """True for a line that the chain can tell of."""
    return index in state.chains


def _judged(state: ReadingState, index: int) -> dict[str, float] | None:
    """What a line may be, and how likely; None for a line that is in no chain."""
    if index not in state.judged and (chain := state.chains.get(index)) is not None:
        for (at, step), labels in zip(
            chain, likely_labels(with_features(state, chain)), strict=True
        ):
            if not step.known:
                state.judged[at] = labels
    return state.judged.get(index)


def likely(state: ReadingState, index: int, labels: Collection[str]) -> float:
    """How likely a line is one of some labels; 1 for a line that was not judged."""
    judged = _judged(state, index)
    if judged is None:
        return 1.0
    return sum(value for label, value in judged.items() if label in labels)


def seems(state: ReadingState, index: int, labels: Collection[str]) -> float:
    """The same; 0 for a line that was not judged."""
    return likely(state, index, labels) if may_ask(state, index) else 0.0


def ruled_out(state: ReadingState, index: int, labels: Collection[str]) -> bool:
    """True if the chain is sure that a line is none of some labels."""
    return bool(labels) and likely(state, index, labels) < 1 - SURE


def sure_of(state: ReadingState, index: int) -> str:
    """The label that the chain is sure of, or an empty string."""
    judged = _judged(state, index) or {}
    return next((label for label, value in judged.items() if value >= SURE), "")
