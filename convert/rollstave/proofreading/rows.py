"""Two rows of a system that were exchanged: the other way round it fits the rest of the tune."""

from __future__ import annotations

from collections.abc import Iterator

from rollstave.api import Tune
from rollstave.problems import Place
from rollstave.proofreading.correction import Correction
from rollstave.proofreading.row_evidence import NAMES, Pair, pairs
from rollstave.proofreading.weights import weights_of
from rollstave.vocabulary import problems as kinds

_REASONS = (
    ("measures", "its measures stand elsewhere in the tune the other way round"),
    ("scale", "the other way round its notes belong to the tune's scale"),
    ("orders", "the other way round its strings come in the tune's usual order"),
    ("smooth", "the other way round its melody goes on more smoothly"),
)


def exchanged_rows(tune: Tune) -> Iterator[Correction]:
    """At most one pair for each system: the one that most speaks for."""
    weights = weights_of("rows", NAMES)
    best: dict[int, tuple[float, Pair]] = {}
    for pair in pairs(tune):
        score = weights.score(pair.features)
        system = pair.measures[0].system
        if score > weights.threshold and (system not in best or score > best[system][0]):
            best[system] = (score, pair)
    for _, pair in best.values():
        upper = pair.upper
        found = dict(zip(NAMES, pair.features, strict=True))
        reason = next((words for name, words in _REASONS if found[name] > 0), _REASONS[-1][1])
        yield Correction(
            kind=kinds.ROWS_EXCHANGED,
            place=Place(pair.measures[0].first_line + upper - 1, 1),
            message=f"the rows of strings {upper} and {upper + 1} seem to be exchanged in this "
            f"system: {reason}",
            mend="exchange this row and the one below it, labels left where they are",
        )
