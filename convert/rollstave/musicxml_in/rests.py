"""Rests that a score of a tab does not keep: a note of a tab lasts until the next is struck."""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.musicxml_in.measures import ReadMeasure
from rollstave.problems import ProblemList
from rollstave.score.records import Measure
from rollstave.vocabulary import problems as kinds

_NAMED = 12  # measures that are named one by one


def report_rests(
    read: Sequence[ReadMeasure], built: Sequence[Measure], problems: ProblemList
) -> None:
    """Say in which measures a rest was taken up by the note before it."""
    lost: list[str] = []
    for source, measure in zip(read, built, strict=True):
        sounding = [e for e in measure.events if e.notes]
        if any(e.onset < r < e.onset + e.duration for r in source.rests for e in sounding):
            lost.append(source.number or str(measure.index + 1))
    if not lost:
        return
    named = ", ".join(lost[:_NAMED])
    more = f" and {len(lost) - _NAMED} more" if len(lost) > _NAMED else ""
    problems.add(
        kinds.RESTS,
        f"measure{'s' if len(lost) > 1 else ''} {named}{more}: a rest is left out, because a note "
        "of a tab lasts until the next is struck",
    )
