"""A measure that departs from the tune's roll: what a teacher looks for first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from rollstave.api import Tune
from rollstave.problems import Place
from rollstave.proofreading.correction import Correction
from rollstave.score.records import Event, Measure
from rollstave.vocabulary import problems as kinds

_FEWEST = 6  # strokes of a roll
_USUAL = 4  # measures that make an order of strings the tune's
_NEAR = 3  # strokes on other strings that make a variant of a roll
_SLIPS_IN = 40  # measures in which a careful typist may have one more slip

Order = tuple[tuple[Fraction, int], ...]  # onset and string of each stroke


def departures(tune: Tune, without: Collection[int] = ()) -> Iterator[Correction]:
    """A measure with two neighbouring strokes the other way round than in the roll of at least
    four others, where no other measure is played so: what the typist repeats is no slip. In a tune
    whose rolls are varied, only where the measure so turned is played elsewhere."""
    orders = {m.index: order for m in tune.score.measures if (order := _order(m)) is not None}
    counts = Counter(orders.values())
    usual = [order for order, number in counts.items() if number >= _USUAL and _is_roll(order)]
    varied = _varied(counts, usual)
    played = {_content(m.events) for m in tune.score.measures} if varied else set()
    for measure in tune.score.measures:
        own = orders.get(measure.index)
        if own is None or counts[own] > 1 or measure.system in without:
            continue
        for roll in usual:
            at = _exchanged(own, roll)
            if at is None or (varied and _turned(measure, at) not in played):
                continue
            yield Correction(
                kind=kinds.ROLL,
                place=_place(measure, at),
                message=f"{measure.called} departs from the tune's roll: strings {own[at][1]} and "
                f"{own[at + 1][1]} are struck the other way round in {counts[roll]} measures "
                "that are else picked alike",
                mend="strings " + " ".join(str(string) for _, string in roll),
            )
            break


Content = tuple[tuple[Fraction, tuple[tuple[int, str], ...]], ...]  # onset, strings and frets


def _content(events: Sequence[Event]) -> Content:
    return tuple(
        (e.onset, tuple((n.string, n.fret_text) for n in e.notes)) for e in events if e.notes
    )


def _turned(measure: Measure, at: int) -> Content:
    """A measure with two neighbouring strokes the other way round."""
    played = list(_content(measure.events))
    (one, first), (other, second) = played[at : at + 2]
    played[at : at + 2] = [(one, second), (other, first)]
    return tuple(played)


def _varied(counts: Counter[Order], usual: list[Order]) -> bool:
    """Whether the typist varies the tune's rolls: two measures or more are picked as no other is,
    and nearly as a usual one."""
    alone = [order for order, number in counts.items() if number == 1]
    near = sum(any(0 < _apart(order, roll) <= _NEAR for roll in usual) for order in alone)
    return near > 1 + sum(counts.values()) // _SLIPS_IN


def _apart(one: Order, other: Order) -> int:
    """How many strokes differ in their string; many if the onsets do."""
    if [onset for onset, _ in one] != [onset for onset, _ in other]:
        return len(one)
    return sum(a != b for a, b in zip(one, other, strict=True))


def _order(measure: Measure) -> Order | None:
    """The strokes of a measure of a roll, one at a time; None where strings are struck
    together, or few."""
    events = [e for e in measure.events if e.notes]
    if len(events) < _FEWEST or any(len(e.notes) > 1 for e in events):
        return None
    return tuple((e.onset, e.notes[0].string) for e in events)


def _is_roll(order: Order) -> bool:
    """No string is struck twice running (common practice, no source)."""
    return all(one != other for (_, one), (_, other) in pairwise(order))


def _exchanged(own: Order, roll: Order) -> int | None:
    """Where two neighbouring strokes stand the other way round and all else is the same."""
    if [onset for onset, _ in own] != [onset for onset, _ in roll]:
        return None
    other = [i for i, (a, b) in enumerate(zip(own, roll, strict=True)) if a != b]
    if len(other) != 2 or other[1] - other[0] != 1:
        return None
    first, second = other
    return first if (own[first][1], own[second][1]) == (roll[second][1], roll[first][1]) else None


def _place(measure: Measure, at: int) -> Place:
    struck = [e for e in measure.events if e.notes]
    return struck[at].notes[0].place
