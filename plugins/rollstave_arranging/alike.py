"""Like measures are fingered alike: who has learnt a measure plays it so wherever it comes again.

The cheapest path goes through each measure by itself, so that what stands before it, or a letter
that is written in one strain and not in the other, may lead the same notes elsewhere. Common
practice, no source: a tab gives the same notes the same places.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from msgspec.structs import replace

from rollstave_arranging.fingering import LEFT_OUT, Grip, Wanted, Way
from rollstave_arranging.flow import Moment
from rollstave_arranging.neck import Spot

Found = tuple[tuple[Spot | None, ...], ...]  # the places of a measure's notes, event by event


def fingered_alike(
    struck: Sequence[Moment], wanted: Sequence[Wanted], grips: Sequence[Grip]
) -> list[Wanted] | None:
    """The events, those of like measures with the places alone that a path found for most of them,
    for the earliest where as many have others; None where all are alike already."""
    measures: dict[int, list[int]] = {}
    for number, moment in enumerate(struck):
        measures.setdefault(moment.at[0], []).append(number)
    groups: dict[object, list[list[int]]] = {}
    for numbers in measures.values():
        groups.setdefault(tuple(_typed(struck[n]) for n in numbers), []).append(numbers)
    made = list(wanted)
    changed = False
    for group in groups.values():
        counted = Counter(_places(grips, numbers) for numbers in group)
        if len(counted) == 1:
            continue
        ((usual, _),) = counted.most_common(1)
        for numbers in group:
            rows = [_only(wanted[n], spots) for n, spots in zip(numbers, usual, strict=True)]
            if all(row is not None for row in rows):
                changed = True
                for number, row in zip(numbers, rows, strict=True):
                    made[number] = row or made[number]
    return made if changed else None


def _typed(moment: Moment) -> object:
    """An event as the tab has it: when, and what is stopped on which string."""
    notes = ((n.string, n.fret, n.half, n.link, n.harmonic) for n in moment.event.notes)
    return (moment.event.onset, moment.measure.length, *notes)


def _places(grips: Sequence[Grip], numbers: Sequence[int]) -> Found:
    return tuple(tuple(way.spot for way in grips[number]) for number in numbers)


def _only(event: Wanted, spots: Sequence[Spot | None]) -> Wanted | None:
    """The event with its notes at certain places; None where one of them has no such way."""
    rows: list[tuple[Way, ...]] = []
    for row, spot in zip(event.notes, spots, strict=True):
        ways = tuple(way for way in row if way.spot == spot)
        if not ways:
            return None
        rows.append(ways if spot is None else (*ways, LEFT_OUT))
    return replace(event, notes=tuple(rows))
