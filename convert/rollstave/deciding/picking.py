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
from itertools import combinations, count, islice
from operator import add

from msgspec import Struct
from msgspec.structs import replace

from rollstave.deciding.hands import HANDS, Hand
from rollstave.score.records import Event, Finger, Measure, Note, Score
from rollstave.vocabulary.hands import HAND_WORDS
from rollstave.vocabulary.signs import UNPICKED

_ORDER = (Finger.MIDDLE, Finger.INDEX, Finger.THUMB)  # from string 1 to string 5
_NUMBER = {finger.value: number for number, finger in enumerate(_ORDER)}
_SPEED = 2  # strokes in a quarter note: at speed, from eighth notes up

_LOOK_AT = 8  # measures with letters are enough to know a hand by
_ENOUGH = 8  # letters

Choice = tuple[int | None, ...]  # one for each note of the event, None for notes not picked


class _Step(Struct, frozen=True):
    """An event that is picked: its place, whether it comes at speed after the one before, and for
    each note its string, the finger that is written, and whether it is picked at all."""

    measure: int
    event: int
    fast: bool
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
    lettered = (m for m in measures if any(_is_written(n) for e in m.events for n in e.notes))
    written = _steps(list(islice(lettered, _LOOK_AT)))
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
    last: Fraction | None = None  # since the start of the measure
    for m, measure in enumerate(measures):
        for e, event in enumerate(measure.events):
            notes = tuple([_as_played(note) for note in event.notes])
            if True not in [picked for _, _, picked in notes]:
                continue
            fast = last is not None and _at_speed(last, event.onset)
            steps.append(_Step(measure=m, event=e, fast=fast, notes=notes, brush=event.brush))
            last = event.onset
        if last is not None:
            last -= measure.length
    return steps


def _as_played(note: Note) -> tuple[int, int | None, bool]:
    """The string of a note, the finger that is written, and whether it is picked at all."""
    finger = None if note.inferred_finger or note.finger is None else _NUMBER[note.finger.value]
    return note.string, finger, note.link is None or note.link not in UNPICKED


def _at_speed(before: Fraction, now: Fraction) -> bool:
    """Whether two strokes follow so quickly: compared in whole numbers, which is much the quickest
    for what is asked of every stroke of a tune."""
    up, down = now.as_integer_ratio()
    up_before, down_before = before.as_integer_ratio()
    return _SPEED * (up * down_before - up_before * down) <= down * down_before


@lru_cache(maxsize=16)
def _path(hand: Hand) -> _Path:
    """One for each hand: there are not so many strokes that what it keeps could grow without
    end, and a folder of tunes has the same ones over and over."""
    return _Path(hand)


class _Stroke:
    """What is known of all strokes that strike the same strings, letters and all: the choices,
    what each costs by itself, and what it costs to come to each from those of another stroke, by
    that one's number."""

    def __init__(self, number: int, step: _Step, choices: list[Choice], own: list[float]) -> None:
        self.number = number
        self.step = step
        self.choices = choices
        self.own = own
        self.changes: dict[int, list[list[float]]] = {}


class _Path:
    """The cheapest path of one hand, with what it has worked out so far."""

    def __init__(self, hand: Hand) -> None:
        self.hand = hand
        self.fingers = [n for n, finger in enumerate(_ORDER) if finger in hand.costs]
        self.strokes: dict[object, _Stroke] = {}
        self.numbers = count()  # threads may share a path: no number is given twice

    def cheapest(self, steps: Sequence[_Step]) -> list[Choice]:
        """Dynamic programming: the choices with the least sum of costs; ties go to the first."""
        if not steps:
            return []
        costs: list[float] = []
        back: list[list[int]] = []
        strokes: list[_Stroke] = []
        before: _Stroke | None = None
        for step in steps:
            stroke = self._stroke(step)
            if before is None or not step.fast:
                # The hand has time: whatever came before costs nothing.
                start = min(costs) if costs else 0.0
                best = costs.index(start) if costs else 0
                costs = [start + cost for cost in stroke.own]
                back.append([best] * len(costs))
            else:
                table = stroke.changes.get(before.number) or self._changes(before, stroke)
                links = []
                row = []
                for cost, changes in zip(stroke.own, table, strict=True):
                    totals = list(map(add, costs, changes))
                    least = min(totals)
                    links.append(totals.index(least))
                    row.append(cost + least)
                costs = row
                back.append(links)
            strokes.append(stroke)
            before = stroke
        at = costs.index(min(costs))
        chosen = []
        for stroke, links in zip(reversed(strokes), reversed(back), strict=True):
            chosen.append(stroke.choices[at])
            at = links[at]
        return chosen[::-1]

    def _stroke(self, step: _Step) -> _Stroke:
        """What is known of strokes as this one: that the choices agree with what is written."""
        key = (step.notes, step.brush)
        found = self.strokes.get(key)
        if found is None:
            choices = self._find_choices(step)
            own = self._own(step, choices)
            found = _Stroke(number=next(self.numbers), step=step, choices=choices, own=own)
            self.strokes[key] = found
        return found

    def _find_choices(self, step: _Step) -> list[Choice]:
        picked = sorted(string for string, _, is_picked in step.notes if is_picked)
        if len(picked) == 1:
            ways: list[tuple[int, ...]] = [(finger,) for finger in self.fingers]
        elif step.brush or self.hand.brushes or len(picked) > len(self.fingers):
            # More strings than fingers can only be struck in one go.
            ways = [(_NUMBER[self.hand.brush.value],) * len(picked)]
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
        return [
            sum(
                self.hand.cost(_ORDER[finger], string)
                for finger, (string, _, _) in zip(choice, step.notes, strict=True)
                if finger is not None and finger in self.fingers
            )
            for choice in choices
        ]

    def _changes(self, old: _Stroke, new: _Stroke) -> list[list[float]]:
        """For each choice of a stroke, what it costs to come to it from each of the one before."""
        table = [
            [self._change(before, old.step, after, new.step) for before in old.choices]
            for after in new.choices
        ]
        new.changes[old.number] = table
        return table

    def _change(self, before: Choice, old: _Step, after: Choice, new: _Step) -> float:
        """What it costs to go from one stroke to the next at speed."""
        cost = 0.0
        for was, (old_string, _, _) in zip(before, old.notes, strict=True):
            for now, (new_string, _, _) in zip(after, new.notes, strict=True):
                if was is None or now is None:
                    continue
                if was == now:
                    cost += self.hand.repeat
                elif (was < now) != (old_string < new_string) and old_string != new_string:
                    cost += self.hand.cross  # the fingers lie over each other
        return cost
