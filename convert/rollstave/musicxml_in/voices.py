"""The voices of a part: which each note is in, and how long it is held there."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from rollstave.musicxml_in.measures import ReadMeasure
from rollstave.musicxml_in.notes import Heard


def tell_voices(
    with_frets: Sequence[Sequence[tuple[Fraction, Sequence[Heard]]]],
    measures: Sequence[ReadMeasure],
) -> None:
    """Number the voices from 1, and keep how long the notes of a measure with several are held."""
    names = {note.said_voice for events in with_frets for _, notes in events for note in notes}
    if len(names) < 2:
        return  # nearly always
    numbers = {name: n for n, name in enumerate(sorted(names, key=_in_order), start=1)}
    for read, events in zip(measures, with_frets, strict=True):
        for onset, notes in events:
            for note in notes:
                note.voice = numbers[note.said_voice]
                note.lasts = min(note.duration, read.length - onset)
        if any(note.voice > 1 for _, notes in events for note in notes):
            read.rests.clear()  # each voice keeps its own
        else:
            for _, notes in events:
                for note in notes:
                    note.lasts = None


def _in_order(name: str) -> tuple[int, str]:
    return len(name), name
