"""Whether two scores are the same music, wherever and however it was typed."""

from __future__ import annotations

from collections.abc import Hashable

from msgspec.structs import replace

from rollstave.grid.typed import Bar
from rollstave.problems import Place
from rollstave.score.records import Measure, Note, Score

_NOWHERE = Place(1, 1)


def essence(score: Score) -> tuple[tuple[Hashable, ...], ...]:
    """All of a score but where it was typed, how its rhythm was found and what was inferred:
    the words about it, what it is set to, and then its measures."""
    return (
        (score.title, score.composer, score.source, score.style, tuple(sorted(score.notes))),
        (score.setup, score.key, score.meter, score.tempo),
        *(_measure(m) for m in score.measures),
    )


def first_difference(one: Score, other: Score) -> str | None:
    """In words where two scores first differ, or None if they are the same music."""
    for index, (left, right) in enumerate(zip(essence(one), essence(other), strict=False)):
        if left != right:
            return ("its words", "its headings")[index] if index < 2 else f"measure {index - 1}"
    if len(one.measures) != len(other.measures):
        return f"measure {min(len(one.measures), len(other.measures)) + 1}"
    return None


def _measure(measure: Measure) -> tuple[Hashable, ...]:
    return (
        (measure.number, measure.length, measure.section),
        (measure.ending, measure.ending_stop, measure.in_ending),
        (measure.left is Bar.REPEAT_START, measure.right),
        (measure.times, measure.jump, measure.fine),
        (measure.segno, measure.to_coda, measure.coda),
        tuple((e.onset, e.duration, e.brush, e.lyric) for e in measure.events),
        tuple(tuple(_note(n) for n in e.notes) for e in measure.events),
        tuple(
            tuple(tuple(replace(n, place=_NOWHERE) for n in group) for group in e.grace)
            for e in measure.events
        ),
        tuple(replace(c, frets=None) for c in measure.chords if not c.inferred),
    )


def _note(note: Note) -> Note:
    finger = None if note.inferred_finger else note.finger
    return replace(note, place=_NOWHERE, finger=finger, inferred_finger=False)
