"""Rests of a file are rests of the score, in the file that it is written as, and in text.

The files are written by music21 10, which also reads what is written of them.
"""

from __future__ import annotations

import re
from fractions import Fraction

from music21 import converter, musicxml, note, stream

import rollstave


def _file(*rests_in: int) -> bytes:
    part = stream.Part()
    for number in range(1, 5):
        measure = stream.Measure(number=number)
        measure.append(note.Note("G4", quarterLength=1))
        rest = number in rests_in
        measure.append(note.Rest(quarterLength=1) if rest else note.Note("B4", quarterLength=1))
        measure.append(note.Note("D5", quarterLength=1))
        measure.append(note.Rest(quarterLength=1) if rest else note.Note("G4", quarterLength=1))
        part.append(measure)
    return musicxml.m21ToXml.GeneralObjectExporter(part).parse()


def _rests(data: bytes) -> list[list[tuple[float, float]]]:
    staff = converter.parseData(data).parts[0]
    return [
        [(r.offset, r.quarterLength) for r in m.recurse().getElementsByClass("Rest")]
        for m in staff.getElementsByClass("Measure")
    ]


def test_a_rest_is_a_rest() -> None:
    (tune,) = rollstave.read(_file(2, 4))
    times = [(e.onset, e.duration, bool(e.notes)) for e in tune.score.measures[1].events]
    one = Fraction(1)
    assert times == [(onset, one, onset in (0, 2)) for onset in map(Fraction, range(4))]
    assert not [p for p in tune.problems if p.code == "rests"]


def test_a_rest_is_written_again() -> None:
    data = _file(2, 4)
    (tune,) = rollstave.read(data)
    assert _rests(rollstave.write(tune, "musicxml")[0]) == _rests(data)
    assert _rests(data)[1] == [(1.0, 1.0), (3.0, 1.0)]


def test_a_rest_under_another_voice_stays_in_its_own() -> None:
    data = two_voices()
    (tune,) = rollstave.read(data)
    assert not [p for p in tune.problems if p.code == "rests"]
    back = converter.parseData(rollstave.write(tune, "musicxml")[0], format="musicxml").parts[0]
    (high, _) = back.getElementsByClass("Measure")[0].voices
    assert [n.offset for n in high.getElementsByClass(note.Rest)] == [1.0]


def test_a_rest_that_another_note_sounds_through_is_said_where_no_voice_is_named() -> None:
    (tune,) = rollstave.read(re.sub(rb"<voice>.*?</voice>", b"", two_voices()))
    (said,) = [p for p in tune.problems if p.code == "rests"]
    assert said.message.startswith("measure 1: a rest of one voice is left out")


def test_time_in_which_the_first_voice_has_nothing_is_a_rest_and_is_said() -> None:
    """A rest of the second voice at that time is its own."""
    data = two_voices()
    first = re.search(rb"<note[^>]*>\s*<pitch>.*?</note>", data, re.DOTALL)
    rest = re.search(rb"<note[^>]*>\s*<rest\s*/>.*?</note>", data, re.DOTALL)
    assert first
    assert rest
    assert b"<voice>2" in data
    notes = [first[0], *[re.sub(rb"<voice>\w+", b"<voice>2", n) for n in (first[0], rest[0])]]
    for n, own in ((3, False), (4, True)):
        length = re.search(rb"<duration>(\d+)", first[0])
        assert length
        back = b"<backup><duration>%d</duration></backup>" % (n * int(length[1]))
        inside = notes[0] * n + back + notes[1] + notes[2] * 3
        (tune,) = rollstave.read(re.sub(rb"<note.*</note>", inside, data, flags=re.DOTALL))
        said = [p.message for p in tune.problems if p.code == "rests"]
        assert [m.split(",")[0] for m in said] == (
            [] if own else ["measure 1: there is time in which nothing stands"]
        )


def two_voices() -> bytes:
    score = stream.Part()
    measure = stream.Measure(number=1)
    low, high = stream.Voice(), stream.Voice()
    low.append(note.Note("G3", quarterLength=4))
    for pitch in ("D5", None, "B4", "D5"):
        high.append(note.Note(pitch) if pitch else note.Rest())
    measure.insert(0, high)
    measure.insert(0, low)
    score.append(measure)
    data: bytes = musicxml.m21ToXml.GeneralObjectExporter(score).parse()
    return data
