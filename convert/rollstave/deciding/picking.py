"""Fingers for whole phrases: the cheapest path over what each stroke may be played with.

Written letters are kept and the path goes through them. A stroke's choices are one finger for a
lone note or a brush, and for a pinch different fingers in the order of the hand, the thumb on
the lowest line. Costs are those of the hand (``hands``).

Strokes repeat all through a tune, so what a stroke may be played with and what a change from one
to the next costs is worked out once for each that is different. Fingers are numbers here, their
places in ``_ORDER``: they are looked up in tables all the time.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import combinations

from msgspec import Struct
from msgspec.structs import replace

from rollstave.deciding.hands import HANDS, Hand
from rollstave.grid.typed import Bar
from rollstave.score.records import Event, Finger, Measure, Note, Score
from rollstave.vocabulary.hands import HAND_WORDS
from rollstave.vocabulary.signs import UNPICKED

_ORDER = (Finger.MIDDLE, Finger.INDEX, Finger.THUMB)  # from string 1 to string 5
_NUMBER = {finger.value: number for number, finger in enumerate(_ORDER)}
_PARTS = 64 * 27 * 25 * 7 * 11 * 13  # of a quarter note: onsets that are written are whole in them
_SPEED = _PARTS // 2 + 2  # at speed, from an eighth note down, however two onsets were cut off
_RACE = _PARTS // 4 + 2  # from a sixteenth note down no finger strikes twice in a row
_OTHER_BRUSH = 50.0
_NEVER = 1000.0  # more than any other way costs
_REST = 2 * _PARTS  # after so long a wait the hand starts afresh

_LOOK_AT = 8  # measures with letters are enough to know a hand by
_ENOUGH = 8  # letters

Choice = tuple[int | None, ...]  # one for each note of the event, None for notes not picked


class _Step(Struct, frozen=True):
    """An event that is picked: its place, whether it comes at speed after the one before, or even
    at the speed of sixteenths, and for each note its string, the finger that is written, and
    whether it is picked at all."""

    measure: int
    event: int
    fast: bool
    racing: bool
    notes: tuple[tuple[int, int | None, bool], ...]
    brush: bool


def with_fingers(measures: Sequence[Measure], hand: Hand) -> tuple[Measure, ...]:
    """The measures with every inferred finger chosen anew."""
    steps = _steps(measures)
    events = [list(measure.events) for measure in measures]
    for step, choice in zip(steps, _path(hand).cheapest(steps), strict=True):
        event = events[step.measure][step.event]
        events[step.measure][step.event] = _fingered(event, choice)
    return tuple(
        replace(measure, events=tuple(changed))
        for measure, changed in zip(measures, events, strict=True)
    )


def in_hand(score: Score, word: str | None) -> Score:
    """The score with its letters chosen for the hand that was typed, if one was."""
    return score if word is None else with_hand(score, HANDS[HAND_WORDS[word]])


def with_hand(score: Score, hand: Hand) -> Score:
    """The score with the letters that the typist did not write chosen for a hand, and several
    strings at once brushed where that hand brushes. An instrument without a picking hand stays
    as it is."""
    setup = score.setup
    if not setup.instrument.fixed_hand:
        return score
    short = setup.instrument.short_string
    measures = score.measures
    if hand.brushes:
        thumb = short.string if short is not None else 0
        measures = tuple(
            replace(m, events=tuple(_brushed(event, thumb) for event in m.events)) for m in measures
        )
    return replace(score, measures=with_fingers(measures, hand), style=hand.name)


def _brushed(event: Event, thumb: int) -> Event:
    several = len(event.notes) > 1 and all(n.string != thumb for n in event.notes)
    return replace(event, brush=True) if several else event


def hand_of_letters(measures: Sequence[Measure], usual: Hand) -> Hand:
    """The hand whose own choices agree best with the letters that are written; the usual one if
    there are few letters or no other hand agrees better."""
    lettered = [m for m in measures if any(_is_written(n) for e in m.events for n in e.notes)]
    written = _steps(lettered[:_LOOK_AT])
    letters = [finger for step in written for _, finger, _ in step.notes]
    if sum(letter is not None for letter in letters) < _ENOUGH:
        return usual
    hidden = [
        replace(s, notes=tuple((string, None, picked) for string, _, picked in s.notes))
        for s in written
    ]

    def agreement(hand: Hand) -> int:
        found = [finger for choice in _path(hand).cheapest(hidden) for finger in choice]
        return sum(
            letter is not None and letter == finger
            for letter, finger in zip(letters, found, strict=True)
        )

    # The usual hand is first, so it wins where others only agree as well.
    return max((usual, *(h for h in HANDS.values() if h is not usual)), key=agreement)


def _is_written(note: Note) -> bool:
    return note.finger is not None and not note.inferred_finger


def _fingered(event: Event, choice: Choice) -> Event:
    notes = tuple(
        replace(note, finger=finger) if note.inferred_finger and note.finger is not finger else note
        for note, finger in (
            (note, None if number is None else _ORDER[number])
            for note, number in zip(event.notes, choice, strict=True)
        )
    )
    return event if notes == event.notes else replace(event, notes=notes)


def _steps(measures: Sequence[Measure]) -> list[_Step]:
    steps: list[_Step] = []
    start = 0
    last: int | None = None
    for m, measure in enumerate(measures):
        if m and _begins_anew(measures[m - 1], measure):
            last = None
        for e, event in enumerate(measure.events):
            if not any(note.link not in UNPICKED for note in event.notes):
                continue
            at = start + _whole(event.onset)
            wait = _REST if last is None else at - last
            notes = tuple(
                (
                    note.string,
                    _NUMBER[note.finger.value] if note.finger and _is_written(note) else None,
                    note.link not in UNPICKED,
                )
                for note in event.notes
            )
            steps.append(
                _Step(
                    measure=m,
                    event=e,
                    fast=wait <= _SPEED,
                    racing=wait <= _RACE,
                    notes=notes,
                    brush=event.brush,
                )
            )
            last = at
        start += _whole(measure.length)
    return steps


def _begins_anew(before: Measure, measure: Measure) -> bool:
    """True where a part with a heading begins after a final bar or a repeat, on a line of its own:
    what is struck there follows the part's own end as often as that of the one before."""
    ended = before.right in (Bar.FINAL, Bar.REPEAT_END)
    return ended and measure.section is not None and measure.system != before.system


