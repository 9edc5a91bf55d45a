"""All exercises of a hand-out as one score: engraved at once, played from one page, typed as one
tab. Every exercise begins a line, and is played by itself: repeats and jumps stay inside it.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from rollstave.notating.layout import system_starts
from rollstave.notating.notation import notate
from rollstave.score.records import Change, Measure, Score
from rollstave.writing.handout.records import Exercise, Handout


class Joined(Struct, frozen=True):
    """The score of all exercises, and for each of them the indices of its first measure and of
    the one after its last; the measures of those that break lines as a sheet does."""

    score: Score
    spans: tuple[tuple[int, int], ...]
    tunes: tuple[range, ...] = ()


def joined(handout: Handout, named: bool = True) -> Joined:
    """The exercises of a hand-out one after the other, where ``named`` each with its name as a
    section.

    Raises ValueError if there is none, or they differ in setup or key. An exercise in another meter
    than the one before changes to it.
    """
    exercises = handout.exercises
    if not exercises:
        raise ValueError("this hand-out has no music")
    like = exercises[0].score
    measures: list[Measure] = []
    spans: list[tuple[int, int]] = []
    line = 0
    meter = like.meter
    for exercise in exercises:
        score = exercise.score
        if (score.setup, score.key) != (like.setup, like.key):
            raise ValueError(f"{exercise.name!r} is in another tuning or key than the first")
        begin = len(measures)
        for number, measure in zip(_lines(exercise), score.measures, strict=True):
            index = len(measures)
            section = exercise.name if named and index == begin else measure.section
            measures.append(replace(measure, index=index, system=line + number, section=section))
        measures[begin] = replace(
            measures[begin], change=None if score.meter == meter else Change(meter=score.meter)
        )
        meter = score.meters[-1]
        line = measures[-1].system + 1
        spans.append((begin, len(measures)))
    score = replace(
        like,
        title=handout.title,
        measures=tuple(measures),
        tempo=handout.score.tempo,
        beside=None,
        notes=(),
        note_measures=(),
    )
    by_phrase = [e.per_line == 0 for e in exercises]
    tunes = tuple(range(*s) for s, whole in zip(spans, by_phrase, strict=True) if whole)
    return Joined(score=score, spans=tuple(spans), tunes=tunes)


def _lines(exercise: Exercise) -> Iterator[int]:
    """The number of the line that each measure of an exercise stands on."""
    measures = exercise.score.measures
    if exercise.per_line:
        pickup = int(measures[0].number == 0)  # it shares a line with what follows
        for position in range(len(measures)):
            yield max(0, position - pickup) // exercise.per_line
        return
    starts = set(system_starts(notate(exercise.score)))
    line = 0
    for index in range(len(measures)):
        line += index > 0 and index in starts
        yield line
