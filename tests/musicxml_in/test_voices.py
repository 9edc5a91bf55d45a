"""Two voices stay two: thumb and fingers, a held bass under a roll.

music21 writes them and reads them back; the W3C schema holds what is written.
"""

from __future__ import annotations

import io
from fractions import Fraction
from typing import Any

import mido
import pytest
from lxml import etree

import rollstave
from rollstave.score.compare import first_difference
from tests import musicxml_schema

# Voices of a measure of 4/4: MIDI numbers and quarter notes, None for a rest.
ROLL = [(59, 0.5), (62, 0.5), (59, 0.5), (62, 0.5), (59, 0.5), (62, 0.5), (59, 0.5), (62, 0.5)]
CASES: dict[str, tuple[list[Any], list[Any]]] = {
    "a held bass": (ROLL, [(50, 4)]),
    "two basses": (ROLL, [(50, 2), (55, 2)]),
    "a bass that stops": (ROLL, [(50, 1), (None, 1), (55, 2)]),
    "a bass that comes late": (ROLL, [(None, 2), (55, 1.5), (50, 0.5)]),
    "a tune that waits": ([(None, 1), (62, 1), (None, 1), (62, 1)], [(50, 2), (55, 2)]),
    "together": ([(62, 1), (62, 1), (62, 1), (62, 1)], [(50, 1), (55, 1), (50, 1), (55, 1)]),
}


def file_of(voices: tuple[list[Any], list[Any]], times: int = 2) -> bytes:
    from music21 import meter, note, stream
    from music21.musicxml.m21ToXml import GeneralObjectExporter

    part = stream.Part()
    for number in range(1, times + 1):
        measure = stream.Measure(number=number)
        if number == 1:
            measure.append(meter.TimeSignature("4/4"))
        for name, notes in enumerate(voices, start=1):
            voice = stream.Voice(id=str(name))
            for pitch, length in notes:
                one = note.Rest() if pitch is None else note.Note(pitch)
                one.quarterLength = length
                voice.append(one)
            measure.insert(0, voice)
        part.append(measure)
    data: bytes = GeneralObjectExporter(part).parse()
    return data


def wanted(notes: list[Any]) -> list[tuple[float, int, float]]:
    found, now = [], 0.0
    for pitch, length in notes:
        if pitch is not None:
            found.append((now, pitch, length))
        now += length
    return found


@pytest.mark.parametrize("name", CASES)
def test_each_note_stays_in_its_voice_as_long_as_it_is_held(name: str) -> None:
    (tune,) = rollstave.read(file_of(CASES[name]))
    for measure in tune.score.measures:
        for number, notes in enumerate(CASES[name], start=1):
            found = [
                (e.onset, n.pitch.midi, e.duration if n.lasts is None else n.lasts)
                for e in measure.events
                for n in e.notes
                if n.voice == number
            ]
            assert found == wanted(notes)
    assert not [p for p in tune.problems if p.code == "voices"]  # nothing of it is lost


@pytest.mark.parametrize("name", CASES)
def test_music21_reads_the_same_voices_back(name: str) -> None:
    from music21 import converter, note

    (tune,) = rollstave.read(file_of(CASES[name]))
    data = rollstave.write(tune, "musicxml")[0]
    assert musicxml_schema.errors(etree.fromstring(data).getroottree().getroot()) == []
    staff = converter.parseData(data, format="musicxml").parts[0]
    for measure in staff.getElementsByClass("Measure"):
        voices = list(measure.voices)
        assert len(voices) == 2
        for voice, notes, stem in zip(voices, CASES[name], ("up", "down"), strict=True):
            struck = [n for n in voice.notes if isinstance(n, note.Note)]
            tied: list[tuple[float, int, float]] = []
            for one in struck:  # a long note may be written as two that are tied
                if one.tie is not None and one.tie.type in ("stop", "continue"):
                    at, pitch, length = tied[-1]
                    tied[-1] = (at, pitch, length + one.quarterLength)
                else:
                    tied.append((one.offset, one.pitch.midi, one.quarterLength))
            assert tied == wanted(notes)
            assert {n.stemDirection for n in struck if n.quarterLength < 4} <= {stem}


@pytest.mark.parametrize("name", CASES)
def test_musicxml_and_back(name: str) -> None:
    (tune,) = rollstave.read(file_of(CASES[name]))
    (again,) = rollstave.read(rollstave.write(tune, "musicxml")[0])
    assert first_difference(tune.score, again.score) is None


def test_a_held_bass_sounds_on_in_midi() -> None:
    (tune,) = rollstave.read(file_of(CASES["a held bass"], times=1))
    file = mido.MidiFile(file=io.BytesIO(rollstave.write(tune, "midi")[0]))
    now, began, held = 0, 0, Fraction(0)
    for message in file.tracks[0]:
        now += message.time
        if getattr(message, "note", 0) == 50:
            began = now if message.type == "note_on" else began
            held = Fraction(now - began, file.ticks_per_beat)
    assert held == 4


def test_one_voice_is_no_matter() -> None:
    """Notes of one voice have its number, and nothing is said."""
    (tune,) = rollstave.read(file_of((ROLL, []), times=1))
    assert {n.voice for m in tune.score.measures for e in m.events for n in e.notes} == {1}
    assert all(n.lasts is None for m in tune.score.measures for e in m.events for n in e.notes)
    assert not [p for p in tune.problems if p.code == "voices"]


@pytest.mark.parametrize("name", CASES)
def test_music21_has_the_voices_as_its_own(name: str) -> None:
    """The objects that the plugin makes; none of them is lost where it makes a tab of them."""
    from rollstave_music21.from_stream import to_tab
    from rollstave_music21.to_stream import to_score

    (tune,) = rollstave.read(file_of(CASES[name]))
    made = to_score(tune.score)
    for measure in made.parts[0].getElementsByClass("Measure"):
        for voice, notes in zip(measure.voices, CASES[name], strict=True):
            found = [(n.offset, n.pitch.midi, n.quarterLength) for n in voice.notes]
            assert found == wanted(notes)
    text, _ = to_tab(made)
    (back,) = rollstave.read(text)
    assert first_difference(tune.score, back.score) is None


def test_the_times_of_voices_are_whole_divisions() -> None:
    """Parts of a tied note in a second voice are no longer than what is stepped back: found by
    changed scores (MusicXML 4.0, backup)."""
    odd = (
        "<score-partwise><part-list><score-part id='P'><part-name>Banjo</part-name></score-part>"
        "</part-list><part id='P'><measure number='1'><attributes><divisions>15</divisions>"
        "<time><beats>2</beats><beat-type>4</beat-type></time></attributes>{first}"
        "<backup><duration>30</duration></backup>{second}</measure></part></score-partwise>"
    )
    note = (
        "<note><pitch><step>{}</step><octave>4</octave></pitch><duration>{}</duration>"
        "<voice>{}</voice></note>"
    )
    first = "".join(note.format("B", ticks, 1) for ticks in (2, 6, 10, 5, 7))
    second = "".join(note.format("G", ticks, 2) for ticks in (22, 2, 1, 2, 3))
    (tune,) = rollstave.read(odd.format(first=first, second=second))
    root = etree.fromstring(rollstave.write(tune, "musicxml")[0])
    for measure in root.iter("measure"):
        now = 0
        for element in measure:
            ticks = int(element.findtext("duration") or 0)
            alone = element.find("chord") is None
            now += -ticks if element.tag == "backup" else ticks * alone
            assert now >= 0
