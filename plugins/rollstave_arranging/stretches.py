"""A tune that is tuned anew, or has another capo, in its midst: each stretch is reworked by itself.

Frets are found for one tuning and one capo, so the tune is divided where that changes, and what was
made of its stretches is put together again.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import groupby

from msgspec.structs import replace

from rollstave import Change, Measure, Reworked, Score, Setup, TabError
from rollstave_arranging.told import refusal

Work = Callable[[Score], Reworked]


def by_stretch(score: Score, *works: Work) -> Reworked:
    """What the first of some ways that works for every stretch makes of a tune; stretch by stretch
    where its setup changes. Raises TabError, saying of each stretch why it cannot be."""
    parts = _stretches(score)
    if len(parts) == 1:
        return works[0](score)
    refused: list[str] = []
    for work in works:
        made, whys = _all_made(parts, work)
        if not whys:
            return _joined(score, made)
        refused = refused or whys
    raise refusal("; ".join(refused))


def _all_made(parts: list[Score], work: Work) -> tuple[list[Reworked], list[str]]:
    made: list[Reworked] = []
    whys: list[str] = []
    for part in parts:
        try:
            made.append(work(part))
        except TabError as error:
            whys += [f"{_called(part)}: {problem.message}" for problem in error.problems]
    return made, whys


def _called(part: Score) -> str:
    first, last = part.measures[0], part.measures[-1]
    return first.called if first is last else f"{first.called} to {last.called}"


def _stretches(score: Score) -> list[Score]:
    """The tune divided where its setup changes, each stretch with what holds at its beginning."""
    found: list[Score] = []
    rows = zip(score.setups, score.meters, score.keys, score.tempos, score.measures, strict=True)
    for setup, group in groupby(rows, key=lambda row: row[0]):
        held = list(group)
        _, meter, key, tempo, first = held[0]
        measures = tuple(replace(row[-1], index=n) for n, row in enumerate(held))
        opening = replace(measures[0], change=None)
        found.append(
            replace(
                score,
                setup=setup,
                meter=meter,
                key=key,
                tempo=tempo,
                measures=(opening, *measures[1:]),
                notes=score.notes if first.index == 0 else (),
                note_measures=score.note_measures if first.index == 0 else (),
                beside=None,
            )
        )
    return found


def _joined(score: Score, made: list[Reworked]) -> Reworked:
    """The stretches as one tune again; where setup or key are others, a change says so."""
    measures: list[Measure] = []
    before: Score | None = None
    for one in made:
        part = one.score
        for place, measure in enumerate(part.measures):
            own = score.measures[len(measures)].change
            change = measure.change
            if place == 0 and before is not None:
                change = Change(
                    meter=own.meter if own else None,
                    key=part.key if part.key != before.keys[-1] else None,
                    tempo=own.tempo if own else None,
                    setup=_if_other(part.setup, before.setups[-1]),
                )
                change = None if change == Change() else change
            measures.append(replace(measure, index=len(measures), change=change))
        before = part
    first = made[0].score
    says = "; ".join(dict.fromkeys(one.says for one in made if one.says))
    told = tuple(dict.fromkeys(problem for one in made for problem in one.changes))
    return Reworked(
        score=replace(first, measures=tuple(measures), beside=score.beside),
        says=says,
        changes=told,
    )


def _if_other(setup: Setup, before: Setup) -> Setup | None:
    return setup if setup != before else None
