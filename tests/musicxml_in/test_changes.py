"""What changes within a MusicXML file, or is no part of a score, is said with its measure.

music21 writes the files and reads the results back; the words of ``attributes`` and ``direction``
are those of MusicXML 4.0.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Any

import pytest

import rollstave
from rollstave.deciding.playback import play_order
from rollstave.score.compare import first_difference


def part_of(*measures: tuple[list[Any], list[int]]) -> bytes:
    """A part as music21 writes it: what stands before the notes of each measure, and the notes,
    quarter notes by MIDI number."""
    from music21 import note, stream
    from music21.musicxml.m21ToXml import GeneralObjectExporter

    part = stream.Part()
    for number, (before, midi) in enumerate(measures, start=1):
        measure = stream.Measure(number=number)
        for element in before:
            measure.append(element)
        for pitch in midi:
            measure.append(note.Note(pitch, quarterLength=1))
        part.append(measure)
    data: bytes = GeneralObjectExporter(part).parse()
    return data


def said(tune: rollstave.Tune, code: str) -> list[str]:
    return [p.message for p in tune.problems if p.code == code]


def test_a_later_meter_is_that_of_its_measures() -> None:
    from music21 import meter

    four, three = [62, 59, 55, 62], [62, 59, 55]
    (tune,) = rollstave.read(
        part_of(
            ([meter.TimeSignature("4/4")], four),
            ([meter.TimeSignature("3/4")], three),
            ([], three),
            ([meter.TimeSignature("4/4")], four),
        )
    )
    assert [m.length for m in tune.score.measures] == [4, 3, 3, 4]
    assert str(tune.score.meter) == "4/4"
    assert [str(m) for m in tune.score.meters] == ["4/4", "3/4", "3/4", "4/4"]
    assert not said(tune, "meter-change")
    (again,) = rollstave.read(rollstave.write(tune, "text")[0])
    assert first_difference(tune.score, again.score) is None


def test_a_meter_that_is_given_again_is_no_change() -> None:
    from music21 import meter

    common = [62, 59, 55, 62]
    (tune,) = rollstave.read(part_of(*[([meter.TimeSignature("4/4")], common) for _ in range(3)]))
    assert not any(m.change for m in tune.score.measures)


def test_a_meter_behind_notes_holds_from_the_next_measure_on() -> None:
    tune = changed(
        r"</measure>",
        "<attributes><time><beats>3</beats><beat-type>4</beat-type></time></attributes></measure>",
    )
    (behind,) = said(tune, "meter-change")
    assert behind.startswith("measure 1: 3/4 is named behind notes")
    assert [str(m) for m in tune.score.meters] == ["4/4", "3/4", "3/4"]


def test_a_later_key_is_kept_and_the_notes_sound_as_they_did() -> None:
    from music21 import converter, key, meter

    data = part_of(
        ([key.KeySignature(1), meter.TimeSignature("3/4")], [62, 66, 67]),
        ([key.KeySignature(-2)], [62, 63, 70]),
        ([key.KeySignature(1)], [62, 66, 67]),
    )
    (tune,) = rollstave.read(data)
    assert str(tune.score.key) == "G major"
    assert [k.fifths for k in tune.score.keys] == [1, -2, 1]
    assert not said(tune, "key-change")
    # music21 hears in what is written the notes that it had written itself.
    back = converter.parseData(rollstave.write(tune, "musicxml")[0]).parts[0]
    was = converter.parseData(data).parts[0]
    assert [n.pitch.midi for n in back.flatten().notes if n.isNote] == [
        n.pitch.midi for n in was.flatten().notes
    ]


def test_a_later_tempo_is_that_of_its_measures() -> None:
    from music21 import meter, tempo

    (tune,) = rollstave.read(
        part_of(
            ([meter.TimeSignature("4/4"), tempo.MetronomeMark(number=100)], [62] * 4),
            ([tempo.MetronomeMark(number=72)], [62] * 4),
        )
    )
    assert tune.score.tempos == (100, 72)
    assert not said(tune, "tempo-change")


def test_what_no_score_holds_is_counted() -> None:
    from music21 import articulations, dynamics, expressions, meter, note, stream
    from music21.musicxml.m21ToXml import GeneralObjectExporter

    measure = stream.Measure(number=1)
    loud = dynamics.Dynamic("f")
    for element in (meter.TimeSignature("4/4"), loud, expressions.TextExpression("softly now")):
        measure.append(element)
    for _ in range(4):
        one = note.Note(62, quarterLength=1)
        one.articulations.append(articulations.Staccato())
        measure.append(one)
    part = stream.Part([measure])
    (tune,) = rollstave.read(GeneralObjectExporter(part).parse())
    (left,) = said(tune, "left-out")
    assert "dynamics (measure 1)" in left
    assert "staccato (4, measure 1)" in left
    assert "words (measure 1: 'softly now')" in left


def test_a_transposing_part_is_read_as_it_sounds() -> None:
    """music21 writes a clarinet's part a tone higher than it sounds, with ``transpose``."""
    from music21 import instrument, key, meter

    clarinet = [instrument.Clarinet(), key.KeySignature(2), meter.TimeSignature("4/4")]
    (tune,) = rollstave.read(part_of((clarinet, [62, 64, 66, 67])))
    sounding = [n.pitch.midi for m in tune.score.measures for e in m.events for n in e.notes]
    from music21 import converter

    part = converter.parseData(part_of((clarinet, [62, 64, 66, 67]))).parts[0].toSoundingPitch()
    assert sounding == [n.pitch.midi for n in part.flatten().notes]
    assert str(tune.score.key).startswith("C ")


