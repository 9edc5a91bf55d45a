"""Rolls of the picking hand: which measures are one, and what teachers call it.

The table of finger orders is in ``rhythm.roll_names``, which names them in its reasons. A roll
fills its measure with even single notes: eight eighths in 4/4 or 2/2, eight sixteenths in 2/4,
six in 3/4 or 6/8.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from msgspec import Struct

from rollstave.rhythm.roll_names import ROLLS
from rollstave.score.records import Measure
from rollstave.score.wanted import wanted


class RollUse(Struct, frozen=True):
    """A roll as it is first met: its name, the index of its measure, the onsets of its first and
    last note in quarter notes, its fingers and its strings."""

    name: str
    measure: int
    start: Fraction
    last: Fraction
    fingers: str
    strings: tuple[int, ...]


def roll_of(measure: Measure) -> RollUse | None:
    """The roll that a measure is, or None."""
    wanted(measure, Measure, "a measure of a score may be a roll")
    events = measure.events
    if len(events) not in (6, 8) or any(len(e.notes) != 1 for e in events):
        return None
    notes = [e.notes[0] for e in events]
    if len({e.duration for e in events}) != 1 or any(n.link or n.muted for n in notes):
        return None
    fingers = "".join(n.finger.value if n.finger else "?" for n in notes)
    name = ROLLS.get(fingers)
    if name is None:
        return None
    return RollUse(
        name=name,
        measure=measure.index,
        start=events[0].onset,
        last=events[-1].onset,
        fingers=fingers,
        strings=tuple(n.string for n in notes),
    )


def first_uses(measures: Sequence[Measure]) -> tuple[RollUse, ...]:
    """The first use of each roll, in the order in which they are met."""
    found: dict[str, RollUse] = {}
    for measure in measures:
        use = roll_of(measure)
        if use is not None:
            found.setdefault(use.name, use)
    return tuple(found.values())
