"""Two rows of a system that were exchanged: the other way round it fits the rest of the tune."""

from __future__ import annotations

from collections import Counter
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


def exchanged_rows(tune: Tune) -> Iterator[tuple[int, Correction]]:
    """At most one pair for each system: the one that most speaks for, with the system's number.

    Where half of the systems stand one way and half the other way round, each speaks against
    the others; half of them are marked.
    """
    weights = weights_of("rows", NAMES)
    best: dict[int, tuple[float, Pair]] = {}
    for pair in pairs(tune):
        score = weights.score(pair.features)
        system = pair.measures[0].system
        if score > weights.threshold and (system not in best or score > best[system][0]):
            best[system] = (score, pair)
    systems = len({m.system for m in tune.grid.measures})
    most = max(1, systems // 2)
    striking = sorted(best.values(), key=lambda item: -item[0])
    by_rows = Counter(pair.upper for _, pair in striking)
    marked: Counter[int] = Counter()
    for _, pair in striking:
        upper = pair.upper
        marked[upper] += 1
        if marked[upper] > most:
            continue
        either = " (or it is the other systems that are wrong)" if by_rows[upper] > most else ""
        found = dict(zip(NAMES, pair.features, strict=True))
        reason = next((words for name, words in _REASONS if found[name] > 0), _REASONS[-1][1])
        yield (
            pair.measures[0].system,
            Correction(
                kind=kinds.ROWS_EXCHANGED,
                place=Place(pair.measures[0].first_line + upper - 1, 1),
                message=f"the rows of strings {upper} and {upper + 1} seem to be exchanged in this "
                f"system: {reason}{either}",
                mend="exchange this row and the one below it, labels left where they are",
            ),
        )
