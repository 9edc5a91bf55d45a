"""The cheapest way of one hand through a row of strokes.

A stroke's choices are one finger for a lone note or a brush, and for a pinch different fingers in
the order of the hand, the thumb on the lowest line; a letter that is written leaves no choice.
Costs are those of the hand (``hands``).

Strokes repeat all through a tune, so what a stroke may be played with and what a change from one
to the next costs is worked out once for each that is different. Fingers are numbers here, their
places in ``ORDER``: they are looked up in tables all the time.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import combinations

from msgspec import Struct

from rollstave.deciding.hands import Hand
from rollstave.score.records import Finger

ORDER = (Finger.MIDDLE, Finger.INDEX, Finger.THUMB)  # from string 1 to string 5
NUMBER = {finger.value: number for number, finger in enumerate(ORDER)}
# A fourth finger goes the way of its neighbour.
NUMBER |= {finger.value: 0 for finger in Finger if finger not in ORDER}
_OTHER_BRUSH = {Finger.THUMB: 50.0, Finger.INDEX: 50.0, Finger.MIDDLE: 55.0}
_OTHER_PINCH = (
    60.0  # for other fingers of several strings at once than the strings have by themselves
)
_NEVER = 1000.0  # more than any other way costs
AWAY = 8.0  # for a stroke that is not played as its like elsewhere: more than a finger again

Choice = tuple[int | None, ...]  # one for each note of the event, None for notes not picked


class Step(Struct, frozen=True):
    """An event that is picked: its place and its time in the measure, in small parts of a quarter
    note, whether it comes at speed after the one before, or even at the speed of sixteenths, and
    for each note its string, the finger that is written, and whether it is picked at all."""

    measure: int
    event: int
    onset: int
    fast: bool
    racing: bool
    notes: tuple[tuple[int, int | None, bool], ...]
    brush: bool


@lru_cache(maxsize=16)
def path_of(hand: Hand) -> FingerPath:
    """One for each hand: there are not so many strokes that what it keeps could grow without
    end, and a folder of tunes has the same ones over and over."""
    return FingerPath(hand)


class FingerPath:
    """The cheapest path of one hand, with what it has worked out so far."""

    def __init__(self, hand: Hand) -> None:
        self.hand = hand
        self.fingers = [n for n, finger in enumerate(ORDER) if finger in hand.costs]
        self._ways: dict[object, list[Choice]] = {}
        self._tables: dict[object, list[list[float]]] = {}
        self._costs: dict[object, list[float]] = {}

    def cheapest(
        self,
        steps: Sequence[Step],
        entering: Sequence[float] = (),
        leaving: Sequence[float] = (),
        favoured: Sequence[Choice | None] = (),
    ) -> tuple[list[Choice], float]:
        """Dynamic programming: the choices with the least sum of costs, and the sum; ties go to
        the first. ``entering`` and ``leaving`` are what each choice of the first and the last
        stroke costs besides, ``favoured`` for each stroke what any other choice costs more than.
        """
        costs: list[float] = []
        back: list[list[int]] = []
        before: Step | None = None
        for number, step in enumerate(steps):
            own: Sequence[float] = self._own(step)
            if favoured and (best := favoured[number]) is not None:
                pairs = zip(own, self.choices(step), strict=True)
                own = [cost + (AWAY if choice != best else 0.0) for cost, choice in pairs]
            if before is None or not step.fast:
                # The hand has time: whatever came before costs nothing.
                least = min(range(len(costs)), key=costs.__getitem__) if costs else 0
                start = costs[least] if costs else 0.0
                extra = entering if entering and before is None else [0.0] * len(own)
                costs = [start + a + b for a, b in zip(own, extra, strict=True)]
                back.append([least] * len(own))
            else:
                links = []
                row = []
                for cost, changes in zip(own, self._changes(before, step), strict=True):
                    totals = [a + b for a, b in zip(costs, changes, strict=True)]
                    lowest = min(totals)
                    links.append(totals.index(lowest))
                    row.append(cost + lowest)
                costs = row
                back.append(links)
            before = step
        if leaving:
            costs = [a + b for a, b in zip(costs, leaving, strict=True)]
        return self._traced(steps, back, costs)

    def _traced(
        self, steps: Sequence[Step], back: list[list[int]], costs: list[float]
    ) -> tuple[list[Choice], float]:
        """The choices that led to the least of the costs."""
        if not costs:
            return [], 0.0
        at = costs.index(min(costs))
        total = costs[at]
        chosen = []
        for step, links in zip(reversed(steps), reversed(back), strict=True):
            chosen.append(self.choices(step)[at])
            at = links[at]
        return chosen[::-1], total

    def choices(self, step: Step) -> list[Choice]:
        """The ways to finger one event, those that agree with what is written."""
        key = (step.notes, step.brush)
        found = self._ways.get(key)
        if found is None:
            found = self._ways[key] = self._find_choices(step)
        return found

    def _find_choices(self, step: Step) -> list[Choice]:
        picked = sorted(string for string, _, is_picked in step.notes if is_picked)
        if len(picked) == 1:
            ways: list[tuple[int, ...]] = [(finger,) for finger in self.fingers]
        elif step.brush or self.hand.brushes or len(picked) > len(self.fingers):
            # More strings than fingers can only be struck in one go.
            usual = NUMBER[self.hand.brush.value]
            others = [finger for finger in self.fingers if finger != usual]
            ways = [(finger,) * len(picked) for finger in (usual, *others)]
        else:
            ways = list(combinations(self.fingers, len(picked)))
        found = []
        for way in ways:
            by_string = dict(zip(picked, way, strict=True))
            found.append(
                tuple(
                    (by_string[string] if written is None else written) if is_picked else None
                    for string, written, is_picked in step.notes
                )
            )
        return list(dict.fromkeys(found))

    def _own(self, step: Step) -> list[float]:
        """What each choice costs by itself. A written finger the hand does not have is free."""
        key = (step.notes, step.brush)
        found = self._costs.get(key)
        if found is None:
            found = [self._cost(step, choice) for choice in self.choices(step)]
            if sum(picked for _, _, picked in step.notes) > 1:
                # A pinch is taken the same way wherever it comes, whatever was struck before.
                least = min(found)
                found = [cost if cost == least else cost + _OTHER_PINCH for cost in found]
            self._costs[key] = found
        return found

    def _cost(self, step: Step, choice: Choice) -> float:
        fingers = [finger for finger in choice if finger is not None]
        if len(fingers) > 1 and len(set(fingers)) == 1:
            # A brush has its own finger, another only where that one was just used.
            finger = ORDER[fingers[0]]
            return 0.0 if finger is self.hand.brush else _OTHER_BRUSH[finger]
        return sum(
            self.hand.cost(ORDER[finger], string)
            for finger, (string, _, _) in zip(choice, step.notes, strict=True)
            if finger is not None and finger in self.fingers
        )

    def _changes(self, old: Step, new: Step) -> list[list[float]]:
        """For each choice of a stroke, what it costs to come to it from each of the one before."""
        key = (old.notes, old.brush, new.notes, new.brush, new.racing)
        found = self._tables.get(key)
        if found is None:
            before = self.choices(old)
            found = self._tables[key] = [
                [self.change(a, old, b, new, racing=new.racing) for a in before]
                for b in self.choices(new)
            ]
        return found

    def change(self, before: Choice, old: Step, after: Choice, new: Step, *, racing: bool) -> float:
        """What it costs to go from one stroke to the next at speed."""
        cost = 0.0
        for was, (old_string, _, _) in zip(before, old.notes, strict=True):
            for now, (new_string, _, _) in zip(after, new.notes, strict=True):
                if was is None or now is None:
                    continue
                if was == now:
                    cost += _NEVER if racing else self.hand.repeat
                elif (was < now) != (old_string < new_string) and old_string != new_string:
                    cost += self.hand.cross  # the fingers lie over each other
        return cost
