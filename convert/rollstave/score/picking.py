"""Fingers for whole phrases: the cheapest path over what each stroke may be played with.

Written letters are kept and the path goes through them. A stroke's choices are one finger for a
lone note or a brush, and for a pinch different fingers in the order of the hand, the thumb on
the lowest line. Costs are those of the hand (``hands``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import combinations

from rollstave.score.hands import HANDS, Hand
from rollstave.score.model import Event, Finger, Measure, Note

_ORDER = (Finger.MIDDLE, Finger.INDEX, Finger.THUMB)  # from string 1 to string 5
_SPEED = Fraction(1, 2)  # quarter notes: at speed, from an eighth note down
_REST = Fraction(2)  # after so long a wait the hand starts afresh

_LOOK_AT = 8  # measures with letters are enough to know a hand by
_ENOUGH = 8  # letters

Choice = tuple[Finger | None, ...]  # one for each note of the event, None for notes not picked


@dataclass(frozen=True, slots=True)
class _Step:
    """An event that is picked: its place, how long after the one before, and its choices."""

    measure: int
    event: int
    wait: Fraction
    choices: tuple[Choice, ...]


def with_fingers(measures: Sequence[Measure], hand: Hand) -> tuple[Measure, ...]:
    """The measures with every inferred finger chosen anew."""
    steps = _steps(measures, hand)
    chosen = _cheapest(steps, measures, hand)
    found = {(s.measure, s.event): choice for s, choice in zip(steps, chosen, strict=True)}
    return tuple(
        replace(
            measure,
            events=tuple(
                _fingered(event, found[m, e]) if (m, e) in found else event
                for e, event in enumerate(measure.events)
            ),
        )
        for m, measure in enumerate(measures)
    )


def hand_of_letters(measures: Sequence[Measure], usual: Hand) -> Hand:
    """The hand whose own choices agree best with the letters that are written; the usual one if
    there are few letters or no other hand agrees better."""
    lettered = [m for m in measures if _written(m)][:_LOOK_AT]
    letters = [note.finger for m in lettered for note in _written(m)]
    if len(letters) < _ENOUGH:
        return usual
    places = [(note.place, note.string) for m in lettered for note in _written(m)]
    hidden = [
        replace(
            m,
            events=tuple(
                replace(
                    e,
                    notes=tuple(
                        replace(n, inferred_finger=True) if n.finger else n for n in e.notes
                    ),
                )
                for e in m.events
            ),
        )
        for m in lettered
    ]

    def agreement(hand: Hand) -> int:
        found = {
            (n.place, n.string): n.finger
            for m in with_fingers(hidden, hand)
            for e in m.events
            for n in e.notes
        }
        return sum(found[place] is letter for place, letter in zip(places, letters, strict=True))

    # The usual hand is first, so it wins where others only agree as well.
    return max((usual, *HANDS.values()), key=agreement)


def _written(measure: Measure) -> list[Note]:
    return [n for e in measure.events for n in e.notes if n.finger and not n.inferred_finger]


def _fingered(event: Event, choice: Choice) -> Event:
    return replace(
        event,
        notes=tuple(
            replace(note, finger=finger) if note.inferred_finger else note
            for note, finger in zip(event.notes, choice, strict=True)
        ),
    )


def _steps(measures: Sequence[Measure], hand: Hand) -> list[_Step]:
    steps: list[_Step] = []
    start = Fraction(0)
    last: Fraction | None = None
    for m, measure in enumerate(measures):
        for e, event in enumerate(measure.events):
            if not any(note.link is None for note in event.notes):
                continue
            at = start + event.onset
            wait = _REST if last is None else at - last
            steps.append(_Step(m, e, wait, _choices(event.notes, event.brush, hand)))
            last = at
        start += measure.length
    return steps


def _choices(notes: Sequence[Note], brush: bool, hand: Hand) -> tuple[Choice, ...]:
    """The ways to finger one event, those that agree with what is written."""
    picked = sorted((n for n in notes if n.link is None), key=lambda n: n.string)
    fingers = [f for f in _ORDER if f in hand.costs]
    if len(picked) == 1:
        ways: list[tuple[Finger, ...]] = [(finger,) for finger in fingers]
    elif brush or hand.brushes or len(picked) > len(fingers):
        # More strings than fingers can only be struck in one go.
        ways = [(hand.brush,) * len(picked)]
    else:
        ways = list(combinations(fingers, len(picked)))
    found = []
    for way in ways:
        by_string = dict(zip((n.string for n in picked), way, strict=True))
        found.append(
            tuple(
                None
                if n.link is not None
                else n.finger
                if n.finger is not None and not n.inferred_finger
                else by_string[n.string]
                for n in notes
            )
        )
    return tuple(dict.fromkeys(found))


def _cheapest(steps: Sequence[_Step], measures: Sequence[Measure], hand: Hand) -> list[Choice]:
    """Dynamic programming: the choices with the least sum of costs; ties go to the first."""
    if not steps:
        return []
    notes = [measures[s.measure].events[s.event].notes for s in steps]
    costs = [_own(steps[0].choices, notes[0], hand)]
    back: list[list[int]] = [[0] * len(steps[0].choices)]
    for index in range(1, len(steps)):
        step, before = steps[index], steps[index - 1]
        own = _own(step.choices, notes[index], hand)
        row, links = [], []
        for choice, cost in zip(step.choices, own, strict=True):
            options = [
                total + _change(hand, step.wait, previous, notes[index - 1], choice, notes[index])
                for previous, total in zip(before.choices, costs[-1], strict=True)
            ]
            best = min(range(len(options)), key=options.__getitem__)
            row.append(cost + options[best])
            links.append(best)
        costs.append(row)
        back.append(links)
    at = min(range(len(costs[-1])), key=costs[-1].__getitem__)
    chosen = []
    for index in range(len(steps) - 1, -1, -1):
        chosen.append(steps[index].choices[at])
        at = back[index][at]
    return chosen[::-1]


def _own(choices: Sequence[Choice], notes: Sequence[Note], hand: Hand) -> list[float]:
    """What each choice costs by itself. A written finger that the hand does not have is free."""
    return [
        sum(
            hand.cost(finger, note.string)
            for finger, note in zip(choice, notes, strict=True)
            if finger is not None and finger in hand.costs
        )
        for choice in choices
    ]


def _change(
    hand: Hand,
    wait: Fraction,
    before: Choice,
    before_notes: Sequence[Note],
    after: Choice,
    after_notes: Sequence[Note],
) -> float:
    """What it costs to go from one stroke to the next."""
    if wait > _SPEED:
        return 0.0
    cost = 0.0
    for old, old_note in zip(before, before_notes, strict=True):
        for new, new_note in zip(after, after_notes, strict=True):
            if old is None or new is None:
                continue
            if old is new:
                cost += hand.repeat
            elif (_ORDER.index(old) < _ORDER.index(new)) != (old_note.string < new_note.string):
                # The fingers lie over each other, or share a string.
                cost += hand.cross if old_note.string != new_note.string else 0.0
    return cost
