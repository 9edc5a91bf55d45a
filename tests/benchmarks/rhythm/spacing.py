"""In which columns the notes of a measure are typed. Columns count from 0 after the bar line.

Two notes in one row never touch: there is a dash or a sign between them.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from .model import ArrangedMeasure, ArrangedTune, Event, Style

SLOPPY_GAPS = 0.1  # share of gaps that are a column too wide or too narrow (the figure)
WIDEST_QUARTER = 12  # columns of a quarter note that a typist would want at most
PROPORTIONAL = (Style.EVEN, Style.PUSHED, Style.SLOPPY)


@dataclass(frozen=True, slots=True)
class Spacing:
    """A typist's spacing in one tune.

    ``per_quarter``: columns of a quarter note (proportional styles). ``lead``: dashes after a bar
    line. ``dashes``: dashes between squeezed notes, 1 or 2, or 0 for either as it comes.
    """

    style: Style
    per_quarter: Fraction
    lead: int
    dashes: int


def draw_spacing(tune: ArrangedTune, style: Style, rng: random.Random) -> Spacing:
    """Draw the spacing for a tune: the smallest unit takes 1 to 4 columns, as signs allow."""
    grid = _grid(tune)
    usable = [c for c in range(1, 9) if _fits(tune, style, c / grid)]
    wanted = [c for c in usable if c <= 4 and c / grid <= WIDEST_QUARTER] or usable[:1]
    if not wanted:
        raise ValueError("notes too close for even typing")
    return Spacing(style, rng.choice(wanted) / grid, rng.randint(0, 2), rng.choice((1, 2, 0)))


def _grid(tune: ArrangedTune) -> Fraction:
    """The longest duration that divides every onset and length of the tune."""
    times = {m.length for m in tune.measures}
    times |= {e.onset for m in tune.measures for e in m.events if e.onset}
    common = math.lcm(*(t.denominator for t in times))
    return Fraction(math.gcd(*(int(t * common) for t in times)), common)


def needed(before: Event, after: Event) -> int:
    """Columns from one event to the next at the least."""
    rows = {s.string for s in before.strokes} & {s.string for s in after.strokes}
    apart = max((before.width_in(row) + 1 for row in rows), default=1)
    return max(apart, before.width)


def _fits(tune: ArrangedTune, style: Style, per_quarter: Fraction) -> bool:
    for measure in tune.measures:
        for before, after, gap in _gaps(measure, per_quarter):
            if style is not Style.EVEN:
                gap += before.width - 1 + after.linked
            if gap < needed(before, after):
                return False
        last = measure.events[-1:]
        if last and int(last[0].duration * per_quarter) < last[0].width:
            return False
    return True


def _gaps(measure: ArrangedMeasure, per_quarter: Fraction) -> Iterable[tuple[Event, Event, int]]:
    for before, after in zip(measure.events, measure.events[1:], strict=False):
        yield before, after, int((after.onset - before.onset) * per_quarter)


def columns(
    measure: ArrangedMeasure, spacing: Spacing, labels: Sequence[str], rng: random.Random
) -> tuple[list[int], int]:
    """The column of each event, and the width of the measure.

    ``labels``: what stands under the notes; labels keep a space between them.
    """
    if not measure.events:
        return [], spacing.lead + max(4, int(measure.length * spacing.per_quarter))
    if spacing.style in PROPORTIONAL:
        return _proportional(measure, spacing, rng)
    return _squeezed(measure, spacing, labels, rng)


def _proportional(
    measure: ArrangedMeasure, spacing: Spacing, rng: random.Random
) -> tuple[list[int], int]:
    push = spacing.style is not Style.EVEN
    sloppy = spacing.style is Style.SLOPPY
    position = spacing.lead + int(measure.events[0].onset * spacing.per_quarter)
    found = [position]
    for before, after, gap in _gaps(measure, spacing.per_quarter):
        if push:
            gap += before.width - 1 + after.linked
        if sloppy:
            gap = _slip(gap, needed(before, after), rng)
        position += gap
        found.append(position)
    last = measure.events[-1]
    gap = int(last.duration * spacing.per_quarter) + (last.width - 1 if push else 0)
    if sloppy:
        gap = _slip(gap, last.width, rng)
    return found, position + gap


def _slip(gap: int, least: int, rng: random.Random) -> int:
    """The gap, now and then a column wider or narrower."""
    if rng.random() >= SLOPPY_GAPS:
        return gap
    return max(least, gap + rng.choice((-1, 1)))


def _squeezed(
    measure: ArrangedMeasure, spacing: Spacing, labels: Sequence[str], rng: random.Random
) -> tuple[list[int], int]:
    position = spacing.lead
    found = []
    followers: list[Event | None] = [*measure.events[1:], None]
    for event, follower, label in zip(measure.events, followers, labels, strict=True):
        found.append(position)
        dashes = spacing.dashes or rng.choice((1, 2))
        if follower is not None and follower.linked:
            dashes = 1  # the sign takes the place of the dash
        position += max(event.width + dashes, len(label) + 1 if label else 0)
    return found, position
