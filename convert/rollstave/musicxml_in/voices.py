"""The voices of a part: which each note is in, and how long it is held there."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from fractions import Fraction

from rollstave.musicxml_in.measures import ReadMeasure
from rollstave.musicxml_in.notes import Heard


def tell_voices(
    with_frets: Sequence[Sequence[tuple[Fraction, Sequence[Heard]]]],
    measures: Sequence[ReadMeasure],
) -> None:
    """Number the voices from 1, and keep how long the notes of a measure with several are held."""
    names = {_named(note) for events in with_frets for _, notes in events for note in notes}
    if len(names) < 2:
        return  # nearly always
    all_of_them = _numbers(names)
    for read, events in zip(measures, with_frets, strict=True):
        present = _numbers({_named(note) for _, notes in events for note in notes})
        # A measure in which no other voice even rests has those that it has.
        numbers = all_of_them if read.rests else present
        for onset, notes in events:
            for note in notes:
                note.voice = numbers[_named(note)]
                note.lasts = min(note.duration, read.length - onset)
        if any(note.voice > 1 for _, notes in events for note in notes):
            read.rests.clear()  # each voice keeps its own
            read.resting = [r for r in read.resting if numbers.get(r[2] or "1", 1) == 1]
        else:
            for _, notes in events:
                for note in notes:
                    note.lasts = None


def _named(note: Heard) -> str:
    """The name of a note's voice; one that has none is in the first."""
    return note.said_voice or "1"


def _numbers(names: Collection[str]) -> dict[str, int]:
    return {name: n for n, name in enumerate(sorted(names, key=_in_order), start=1)}


def _in_order(name: str) -> tuple[int, str]:
    return len(name), name
