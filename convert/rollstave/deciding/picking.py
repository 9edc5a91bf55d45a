"""Fingers for whole phrases: the cheapest path over what each stroke may be played with.

Written letters are kept and the path goes through them (``finger_path``); measures that are alike
are fingered alike (``alike``).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from types import MappingProxyType

from msgspec.structs import replace

from rollstave.deciding.alike import fingered_alike
from rollstave.deciding.asked_fingers import Asked, asked_fingers
from rollstave.deciding.finger_path import NUMBER, ORDER, Choice, Step, path_of
from rollstave.deciding.hands import HANDS, Hand, hand_of
from rollstave.grid.typed import Bar
from rollstave.score.records import Event, Measure, Note, Score
from rollstave.vocabulary.hands import HAND_WORDS
from rollstave.vocabulary.signs import UNPICKED

_PARTS = 64 * 27 * 25 * 7 * 11 * 13  # of a quarter note: onsets that are written are whole in them
_SPEED = _PARTS // 2 + 2  # at speed, from an eighth note down, however two onsets were cut off
_RACE = _PARTS // 4 + 2  # from a sixteenth note down no finger strikes twice in a row
_REST = 2 * _PARTS  # after so long a wait the hand starts afresh

_NOTHING: Mapping[int, Asked] = MappingProxyType({})
_LOOK_AT = 8  # measures with letters are enough to know a hand by
_ENOUGH = 8  # letters


def with_fingers(
    measures: Sequence[Measure], hand: Hand, notes: Iterable[tuple[int | None, str]] = ()
) -> tuple[Measure, ...]:
    """The measures with every inferred finger chosen anew. ``notes`` are the typist's lines, each
    with the index of the measure before which it stands: a sentence may ask for a finger."""
    steps = _led_in_alike(_steps(measures, asked_fingers(notes, measures, hand)), measures)
    events = [list(measure.events) for measure in measures]
    for step, choice in zip(steps, fingered_alike(steps, path_of(hand)), strict=True):
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
    notes = zip(score.note_measures, score.notes, strict=False)
    return replace(score, measures=with_fingers(measures, hand, notes), style=hand.name)


def style_says_brushes(score: Score) -> bool:
    """True if the style of a tune has just the brushes that it has: they need no signs."""
    instrument = score.setup.instrument
    if not (instrument.fixed_hand and hand_of(score.style).brushes):
        return False
    thumb = instrument.short_string.string if instrument.short_string is not None else 0
    return all(
        event.brush == (len(event.notes) > 1 and all(n.string != thumb for n in event.notes))
        for measure in score.measures
        for event in measure.events
    )


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
        found = [finger for choice in path_of(hand).cheapest(hidden)[0] for finger in choice]
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
            (note, None if number is None else ORDER[number])
            for note, number in zip(event.notes, choice, strict=True)
        )
    )
    return event if notes == event.notes else replace(event, notes=notes)


def _steps(measures: Sequence[Measure], asked: Mapping[int, Asked] = _NOTHING) -> list[Step]:
    steps: list[Step] = []
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
                    _number(note, asked.get(m), e),
                    note.link not in UNPICKED,
                )
                for note in event.notes
            )
            steps.append(
                Step(
                    measure=m,
                    event=e,
                    onset=_whole(event.onset),
                    fast=wait <= _SPEED,
                    racing=wait <= _RACE,
                    notes=notes,
                    brush=event.brush,
                )
            )
            last = at
        start += _whole(measure.length)
    return steps


def _led_in_alike(steps: list[Step], measures: Sequence[Measure]) -> list[Step]:
    """The steps with the letters of the pickup wherever the same strokes lead in again, at the end
    of a measure with the same wait for the bar line."""
    if len(measures) < 2 or measures[0].length >= measures[1].length:
        return steps
    lead = [step for step in steps if step.measure == 0]
    if not any(finger is not None for step in lead for _, finger, _ in step.notes):
        return steps
    found = list(steps)
    ends = {step.measure: at for at, step in enumerate(steps, start=1)}
    for measure, end in ends.items():
        start = end - len(lead)
        wait = _whole(measures[measure].length) - _whole(measures[0].length)
        if measure and start > 0 and steps[start].measure == measure:
            own = steps[start:end]
            if all(_is_again(a, b, wait) for a, b in zip(lead, own, strict=True)):
                found[start:end] = [
                    replace(b, notes=a.notes) for a, b in zip(lead, own, strict=True)
                ]
    return found


def _is_again(lead: Step, step: Step, wait: int) -> bool:
    """True for the same strings struck at the same time before the bar line, without letters."""
    hidden = tuple((string, None, picked) for string, _, picked in lead.notes)
    return step.notes == hidden and step.onset - wait == lead.onset and step.brush == lead.brush


def _number(note: Note, asked: Asked | None, event: int) -> int | None:
    """The finger of a note that is written, or that a sentence asks for."""
    if note.finger and _is_written(note):
        return NUMBER[note.finger.value]
    if asked is None or note.string != asked.string or (event and asked.at_start):
        return None
    return NUMBER[asked.finger.value]


def _begins_anew(before: Measure, measure: Measure) -> bool:
    """True where a part with a heading begins after a final bar or a repeat, on a line of its own:
    what is struck there follows the part's own end as often as that of the one before."""
    ended = before.right in (Bar.FINAL, Bar.REPEAT_END)
    return ended and measure.section is not None and measure.system != before.system


def _whole(time: Fraction) -> int:
    """A time in small parts of a quarter note, whole for all that is written: adding and comparing
    fractions is slow, and every stroke of every tune comes here."""
    return time.numerator * _PARTS // time.denominator
