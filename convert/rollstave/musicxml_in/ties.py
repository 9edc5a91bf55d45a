"""Ties that join no two notes of one pitch: they are left out, and that is said."""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.musicxml_in.measures import ReadMeasure
from rollstave.musicxml_in.naming import measures_named
from rollstave.problems import ProblemList
from rollstave.vocabulary import problems as kinds


def report_ties(read: Sequence[ReadMeasure], problems: ProblemList) -> None:
    """Say in which measures a tie leads to no note of its pitch, or from none."""
    leading: dict[int, int] = {}  # the measures in which a tie of a pitch has begun
    loose: set[int] = set()
    for index, measure in enumerate(read):
        for note in sorted(measure.heard, key=lambda h: h.onset):
            midi = note.pitch.midi
            begun = leading.pop(midi, None)
            if note.tied and begun is None:
                loose.add(index)
            elif begun is not None and not note.tied:
                loose.add(begun)
            if note.ties:
                leading[midi] = index
        passed = {midi for midi, begun in leading.items() if begun < index}
        loose |= {leading.pop(midi) for midi in passed}
    loose |= set(leading.values())
    if loose:
        names = [read[index].number or str(index + 1) for index in sorted(loose)]
        problems.add(
            kinds.TIED, f"{measures_named(names)}: a tie joins no two notes of one pitch; left out"
        )
