"""Whether the headings of a score are those of a sheet of exercises."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby, pairwise

from rollstave.reading.page.decode import Line
from rollstave.reading.words.exercises import Size, headings_in
from rollstave.score.records import Score


def exercises_among(over: Sequence[Sequence[str]], measures: Sequence[int]) -> dict[int, str]:
    """The headings of exercises by the number of their system, from 0, if a text would be read so
    that has these lines over each system, under an empty line, and so many measures in it.

    Only the first line over a system is a heading. Nothing if it would be read as no sheet of
    exercises.
    """
    gaps = [
        [
            (system if place == 1 else -1, Line(place + 1, line, line))
            for place, line in enumerate(("", *lines))
        ]
        for system, lines in enumerate(over)
    ]
    return headings_in(gaps, [Size(systems=1, measures=count) for count in measures])


def exercises_of(score: Score) -> tuple[tuple[str, range], ...]:
    """The heading of each exercise and the indices of its measures, for a score that is a sheet of
    exercises; nothing for a tune."""
    systems = [list(group) for _, group in groupby(score.measures, lambda m: m.system)]
    over = [[first.section] if (first := system[0]).section else [] for system in systems]
    found = exercises_among(over, [len(system) for system in systems])
    starts = [systems[number][0].index for number in sorted(found)]
    spans = [range(a, b) for a, b in pairwise([*starts, len(score.measures)])]
    return tuple(zip((found[number] for number in sorted(found)), spans, strict=True))
