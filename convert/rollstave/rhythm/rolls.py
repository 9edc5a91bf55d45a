"""Measures read as the rolls of their tune, with what a player changes in them.

A tune of rolls says itself which they are: the orders of strings of its full measures, beside the
rolls that have names. A measure with fewer notes is such a roll in which a stroke is held or left
out, or a pinch takes the time of two. Strokes and roll are aligned by dynamic programming
(Needleman and Wunsch, A general method applicable to the search for similarities, 1970).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from functools import lru_cache
from math import log

from msgspec import Struct

from rollstave.rhythm.evidence import Evidence
from rollstave.rhythm.model_data import Pattern
from rollstave.rhythm.roll_names import ROLLS, fingers, roll_name

# Log probabilities that a stroke of a roll is struck as it is, on another string by the same
# finger, by another finger; that a pinch or brush stands in its place; that the left hand does.
_SAME, _FINGER, _OTHER = log(0.9), log(0.12), log(0.03)
_PINCH, _PINCHED_ELSEWHERE, _LINKED = log(0.3), log(0.1), log(0.3)
# That the stroke after it is left out: after a pinch that is usual.
_HELD, _HELD_PINCH = log(0.06), log(0.5)
_NAMED = 0.1  # the share of rolls that have names beside the tune's own
_MOST = 8  # orders of strings of a tune that are looked at
# Log odds, against the best, of a reading between the slots, and of any at the least.
_BETWEEN, _FLOOR = -9.0, -10.0
_TIMES = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")
_COUNTED_IN_SIX = {72}  # ticks of full measures with six slots


class Rolls(Struct, frozen=True):
    """The rolls of a tune: orders of strings with the log of their share, and the ticks of a
    slot and of a full measure. A named roll is given by its fingers."""

    own: tuple[tuple[tuple[int, ...], float], ...]
    named: tuple[tuple[str, float], ...]
    slot: int
    length: int

    @property
    def all(self) -> list[tuple[Sequence[int | str], float]]:
        return [*self.own, *self.named]

    def readings(self, evidence: Evidence) -> list[Pattern]:
        """The best alignment of a full measure with each roll."""
        slots = self.length // self.slot
        if not 2 <= evidence.count < slots:
            return []
        strokes = _strokes(evidence)
        found = {_aligned(strokes, roll, slots) for roll, _ in self.all}
        return sorted((self.length, tuple(o * self.slot for o in at)) for at in found)

    def scores(self, evidence: Evidence, patterns: Sequence[Pattern]) -> list[float]:
        """Log probability of the strokes of a measure under each reading of it."""
        strokes = _strokes(evidence)
        found = [self._score(strokes, pattern) for pattern in patterns]
        told = [score for score in found if score is not None]
        best = max(told, default=0.0)
        between = best + _BETWEEN
        return [between if score is None else max(score, best + _FLOOR) for score in found]

    def _score(self, strokes: Sequence[_Stroke], pattern: Pattern) -> float | None:
        length, onsets = pattern
        if length > self.length or any(onset % self.slot for onset in onsets):
            return None
        at = [onset // self.slot for onset in onsets]
        ends = [*at[1:], length // self.slot]
        held = sum(
            (end - start - 1) * strokes[i].held
            for i, (start, end) in enumerate(zip(at, ends, strict=True))
        )
        best = max(
            share + sum(_struck(strokes[i], roll[slot]) for i, slot in enumerate(at))
            for roll, share in self.all
        )
        return best + held

    def describe(self, evidence: Evidence, pattern: Pattern) -> str | None:
        """The roll that a full measure is, and what is left out of it, in words."""
        length, onsets = pattern
        slots = self.length // self.slot
        if length != self.length or any(onset % self.slot for onset in onsets):
            return None
        at = [onset // self.slot for onset in onsets]
        left = [slot for slot in range(slots) if slot not in at]
        if not left or len(left) > 2 or at[0]:
            return None
        own = [
            roll
            for roll, _ in self.own
            if all(
                evidence.kinds[i] in "lpb" or roll[slot] == evidence.strings[i]
                for i, slot in enumerate(at)
            )
        ]
        if not own:
            return None
        name = roll_name(own[0], "f" * slots) or "roll"
        places = " and ".join(_TIMES[slot] for slot in left)
        notes = "note" if len(left) == 1 else "notes"
        return f"the {name} of this tune with its {places} {notes} left out"


def rolls_of(evidence: Sequence[Evidence], length: int, rolling: bool) -> Rolls | None:
    """The rolls of a tune whose full measures last ``length`` ticks, or None if it has none.

    A hand that rolls is told by rolls that have names (``rolling``) or by full measures that
    repeat an order of strings.
    """
    slots = 6 if length in _COUNTED_IN_SIX else 8
    if length % slots:
        return None
    full = [e for e in evidence if e.count == slots and not set(e.kinds) & set("pbl")]
    orders: Counter[tuple[int, ...]] = Counter()
    for signature in {(e.signature, e.strings) for e in full}:
        orders[signature[1]] += 1
    again = sum(n for n in orders.values() if n > 1)
    if not full or not (rolling or 2 * again >= orders.total() >= 4):
        return None
    counted = Counter(e.strings for e in full).most_common(_MOST)
    total = sum(n for _, n in counted)
    names = [order for order in ROLLS if len(order) == slots]
    return Rolls(
        own=tuple((roll, log((1 - _NAMED) * n / total)) for roll, n in counted),
        named=tuple((order, log(_NAMED / len(names))) for order in names),
        slot=length // slots,
        length=length,
    )


def is_of_the_tune(rolls: Rolls, evidence: Evidence) -> bool:
    """True if a full measure is one of the rolls of its tune that comes more than once or has a
    name."""
    order = fingers(evidence.strings)
    return order in ROLLS or any(roll == evidence.strings for roll, _ in rolls.own)


class _Stroke(Struct, frozen=True):
    """What is struck at once: the strings, whether it is a pinch or brush, whether the left hand
    sounds it, and the log probability that the slot after it is left out."""

    strings: tuple[int, ...]
    together: bool
    linked: bool
    held: float


def _strokes(evidence: Evidence) -> list[_Stroke]:
    """The strokes of a measure."""
    found = []
    for kind, string, struck in zip(
        evidence.kinds, evidence.strings, evidence.signature, strict=True
    ):
        together = kind in "pb"
        found.append(
            _Stroke(
                strings=tuple(s for s, _, _ in struck) if together else (string,),
                together=together,
                linked=kind == "l",
                held=_HELD_PINCH if together else _HELD,
            )
        )
    return found


def _aligned(strokes: Sequence[_Stroke], roll: Sequence[int | str], slots: int) -> tuple[int, ...]:
    """The slots of a roll in which strokes are likeliest to stand."""
    count = len(strokes)
    above: list[tuple[float, tuple[int, ...]]] = [(0.0, ())]
    for slot in range(slots):
        wanted = roll[slot]
        row: list[tuple[float, tuple[int, ...]]] = [(-1e9, ())]
        for index in range(min(count, slot + 1)):
            score, at = above[index]
            best = (score + _struck(strokes[index], wanted), (*at, slot))
            if index + 1 < len(above):
                score, at = above[index + 1]
                score += strokes[index].held
                if score > best[0]:
                    best = (score, at)
            row.append(best)
        above = row
    return above[count][1]


def _struck(stroke: _Stroke, wanted: int | str) -> float:
    """Log probability of a stroke where a roll wants a string, or a finger."""
    if stroke.linked:
        return _LINKED
    return _odds(stroke.strings, stroke.together, wanted)


@lru_cache(maxsize=4096)
def _odds(strings: tuple[int, ...], together: bool, wanted: int | str) -> float:
    if together:
        match = wanted in strings if isinstance(wanted, int) else wanted in fingers(strings)
        return _PINCH if match else _PINCHED_ELSEWHERE
    if isinstance(wanted, str):
        return _SAME if fingers(strings) == wanted else _OTHER
    if strings[0] == wanted:
        return _SAME
    return _FINGER if fingers(strings) == fingers((wanted,)) else _OTHER