def _whole(time: Fraction) -> int:
    """A time in small parts of a quarter note, whole for all that is written: adding and comparing
    fractions is slow, and every stroke of every tune comes here."""
    return time.numerator * _PARTS // time.denominator


@lru_cache(maxsize=16)
def _path(hand: Hand) -> _Path:
    """One for each hand: there are not so many strokes that what it keeps could grow without
    end, and a folder of tunes has the same ones over and over."""
    return _Path(hand)


class _Path:
    """The cheapest path of one hand, with what it has worked out so far."""

    def __init__(self, hand: Hand) -> None:
        self.hand = hand
        self.fingers = [n for n, finger in enumerate(_ORDER) if finger in hand.costs]
        self.choices: dict[object, list[Choice]] = {}
        self.changes: dict[object, list[list[float]]] = {}
        self.own: dict[object, list[float]] = {}

    def cheapest(self, steps: Sequence[_Step]) -> list[Choice]:
        """Dynamic programming: the choices with the least sum of costs; ties go to the first."""
        if not steps:
            return []
        costs: list[float] = []
        back: list[list[int]] = []
        ways: list[list[Choice]] = []
        before: _Step | None = None
        for step in steps:
            choices = self._choices(step)
            own = self._own(step, choices)
            if before is None or not step.fast:
                # The hand has time: whatever came before costs nothing.
                best = min(range(len(costs)), key=costs.__getitem__) if costs else 0
                start = costs[best] if costs else 0.0
                costs = [start + cost for cost in own]
                back.append([best] * len(own))
            else:
                table = self._changes(before, ways[-1], step, choices)
                links = []
                row = []
                for cost, changes in zip(own, table, strict=True):
                    totals = [a + b for a, b in zip(costs, changes, strict=True)]
                    least = min(totals)
                    links.append(totals.index(least))
                    row.append(cost + least)
                costs = row
                back.append(links)
            ways.append(choices)
            before = step
        at = costs.index(min(costs))
        chosen = []
        for choices, links in zip(reversed(ways), reversed(back), strict=True):
            chosen.append(choices[at])
            at = links[at]
        return chosen[::-1]

    def _choices(self, step: _Step) -> list[Choice]:
        """The ways to finger one event, those that agree with what is written."""
        key = (step.notes, step.brush)
        if key not in self.choices:
            self.choices[key] = self._find_choices(step)
        return self.choices[key]

    def _find_choices(self, step: _Step) -> list[Choice]:
        picked = sorted(string for string, _, is_picked in step.notes if is_picked)
        if len(picked) == 1:
            ways: list[tuple[int, ...]] = [(finger,) for finger in self.fingers]
        elif step.brush or self.hand.brushes or len(picked) > len(self.fingers):
            # More strings than fingers can only be struck in one go.
            usual = _NUMBER[self.hand.brush.value]
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

    def _own(self, step: _Step, choices: Sequence[Choice]) -> list[float]:
        """What each choice costs by itself. A written finger the hand does not have is free."""
        key = (step.notes, step.brush)
        if key not in self.own:
            self.own[key] = [self._cost(step, choice) for choice in choices]
        return self.own[key]

    def _cost(self, step: _Step, choice: Choice) -> float:
        fingers = [finger for finger in choice if finger is not None]
        if len(fingers) > 1 and len(set(fingers)) == 1:
            # A brush has its own finger, another only where that one was just used.
            return 0.0 if _ORDER[fingers[0]] is self.hand.brush else _OTHER_BRUSH
        return sum(
            self.hand.cost(_ORDER[finger], string)
            for finger, (string, _, _) in zip(choice, step.notes, strict=True)
            if finger is not None and finger in self.fingers
        )

    def _changes(
        self, old: _Step, before: Sequence[Choice], new: _Step, after: Sequence[Choice]
    ) -> list[list[float]]:
        """For each choice of a stroke, what it costs to come to it from each of the one before."""
        key = (old.notes, old.brush, new.notes, new.brush, new.racing)
        if key not in self.changes:
            self.changes[key] = [[self._change(a, old, b, new) for a in before] for b in after]
        return self.changes[key]

    def _change(self, before: Choice, old: _Step, after: Choice, new: _Step) -> float:
        """What it costs to go from one stroke to the next at speed."""
        cost = 0.0
        for was, (old_string, _, _) in zip(before, old.notes, strict=True):
            for now, (new_string, _, _) in zip(after, new.notes, strict=True):
                if was is None or now is None:
                    continue
                if was == now:
                    cost += _NEVER if new.racing else self.hand.repeat
                elif (was < now) != (old_string < new_string) and old_string != new_string:
                    cost += self.hand.cross  # the fingers lie over each other
        return cost
