"""Ties that join no two notes of one pitch, or are written at one of two: what becomes of them is
said."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from rollstave.musicxml_in.measures import ReadMeasure
from rollstave.musicxml_in.naming import measures_named
from rollstave.problems import ProblemList
from rollstave.vocabulary import problems as kinds


def report_ties(read: Sequence[ReadMeasure], problems: ProblemList) -> None:
    """Say in which measures a tie leads to no note of its pitch, or from none; and where a note up
    to the bar is tied on because the one after it says so."""
    leading: dict[int, int] = {}  # the measures in which a tie of a pitch has begun
    ends: dict[int, Fraction] = {}  # where in their measure the notes end from which they lead
    loose: set[int] = set()
    joined: set[int] = set()
    held: set[int] = set()
    reaching: set[int] = set()  # the pitches that sound up to the last bar line
    for index, measure in enumerate(read):
        struck = now = Fraction(-1)  # when a note began last, and last before this onset
        for note in sorted(measure.heard, key=lambda h: h.onset):
            if note.onset > now:
                struck, now = now, note.onset
            midi = note.pitch.midi
            begun = leading.pop(midi, None)
            between = struck >= (ends[midi] if begun == index else 0)
            if note.tied and begun is not None and between:
                loose |= {begun, index}  # another note stands where it would lead through
            elif note.tied and begun == index and ends[midi] < note.onset:
                held.add(index)
            elif note.tied and begun is None and note.onset == 0 and midi in reaching:
                joined |= {index - 1, index}
            elif note.tied and begun is None:
                loose.add(index)
            elif begun is not None and not note.tied:
                loose.add(begun)
            if note.ties:
                leading[midi], ends[midi] = index, note.onset + note.duration
        reaching = {h.pitch.midi for h in measure.heard if h.onset + h.duration >= measure.length}
        passed = {midi for midi, begun in leading.items() if begun < index}
        loose |= {leading.pop(midi) for midi in passed}
    loose |= set(leading.values())
    for places, said in (
        (loose, "a tie joins no two notes of one pitch; left out"),
        (joined, "a tie is written at its end alone; it is read as one from the note before"),
        (
            held,
            "a tie leads over time in which nothing stands; the note before it is held through",
        ),
    ):
        names = [read[index].number or str(index + 1) for index in sorted(places)]
        if names:
            problems.add(kinds.TIED, f"{measures_named(names)}: {said}")
