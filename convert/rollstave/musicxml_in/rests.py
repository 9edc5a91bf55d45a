"""What of a file has no place in a score of a tab: rests of one voice that another sounds through,
and strokes of percussion."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from rollstave.musicxml_in.measures import ReadMeasure
from rollstave.musicxml_in.naming import measures_named
from rollstave.problems import ProblemList
from rollstave.score.records import Measure
from rollstave.vocabulary import problems as kinds

Span = tuple[Fraction, Fraction]  # from when to when, in quarter notes


def report_rests(
    read: Sequence[ReadMeasure], built: Sequence[Measure], problems: ProblemList
) -> None:
    """Say in which measures a rest is lost to another voice, and where one is put in."""
    lost: list[str] = []
    added: list[str] = []
    for source, measure in zip(read, built, strict=True):
        name = source.number or str(measure.index + 1)
        sounding = [e for e in measure.events if e.notes]
        if any(e.onset < r < e.onset + e.duration for r in source.rests for e in sounding):
            lost.append(name)
        first = [
            (e.onset, e.onset + (note.lasts or e.duration))
            for e in sounding
            for note in e.notes
            if note.voice == 1
        ]
        if _uncovered(measure.length, [*first, *(rest[:2] for rest in source.resting)]):
            added.append(name)
    if lost:
        problems.add(
            kinds.RESTS,
            f"{measures_named(lost)}: a rest of one voice is left out, because a note of another "
            "sounds on through it",
        )
    if added:
        problems.add(
            kinds.RESTS,
            f"{measures_named(added)}: there is time in which nothing stands, neither a note nor "
            "a rest; a rest is put in",
        )


def _uncovered(length: Fraction, covering: Sequence[Span]) -> bool:
    """True if some of the time of a measure lies in none of the spans."""
    now = Fraction(0)
    for start, stop in sorted(covering):
        if start <= now < stop:
            now = stop
    return now < length


def report_unpitched(read: Sequence[ReadMeasure], problems: ProblemList) -> None:
    """Say in which measures there are notes without a pitch, or with one between two frets."""
    between = [m.number or str(n) for n, m in enumerate(read, start=1) for _ in range(m.between)]
    if between:
        notes = "a note" if len(between) == 1 else f"{len(between)} notes"
        problems.add(
            kinds.LEFT_OUT,
            f"{measures_named(between)}: the quarter tone of {notes} is left out: it lies between "
            "two frets",
        )
    places = [m.number or str(n) for n, m in enumerate(read, start=1) for _ in range(m.unpitched)]
    if places:
        count = len(places)
        problems.add(
            kinds.LEFT_OUT,
            f"{measures_named(places)}: {count} note{'s' if count > 1 else ''} without a pitch "
            f"(percussion) {'are' if count > 1 else 'is'} left out",
        )
