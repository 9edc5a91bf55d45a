"""The events of a tune one after another, and a score put together from changed ones."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from rollstave import Event, Measure, Note, Score

At = tuple[int, int]  # the index of a measure, and of an event in it
NoteAt = tuple[int, int, int]  # and of a note in it


class Moment(Struct, frozen=True):
    """An event that is struck, where it stands, and when it begins: in its measure counted from
    the beat, and in the whole tune, in quarter notes."""

    at: At
    event: Event
    measure: Measure
    start: Fraction
    beat: Fraction


def moments(score: Score) -> Iterator[Moment]:
    """All events with notes, in order. A pickup is the end of a measure, so its beats are counted
    from its end."""
    start = Fraction(0)
    for measure, meter in zip(score.measures, score.meters, strict=True):
        short = meter.length - measure.length if measure.number == 0 else Fraction(0)
        for index, event in enumerate(measure.events):
            if event.notes:
                yield Moment(
                    at=(measure.index, index),
                    event=event,
                    measure=measure,
                    start=start + event.onset,
                    beat=event.onset + short,
                )
        start += measure.length


def with_events(score: Score, changed: Mapping[At, Event]) -> Score:
    """The score with some of its events in the place of those that it had."""
    measures = tuple(
        replace(
            m, events=tuple(changed.get((m.index, i), event) for i, event in enumerate(m.events))
        )
        for m in score.measures
    )
    return replace(score, measures=measures)


def without_gaps(score: Score, before: Score) -> Score:
    """The score, where an event lost all of its notes the one before it sounding on; it is a rest
    only at the beginning of a measure, or under a syllable."""
    measures = []
    for measure, old in zip(score.measures, before.measures, strict=True):
        events: list[Event] = []
        for event, was in zip(measure.events, old.events, strict=True):
            emptied = was.notes and not event.notes and not event.sung
            if emptied and events and events[-1].notes:
                longer = events[-1].duration + event.duration
                events[-1] = replace(events[-1], duration=longer)
            else:
                events.append(event)
        measures.append(replace(measure, events=tuple(events)))
    return replace(score, measures=tuple(measures))


def chains(score: Score) -> list[list[NoteAt]]:
    """Notes that a hammer-on, a pull-off or a slide joins, each chain in order. They have to lie
    on one string, as the left hand makes all of them but the first."""
    found: dict[int, list[NoteAt]] = {}
    last: dict[int, NoteAt] = {}
    chain_of: dict[NoteAt, int] = {}
    for moment in moments(score):
        for index, note in enumerate(moment.event.notes):
            here = (*moment.at, index)
            if note.link is not None and note.string in last:
                before = last[note.string]
                number = chain_of.setdefault(before, len(chain_of))
                found.setdefault(number, [before])
                found[number].append(here)
                chain_of[here] = number
            last[note.string] = here
    return list(found.values())


def note_at(score: Score, at: NoteAt) -> Note:
    return score.measures[at[0]].events[at[1]].notes[at[2]]


def by_string(notes: Sequence[Note]) -> tuple[Note, ...]:
    """Notes of an event as the tab has them: string 1 first."""
    return tuple(sorted(notes, key=lambda note: note.string))
