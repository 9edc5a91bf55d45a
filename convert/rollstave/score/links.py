"""Where hammer-ons, pull-offs and slides lead from and to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rollstave.grid.model import Link
from rollstave.score.model import Measure


@dataclass(frozen=True, slots=True)
class NoteAddress:
    """A note's place in a score: index of its measure, its event there, and its string."""

    measure: int
    event: int
    string: int


@dataclass(frozen=True, slots=True)
class LinkPair:
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
            for note in event.notes:
                here = NoteAddress(measure.index, index, note.string)
                if note.link is not None and note.string in last:
                    found.append(LinkPair(note.link, last[note.string], here))
                last[note.string] = here
    return tuple(found)
