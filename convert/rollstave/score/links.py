"""Where hammer-ons, pull-offs and slides lead from and to."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from rollstave.grid.typed import Link
from rollstave.score.records import Event, GraceNote, Measure, Note


class NoteAddress(Struct, frozen=True):
    """A note's place in a score: index of its measure, its event there, and its string; for a
    grace note also which of those before the event it is."""

    measure: int
    event: int
    string: int
    grace: int | None = None


class LinkPair(Struct, frozen=True):
    """A link and the two notes that it joins."""

    kind: Link
    start: NoteAddress
    end: NoteAddress


def links_of(measures: Sequence[Measure]) -> tuple[LinkPair, ...]:
    """All links of a score in the order of their targets."""
    last: dict[int, NoteAddress] = {}
    found: list[LinkPair] = []
    for measure in measures:
        for index, event in enumerate(measure.events):
            leading = _grace_links(measure.index, index, event, found) if event.grace else {}
            for note in event.notes:
                here = NoteAddress(measure.index, index, note.string)
                if note.link is not None and note.string in last:
                    found.append(LinkPair(note.link, last[note.string], here))
                elif note.string in leading:
                    found.append(LinkPair(*leading[note.string], here))
                last[note.string] = here
    return tuple(found)


def _grace_links(
    measure: int, index: int, event: Event, found: list[LinkPair]
) -> dict[int, tuple[Link, NoteAddress]]:
    """Add the links among the grace notes of an event; those that lead to its own notes, by
    string."""
    leading: dict[int, tuple[Link, NoteAddress]] = {}
    for number, group in enumerate(event.grace):
        for note in group:
            here = NoteAddress(measure=measure, event=index, string=note.string, grace=number)
            if before := leading.pop(note.string, None):
                found.append(LinkPair(*before, here))
            if note.leads is not None:
                leading[note.string] = note.leads, here
    return leading


def note_at(measures: Sequence[Measure], address: NoteAddress) -> Note | GraceNote:
    """The note at an address. Raises StopIteration if there is none."""
    event = measures[address.measure].events[address.event]
    notes: Sequence[Note | GraceNote] = event.notes
    if address.grace is not None:
        notes = event.grace[address.grace]
    return next(n for n in notes if n.string == address.string)


def goes_on(measures: Sequence[Measure], pair: LinkPair) -> bool:
    """Whether the second note of a link has the pitch that the first one ends with, so that a tie
    may join them: a bend that is released does not go on as it was."""
    start, end = note_at(measures, pair.start), note_at(measures, pair.end)
    bent = isinstance(start, Note) and start.bend is not None
    return start.pitch.midi == end.pitch.midi and not bent
