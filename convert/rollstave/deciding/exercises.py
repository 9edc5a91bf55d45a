"""Whether the headings of a score are those of a sheet of exercises."""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.reading.page.decode import Line
from rollstave.reading.words.exercises import Size, headings_in


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