# Files of this project, changed by hand ------------------------------------------------------

TUNE = """\
Title: Gull Street
Tuning: open G
Key: G
Time: 4/4

D|-0---2---0---2---|-0---2---0---2---|-0---2---0---2---|
B|-----------------|-----------------|-----------------|
G|-----------------|-----------------|-----------------|
D|-----------------|-----------------|-----------------|
g|-----------------|-----------------|-----------------|
"""


def changed(old: str, new: str, count: int = 1) -> rollstave.Tune:
    (tune,) = rollstave.read(TUNE)
    xml = rollstave.write(tune, "musicxml")[0].decode()
    assert re.search(old, xml)
    (again,) = rollstave.read(re.sub(old, new, xml, count=count).encode())
    return again


def test_a_fret_that_sounds_something_else_is_searched_anew_and_said() -> None:
    """By arithmetic: string 1 of open G is D4 (62), its fret 7 is A4 (69)."""
    tune = changed("<fret>2</fret>", "<fret>7</fret>")
    (wrong,) = said(tune, "pitch")
    assert wrong.startswith("measure 1: fret 7 on string 1 sounds A4, but E4 is written")
    (note,) = tune.score.measures[0].events[1].notes
    assert (note.pitch.midi, note.string, note.fret) == (64, 1, 2)


def test_a_fret_that_is_not_there_is_searched_anew() -> None:
    tune = changed(r"<string>1</string>(\s*)<fret>2</fret>", r"<string>5</string>\1<fret>3</fret>")
    (absent,) = said(tune, "fret")
    assert absent.startswith("measure 1: fret 3 on string 5 does not exist")
    assert tune.score.measures[0].events[1].notes[0].pitch.midi == 64
    rollstave.read(rollstave.write(tune, "text")[0])


@pytest.mark.parametrize("beats", ["2+2", " 4 "])
def test_additive_meters_are_added(beats: str) -> None:
    assert str(changed("<beats>4</beats>", f"<beats>{beats}</beats>").score.meter) == "4/4"


def test_a_time_signature_of_another_kind_is_said() -> None:
    tune = changed("<beats>4</beats>\\s*<beat-type>4</beat-type>", "<senza-misura/>")
    assert said(tune, "meter")[0].startswith("measure 1: ")


@pytest.mark.parametrize(
    ("words", "order"),
    [("D.C.", (0, 1, 2, 0, 1, 2)), ("Da Capo", (0, 1, 2, 0, 1, 2)), ("Softly", (0, 1, 2))],
)
def test_words_of_a_jump_without_their_sound(words: str, order: tuple[int, ...]) -> None:
    """Some editors write the words alone."""
    direction = f"<direction><direction-type><words>{words}</words></direction-type></direction>"
    (tune,) = rollstave.read(TUNE)
    xml = rollstave.write(tune, "musicxml")[0].decode()
    at = xml.rindex("<barline")
    (again,) = rollstave.read((xml[:at] + direction + xml[at:]).encode())
    assert play_order(again.score.measures) == order
    assert bool(said(again, "left-out")) == (words == "Softly")


