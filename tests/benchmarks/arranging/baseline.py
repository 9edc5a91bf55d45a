"""The baseline: the lowest fret for each note by itself, as a short script does it."""

from __future__ import annotations

from msgspec.structs import replace

from rollstave import NoSuchFret, Note, Score, Setup, settled


def lowest_frets(score: Score, setup: Setup, shift: int = 0) -> Score:
    """Each note where its fret is lowest, whatever was there; notes of one event take turns. What
    lies nowhere is left out. An open short string stays."""
    short = setup.instrument.short_string
    measures = []
    for measure in score.measures:
        events = []
        for event in measure.events:
            taken: set[int] = set()
            notes: list[Note] = []
            for note in event.notes:
                if short and note.string == short.string and note.fret == 0:
                    notes.append(note)
                    continue
                spot = _lowest(note.pitch.midi + shift, setup, taken)
                if spot is not None:
                    taken.add(spot[0])
                    plain = replace(note, string=spot[0], fret=spot[1], link=None, harmonic=False)
                    notes.append(replace(plain, half=False))
            notes.sort(key=lambda note: note.string)
            events.append(replace(event, notes=tuple(notes), grace=()))
        measures.append(replace(measure, events=tuple(events)))
    return settled(replace(score, setup=setup, measures=tuple(measures)))


def _lowest(midi: int, setup: Setup, taken: set[int]) -> tuple[int, int] | None:
    short = setup.instrument.short_string
    for fret in range(setup.instrument.frets - setup.capo + 1):
        for string in range(1, setup.instrument.strings + 1):
            if string in taken or (short and string == short.string):
                continue
            try:
                if setup.midi(string, fret) == midi:
                    return string, fret
            except NoSuchFret:
                continue
    return None
