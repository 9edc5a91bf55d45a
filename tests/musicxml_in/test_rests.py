"""Rests of a file are not kept, and that is said with the measures.

The file is written by music21 10.
"""

from __future__ import annotations

from music21 import musicxml, note, stream

import rollstave


def _file(*rests_in: int) -> bytes:
    part = stream.Part()
    for number in range(1, 5):
        measure = stream.Measure(number=number)
        for pitch in ("G4", "B4", "D5"):
            measure.append(note.Note(pitch, quarterLength=1))
        rest = number in rests_in
        measure.append(note.Rest(quarterLength=1) if rest else note.Note("G4", quarterLength=1))
        part.append(measure)
    return musicxml.m21ToXml.GeneralObjectExporter(part).parse()


def test_a_rest_that_a_note_takes_up_is_said() -> None:
    (tune,) = rollstave.read(_file(2, 4))
    (said,) = [p for p in tune.problems if p.code == "rests"]
    assert said.message.startswith("measures 2, 4: a rest is left out")
    assert [len(m.events) for m in tune.score.measures] == [4, 3, 4, 3]


def test_no_rest_no_word() -> None:
    (tune,) = rollstave.read(_file())
    assert not [p for p in tune.problems if p.code == "rests"]
