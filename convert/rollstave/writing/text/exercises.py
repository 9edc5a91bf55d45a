"""Headings of exercises as text: written plainly where they are read back so, all together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rollstave.deciding.exercises import exercises_among
from rollstave.score.records import Score
from rollstave.writing.text.spacing import Typed


def exercise_lines(score: Score, systems: Sequence[Sequence[Typed]]) -> dict[int, list[str]]:
    """The lines over each exercise of a sheet, by the index of its first measure: its heading, and
    the words that stood under that. Nothing for a tune whose parts have names."""
    if sum(system[0].measure.section is not None for system in systems) < 2:
        return {}
    words: dict[int, list[str]] = {}
    for note, place in zip(score.notes, score.note_measures, strict=False):
        words.setdefault(place, []).append(note)
    words.pop(0, None)  # they may be words about all of it
    return _read_back(systems, words) or _read_back(systems, {})


def _read_back(
    systems: Sequence[Sequence[Typed]], words: Mapping[int, Sequence[str]]
) -> dict[int, list[str]]:
    """The lines over each exercise with these words under their headings; nothing if they would
    not be read as the headings that they are."""
    over: list[list[str]] = []
    for system in systems:
        first = system[0].measure
        lines = [] if first.section is None else [first.section, *words.get(first.index, ())]
        over.append(lines)
    wanted = {number: lines[0] for number, lines in enumerate(over) if lines}
    if exercises_among(over, [len(system) for system in systems]) != wanted:
        return {}
    return {systems[number][0].measure.index: over[number] for number in wanted}
