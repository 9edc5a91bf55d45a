"""How high a system is likely to be, before it is engraved.

Linear in what a system holds. The figures, in units, are the least squares over the 480 systems
of each view of 100 tunes: the samples, generated roll tunes and fiddle tunes arranged for banjo;
the rest has a standard deviation of 207 units for both staves, 120 for the tab, 165 for the staff.
They only have to be near: they choose the scale of the first engraving, which then says itself
whether it fits.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct

from rollstave.deciding.rolls import first_uses
from rollstave.notating.notation import NotatedMeasure, middle_line, notate
from rollstave.score.records import Score
from rollstave.writing.options import View

_EDGE = 4  # steps from the middle of a staff to its outer line
_FREE = 2  # steps over the middle from which on a note is felt above the staff


class _Content(Struct, frozen=True):
    """What of a system tells its height."""

    measures: Sequence[NotatedMeasure]
    highest: int  # steps from the middle line
    lowest: int
    has_roll: bool


def _pinched(content: _Content) -> bool:
    """Whether letters stand one under the other."""
    return any(
        len({h.note.finger for h in symbol.heads if h.note.finger}) > 1
        for n in content.measures
        for symbol in n.symbols
    )


# What adds to the height, and how much of it there is in a system.
_PARTS: dict[str, Callable[[_Content], float]] = {
    "always": lambda c: 1,
    "steps above": lambda c: max(0, c.highest - _FREE),
    "steps below": lambda c: max(0, -_EDGE - c.lowest),
    "pinch": _pinched,
    "chords": lambda c: any(n.measure.chords for n in c.measures),
    "roll": lambda c: c.has_roll,
    "section": lambda c: any(n.measure.section for n in c.measures),
    "ending": lambda c: any(n.measure.ending or n.measure.in_ending for n in c.measures),
    "lyrics": lambda c: max((len(e.sung) for n in c.measures for e in n.measure.events), default=0),
}
_UNITS = {
    View.BOTH: (4061, 22, 159, 340, 168, 228, 239, 527, 215),
    View.TAB: (2544, 0, 0, 371, 434, 244, 234, 474, 257),
    View.STAFF: (1493, 36, 116, 0, 124, 219, 281, 455, 139),
}


def likely_heights(score: Score, starts: Sequence[int], view: View) -> list[float]:
    """The likely height in units of each system; ``starts`` are the indices of the measures that
    begin one."""
    notated = notate(score)
    middle = middle_line(score.setup.instrument)
    rolls = {use.measure for use in first_uses(score.measures)}
    found = []
    for start, end in zip(starts, (*starts[1:], len(notated)), strict=True):
        measures = notated[start:end]
        steps = [
            head.note.pitch.staff_position - middle
            for n in measures
            for symbol in n.symbols
            for head in symbol.heads
        ]
        content = _Content(
            measures=measures,
            highest=max(steps, default=0),
            lowest=min(steps, default=0),
            has_roll=any(n.measure.index in rolls for n in measures),
        )
        amounts = [float(part(content)) for part in _PARTS.values()]
        found.append(sum(a * u for a, u in zip(amounts, _UNITS[view], strict=True)))
    return found