@pytest.mark.parametrize("tempo", [Fraction(100), Fraction(112), Fraction(75, 2)])
@pytest.mark.parametrize("form", ["text", "musicxml"])
def test_a_tempo_that_is_no_whole_number_of_beats_comes_back(tempo: Fraction, form: str) -> None:
    """112 quarter notes a minute are 74 2/3 beats of 6/8, and 37 1/2 are 75 eighths."""
    from msgspec.structs import replace

    (tune,) = rollstave.read(TUNE.replace("4/4", "6/8").replace("---2---|", "---|"))
    score = replace(tune.score, tempo=tempo)
    (again,) = rollstave.read(rollstave.write(score, form)[0])
    assert again.score.tempo == tempo


def test_the_last_bar_is_the_last() -> None:
    """As in a tab: a tune ends with a final bar, whatever bar is typed."""
    from music21 import meter

    (tune,) = rollstave.read(part_of(([meter.TimeSignature("4/4")], [62, 59, 55, 62])))
    (again,) = rollstave.read(rollstave.write(tune, "text")[0])
    assert first_difference(tune.score, again.score) is None


def test_a_step_back_past_the_measure_is_said_and_nothing_begins_before_it() -> None:
    """MusicXML 4.0, backup: it is not to lead to before the measure's start."""
    note = "<note><pitch><step>G</step><octave>3</octave></pitch><duration>1</duration></note>"
    text = (
        '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Banjo</part-name>'
        '</score-part></part-list><part id="P1"><measure number="1"><attributes><divisions>1'
        "</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>"
        f"{note}<backup><duration>3</duration></backup>{note}{note}</measure></part>"
        "</score-partwise>"
    )
    (tune,) = rollstave.read(text)
    assert [p.code for p in tune.problems if p.code == "out-of-measure"] == ["out-of-measure"]
    assert all(event.onset >= 0 for m in tune.score.measures for event in m.events)


def test_a_dead_note_sounds_its_string_in_the_setup_of_its_measure() -> None:
    """A capo in the middle raises what an x is written on."""
    text = TUNE.rstrip() + "\nCapo: 2\n\n" + TUNE.split("\n\n")[-1].replace("2", "x")
    (tune,) = rollstave.read(text)
    (again,) = rollstave.read(rollstave.write(tune, "musicxml")[0])
    assert pitches_of_dead(tune) == pitches_of_dead(again) != []
    assert {m.change.setup.capo for m in tune.score.measures if m.change and m.change.setup} == {2}


def pitches_of_dead(tune: rollstave.Tune) -> list[int]:
    """The MIDI numbers of the dead notes, in order."""
    return [n.pitch.midi for m in tune.score.measures for e in m.events for n in e.notes if n.muted]


@pytest.mark.parametrize("heading", ["Title: * = muted", "Source: * = muted"])
def test_a_legend_in_a_heading_keeps_the_frets_of_dead_notes(heading: str) -> None:
    (tune,) = rollstave.read(f"{heading}\n{TUNE}".replace("---2---", "---2*--"))
    (again,) = rollstave.read(rollstave.write(tune, "musicxml")[0])
    dead = [n.fret for m in again.score.measures for e in m.events for n in e.notes if n.muted]
    assert dead == [2] * len(pitches_of_dead(tune)) != []


def test_a_short_string_that_is_raised_in_the_middle_is_not_tuned_higher() -> None:
    """Common practice, no source: a spike moves the open note of the string and none of its
    stopped ones, so fret 10 of a string at f# sounds b before and after."""
    rows = "\n".join(f"{s}|{'-10---0---' if s == 'g' else '-0---0----'}|" for s in "DBGDg")
    head = "Title: Tide Gate\nTuning: f#DF#AD\nTime: 2/4\n\n"
    (tune,) = rollstave.read(f"{head}{rows}\n\nFifth string: raised to A\n{rows}\n")
    (again,) = rollstave.read(rollstave.write(tune, "musicxml")[0])
    fifth = [
        [n.pitch.midi for m in t.score.measures for e in m.events for n in e.notes if n.string == 5]
        for t in (tune, again)
    ]
    assert fifth[0] == [71, 66, 71, 69]
    assert fifth[1] == fifth[0]
    assert again.score.measures[1].change == tune.score.measures[1].change
