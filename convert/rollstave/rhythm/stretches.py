"""A tune whose meter changes: the measures of each meter are read together, in their own time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby

from msgspec.structs import replace

from rollstave.grid.typed import GridMeasure
from rollstave.rhythm.infer import infer_rhythm
from rollstave.rhythm.meter import Meter, MeterPrior
from rollstave.rhythm.offered import Others, no_others
from rollstave.rhythm.spoken import renumbered
from rollstave.rhythm.timed import RhythmReading, TimedMeasure


def infer_stretches(
    measures: Sequence[GridMeasure],
    meter: Meter | None = None,
    prior: MeterPrior | None = None,
    others: Others = no_others,
    changes: Mapping[int, Meter] | None = None,
) -> RhythmReading:
    """As :func:`rollstave.rhythm.infer.infer_rhythm`; ``changes`` are the meters that begin later,
    by the place of the measure where each does.

    What is learned of a typist's spacing and of the tune's own rhythms in one meter says nothing of
    measures in another, but much of those that come back to it.
    """
    if not changes:
        return infer_rhythm(measures, meter, prior, others)
    stretches = _stretches(meter, len(measures), changes)
    found: dict[int, TimedMeasure] = {}
    meters: dict[int, Meter] = {}
    first: RhythmReading | None = None
    for named in dict.fromkeys(stretches):
        places = [index for index, here in enumerate(stretches) if here == named]
        own = [replace(measures[place], index=i) for i, place in enumerate(places)]
        # A meter that is not named is only at the beginning, and is found there.
        reading = infer_rhythm(own, named, prior, others)
        first = first or reading
        for place, timed in zip(places, reading.measures, strict=True):
            reasons = renumbered(timed.reasons, places)
            found[place] = replace(timed, reasons=reasons)
            meters[place] = reading.meter
    assert first is not None
    order = range(len(measures))
    return replace(
        first,
        measures=tuple(found[index] for index in order),
        meters=tuple(_as_first_named([meters[index] for index in order])),
    )


def _stretches(meter: Meter | None, count: int, changes: Mapping[int, Meter]) -> list[Meter | None]:
    """The meter that is named for each measure, None where none is yet."""
    found: list[Meter | None] = []
    now = meter
    for index in range(count):
        now = changes.get(index, now)
        found.append(now)
    return found


def _as_first_named(meters: Sequence[Meter]) -> list[Meter]:
    """Meters without those that are the one before under another name: cut time after 2/2."""
    found: list[Meter] = []
    for (_, _), group in groupby(meters, key=lambda meter: (meter.count, meter.unit)):
        same = list(group)
        found += same[:1] * len(same)
    return found
