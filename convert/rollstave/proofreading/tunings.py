"""A tuning that makes a mess where another makes sense."""

from __future__ import annotations

from collections.abc import Iterator

from rollstave.api import Tune
from rollstave.problems import Place
from rollstave.proofreading.correction import Correction
from rollstave.proofreading.tuning_evidence import NAMES, others
from rollstave.proofreading.weights import weights_of
from rollstave.vocabulary import problems as kinds

_FEWEST = 40  # notes
_ONE_SCALE = 0.93  # a tune of which one scale holds so much makes sense in its own tuning


def messy_tuning(tune: Tune) -> Iterator[Correction]:
    """The declared tuning, if what is fingered sounds much more like a tune in another one."""
    if sum(len(c.strokes) for m in tune.grid.measures for c in m.columns) < _FEWEST:
        return
    weights = weights_of("tuning", NAMES)
    found = [
        (weights.score(other.features), other)
        for other in others(tune)
        if other.own_share < _ONE_SCALE
    ]
    if not found:
        return
    score, best = max(found, key=lambda item: item[0])
    if score <= weights.threshold:
        return
    heading = next((h for h in tune.grid.headings if h.key == "tuning"), None)
    first = tune.grid.measures[0]
    place = heading.place if heading else Place(first.first_line, 1)
    own, tuning = tune.score.setup.tuning.written, best.tuning.written
    message = f"fingered in {own} this does not sound like one tune; in {tuning} it does"
    if best.share > best.own_share:
        message = (
            f"in {own} no scale holds more than {best.own_share:.0%} of the notes, and they go on "
            f"by odd steps; fingered alike in {tuning} one holds {best.share:.0%}"
        )
    yield Correction(kind=kinds.TUNING, place=place, message=message, mend=tuning)
