"""What changes in the midst of a tune, as the headings between its systems say it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from itertools import groupby, pairwise
from typing import Any, TypeVar

from msgspec.structs import replace

from rollstave.deciding.about import key_of, meter_of, tempo_of
from rollstave.deciding.playback import play_order
from rollstave.grid.typed import GridMeasure, Heading
from rollstave.instruments.setup import Setup
from rollstave.pitch import Key
from rollstave.problems import ProblemList
from rollstave.rhythm import RhythmReading
from rollstave.rhythm.meter import Meter
from rollstave.score.records import Change, Measure, Score


def meters_said(measures: Sequence[GridMeasure], problems: ProblemList) -> dict[int, Meter]:
    """The meter that is named over a measure, by the place of the measure in the tune. What is no
    meter is a problem, and changes nothing."""
    return _understood(_said("time", measures), lambda heading: meter_of(heading, problems))


def keys_said(measures: Sequence[GridMeasure], problems: ProblemList) -> dict[int, Key]:
    """The key that is named over a measure, as :func:`meters_said`."""
    return _understood(_said("key", measures), lambda heading: key_of(heading, problems))


def tempos_said(
    measures: Sequence[GridMeasure], reading: RhythmReading, problems: ProblemList
) -> dict[int, Fraction]:
    """The tempo that is named over a measure, as :func:`meters_said`. A number counts the beats of
    the meter that the measure has."""
    found = {
        index: tempo_of(heading, reading.meter_at(index), problems)
        for index, heading in _said("tempo", measures).items()
    }
    return {index: tempo for index, tempo in found.items() if tempo is not None}


def _said(key: str, measures: Sequence[GridMeasure]) -> dict[int, Heading]:
    """The headings of a kind over measures, by the places of these."""
    return {
        index: heading
        for index, measure in enumerate(measures)
        if measure.changes  # hardly ever
        for heading in measure.changes
        if heading.key == key
    }


_Meant = TypeVar("_Meant")


def _understood(
    said: Mapping[int, Heading], meaning: Callable[[Heading], _Meant | None]
) -> dict[int, _Meant]:
    found = ((index, meaning(heading)) for index, heading in said.items())
    return {index: meant for index, meant in found if meant is not None}


def held(first: _Meant, changes: Mapping[int, _Meant], count: int) -> tuple[_Meant, ...]:
    """What holds in each of so many measures; empty where nothing changes."""
    found: list[_Meant] = []
    for index in range(count if changes else 0):
        found.append(changes.get(index, found[-1] if found else first))
    return tuple(found)


def with_changes(
    measures: Sequence[Measure],
    *,
    meters: Sequence[Meter],
    keys: Sequence[Key],
    tempos: Sequence[Fraction | None],
    setups: Sequence[Setup],
) -> tuple[Measure, ...]:
    """Measures that say where what holds for them is not what held before. Empty sequences are of
    what never changes."""
    found: dict[int, dict[str, Any]] = {}
    for name, holds in (("meter", meters), ("key", keys), ("tempo", tempos), ("setup", setups)):
        for index, (before, now) in enumerate(pairwise(holds), start=1):
            if now != before:
                found.setdefault(index, {})[name] = now
    if not found:
        return tuple(measures)  # nearly always
    return tuple(
        replace(measure, change=Change(**found[index])) if index in found else measure
        for index, measure in enumerate(measures)
    )


def restated(score: Score) -> dict[int, Change]:
    """What must be said again, unseen, where a player goes back to or leaps to, because what was
    played before has something else: by the index of the measure. A reader that plays a file in its
    order knows no better."""
    if not any(m.change for m in score.measures):
        return {}  # nearly always
    found: dict[int, Change] = {}
    meters, keys, tempos = score.meters, score.keys, score.sounding_tempos
    setups = score.setups
    for before, now in pairwise(play_order(score.measures)):
        if now in (0, before + 1):
            continue
        said = score.measures[now].change or Change()
        other_meter = said.meter is None and meters[now] != meters[before]
        other_key = said.key is None and keys[now] != keys[before]
        other_tempo = said.tempo is None and tempos[now] != tempos[before]
        other_setup = said.setup is None and setups[now] != setups[before]
        found[now] = Change(
            setup=setups[now] if other_setup else None,
            meter=meters[now] if other_meter else None,
            key=keys[now] if other_key else None,
            tempo=tempos[now] if other_tempo else None,
        )
    return {index: change for index, change in found.items() if change != Change()}


def by_setup(
    measures: Sequence[Measure],
    setups: Sequence[Setup],
    work: Callable[[Sequence[Measure], Setup], Sequence[Measure]],
) -> tuple[Measure, ...]:
    """What is made of measures, those of each setup together with it."""
    found: list[Measure] = []
    for setup, group in groupby(zip(setups, measures, strict=True), key=lambda pair: pair[0]):
        found += work([measure for _, measure in group], setup)
    return tuple(found)
