"""MusicXML in: the project's own files, and melodies of music21 without string and fret.

music21 is the outside judge where frets are searched: it writes the file that is read, and reads
back the file that is written.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import rollstave
from rollstave.instruments.setup import Setup
from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.musicxml_in.fretting import Unplayable, find_frets, places_of
from rollstave.score.compare import essence, first_difference
from tests.amount import some
from tests.tunes import SAMPLES, SIGNS

OPEN_G = Setup(FIVE_STRING_BANJO, FIVE_STRING_BANJO.default)


def through_musicxml(text: str | bytes) -> tuple[rollstave.Score, rollstave.Score]:
    (tune,) = rollstave.read(text)
    (again,) = rollstave.read(rollstave.write(tune, "musicxml")[0])
    return tune.score, again.score


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_text_to_musicxml_to_text_gives_the_same_tab(path: Path) -> None:
    before, after = through_musicxml(path.read_bytes())
    assert rollstave.write(after, "text") == rollstave.write(before, "text")
    assert essence(after) == essence(before)


def test_every_sign_survives() -> None:
    before, after = through_musicxml(SIGNS)
    assert first_difference(before, after) is None


def test_repeats_da_capo_and_fine_survive() -> None:
    text = (
        "Title: Two Quays\nTuning: open G\nTime: 4/4\nKey: G\n\nA part\n"
        + "".join(f"{s}|-0---2---0---2---|\n" for s in "DBGDg").replace(
            "g|-0---2---0---2", "g|-0---7---0---7"
        )
        + "Play 3 times\n\nFine\n\nB part\n"
        + "".join(f"{s}|-2---0---2---0---|\n" for s in "DBGDg").replace(
            "g|-2---0---2", "g|-7---0---7"
        )
        + "\nD.C. al Fine\n"
    )
    before, after = through_musicxml(text)
    assert [(m.times, m.fine, m.jump) for m in before.measures] == [
        (3, True, None),
        (None, False, "D.C. al Fine"),
    ]
    assert essence(after) == essence(before)


def test_let_ring_survives() -> None:
    text = (
        "Title: Two Quays\nTuning: open G\nTime: 4/4\nKey: G\n\n(2) = let ring\n\n"
        "D|-0---(2)-0---2---|\n" + "".join(f"{s}|-----------------|\n" for s in "BGDg")
    )
    before, after = through_musicxml(text)
    rings = [n.let_ring for m in before.measures for e in m.events for n in e.notes]
    assert rings == [False, True, False, False]
    assert essence(after) == essence(before)


def melody(midi: list[int]) -> bytes:
    """A melody of quarter notes as music21 writes it, without string and fret."""
    from music21 import meter, musicxml, note, stream

    part = stream.Part()
    part.append(meter.TimeSignature("4/4"))
    for number in midi:
        part.append(note.Note(number, quarterLength=1))
    exporter = musicxml.m21ToXml.GeneralObjectExporter(part)
    data: bytes = exporter.parse()
    return data


def heard(score: rollstave.Score) -> list[int]:
    return [n.pitch.midi for m in score.measures for e in m.events for n in e.notes]


@settings(max_examples=some(8, 25), deadline=None)
@given(st.lists(st.integers(50, 84), min_size=1, max_size=24))
def test_a_melody_without_frets_becomes_a_tab_that_sounds_the_same(midi: list[int]) -> None:
    from music21 import converter

    (tune,) = rollstave.read(melody(midi))
    assert heard(tune.score) == midi
    (tab,) = rollstave.read(rollstave.write(tune, "text")[0])
    assert heard(tab.score) == midi
    back = converter.parseData(rollstave.write(tab, "musicxml")[0])
    staff = back.parts[0].flatten().stripTies().notes
    sounding = [n for n in staff if "ChordSymbol" not in n.classes]
    assert [p.midi for n in sounding for p in n.pitches] == midi


def test_frets_that_are_found_sound_the_notes() -> None:
    for midi in range(50, 85):
        for string, fret in places_of(midi, OPEN_G):
            assert OPEN_G.midi(string, fret) == midi


def test_open_strings_are_easiest_and_the_drone_is_no_melody_string() -> None:
    """D4 B3 G3 are open strings 1 to 3 of open G; G4 is string 5 open or fret 5 of string 1."""
    assert find_frets([[62], [59], [55]], OPEN_G) == [((1, 0),), ((2, 0),), ((3, 0),)]
    (grip,) = find_frets([[67, 62, 59]], OPEN_G)
    assert len({string for string, _ in grip}) == 3


def test_what_is_beyond_the_neck_is_an_error_in_words() -> None:
    with pytest.raises(Unplayable):
        find_frets([[40]], OPEN_G)
    with pytest.raises(rollstave.TabError, match="measure 1: C2 cannot be played"):
        rollstave.read(melody([36]))


def test_broken_xml_is_an_error_with_a_place() -> None:
    data = rollstave.write(rollstave.read(SAMPLES[0])[0], "musicxml")[0]
    with pytest.raises(rollstave.TabError) as caught:
        rollstave.read(data[: len(data) // 2])
    (problem,) = caught.value.problems
    assert problem.place is not None


def note_xml(step: str, octave: int, duration: int, ties: str = "", chord: bool = False) -> str:
    marks = "".join(f'<tie type="{t}"/>' for t in ties.split())
    return (
        f"<note>{'<chord/>' if chord else ''}<pitch><step>{step}</step><octave>{octave}</octave>"
        f"</pitch><duration>{duration}</duration>{marks}</note>"
    )


def struck(*measures: str) -> list[list[tuple[str, list[int]]]]:
    """Onset and MIDI numbers of what is struck in each measure, two divisions to a quarter."""
    return [
        [(str(e.onset), pitches) for e in m.events if (pitches := _struck_at(e))]
        for m in read_measures(*measures)
    ]


def _struck_at(event: rollstave.Event) -> list[int]:
    return sorted(n.pitch.midi for n in event.notes if n.link is not rollstave.Link.TIE)


def read_measures(*measures: str) -> tuple[rollstave.Measure, ...]:
    """The measures that are read from the notes of each."""
    parts = "".join(f'<measure number="{n}">{m}</measure>' for n, m in enumerate(measures, 1))
    data = (
        '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>P</part-name>'
        f"</score-part></part-list><part id='P1'>{parts}</part></score-partwise>"
    ).replace(
        '<measure number="1">',
        '<measure number="1"><attributes><divisions>2</divisions>'
        "<time><beats>4</beats><beat-type>4</beat-type></time></attributes>",
    )
    (tune,) = rollstave.read(data.encode())
    return tune.score.measures


def test_a_tie_over_the_bar_may_go_on() -> None:
    """MusicXML 4.0, ``tie``: what a tie leads to is not struck again. 71 is B4."""
    first = note_xml("D", 4, 6) + note_xml("B", 4, 2, "start")
    second = note_xml("B", 4, 2, "stop start") + note_xml("B", 4, 2, "stop") + note_xml("D", 4, 4)
    assert struck(first, second) == [[("0", [62]), ("3", [71])], [("2", [62])]]


def test_what_is_tied_over_a_bar_is_held_there() -> None:
    """The note has its time in both measures, on one string, and is struck in the first."""
    first = note_xml("D", 4, 6) + note_xml("B", 4, 2, "start")
    second = note_xml("B", 4, 4, "stop") + note_xml("D", 4, 4)
    before, held = (m.events for m in read_measures(first, second))
    (struck_note,), (held_note,) = before[-1].notes, held[0].notes
    assert held_note.link is rollstave.Link.TIE
    assert held[0].duration == 2
    assert (held_note.string, held_note.fret) == (struck_note.string, struck_note.fret)


def test_a_tie_may_lead_over_a_gap() -> None:
    """Notation programs leave gaps where they cut a long note; the tie still says what it says."""
    gap = "<forward><duration>2</duration></forward>"
    first = note_xml("B", 4, 2, "start") + gap + note_xml("B", 4, 2, "stop") + note_xml("D", 4, 2)
    assert struck(first) == [[("0", [71]), ("3", [62])]]


def test_a_unison_is_played_on_two_strings_where_the_neck_has_them() -> None:
    """By arithmetic: open string 1 and fret 3 of string 2 are both D4 (62)."""
    assert struck(note_xml("D", 4, 8) + note_xml("D", 4, 8, chord=True)) == [[("0", [62, 62])]]


def test_a_unison_that_no_grip_has_is_played_once_and_said() -> None:
    """By arithmetic: D3 (50) is the open fourth string and nothing else."""
    assert struck(note_xml("D", 3, 8) + note_xml("D", 3, 8, chord=True)) == [[("0", [50])]]


@pytest.mark.parametrize("tuning", ["gCGBD", "gCGBE", "gCGCF", "eAEAB"])
@pytest.mark.parametrize("capo", ["", "Capo: 2\n"])
@pytest.mark.parametrize("short", ["", "Fifth string: raised to A\n", "Fifth string: open\n"])
def test_a_tuning_comes_back_with_its_capos(tuning: str, capo: str, short: str) -> None:
    """With a name or without; a staff's tuning holds what the short string is raised by."""
    rows = "1|--0-----0-|\n2|----1-----|\n3|------0---|\n4|----------|\n5|--------0-|\n"
    text = f"Tuning: {tuning}\nTime: 4/4\n{capo}{short}\n{rows}"
    tune = rollstave.read(text)[0]
    again = rollstave.read(rollstave.write(tune, "musicxml")[0])[0]
    assert again.score.setup == tune.score.setup


@pytest.mark.parametrize("count", [16, 17, 500])
def test_grace_notes_by_the_hundred_are_no_ornament(count: int) -> None:
    note = "<pitch><step>G</step><octave>4</octave></pitch>"
    data = (
        '<score-partwise><part-list><score-part id="P"><part-name>B</part-name></score-part>'
        '</part-list><part id="P"><measure><attributes><divisions>1</divisions></attributes>'
        f"{f'<note><grace/>{note}</note>' * count}"
        f"<note>{note}<duration>4</duration></note></measure></part></score-partwise>"
    )
    tune = rollstave.read(data)[0]
    assert len(tune.score.measures[0].events[0].grace) == 16
    assert any("grace notes are left out" in p.message for p in tune.problems) == (count > 16)


@pytest.mark.parametrize(
    ("string", "struck", "kept"),
    [
        # gDGBD: F4 is 3 on string 1 or 6 on string 2; E5 is 14 or 17, G5 is 17 or 20 there.
        (1, (("F4", 3), ("D4", 0)), {(2, 6), (1, 0)}),
        (1, (("E5", 14), ("G5", 17)), {(2, 17), (1, 17)}),
        # Only string 4 goes so low.
        (4, (("D3", 0), ("E3", 2)), {(4, 0)}),
    ],
)
def test_two_notes_at_once_on_one_string(
    string: int, struck: tuple[tuple[str, int], ...], kept: set[tuple[int, int]]
) -> None:
    """Another place for one of them, or the first alone: a string sounds one note at a time."""
    notes = "".join(
        f"<note>{'<chord/>' * bool(n)}<pitch><step>{name[0]}</step><octave>{name[1]}</octave>"
        f"</pitch><duration>4</duration><notations><technical><string>{string}</string>"
        f"<fret>{fret}</fret></technical></notations></note>"
        for n, (name, fret) in enumerate(struck)
    )
    data = (
        '<score-partwise><part-list><score-part id="P"><part-name>B</part-name></score-part>'
        '</part-list><part id="P"><measure><attributes><divisions>1</divisions></attributes>'
        f"{notes}</measure></part></score-partwise>"
    )
    (tune,) = rollstave.read(data)
    (event,) = tune.score.measures[0].events
    assert {(n.string, n.fret) for n in event.notes} == kept
    assert len(event.notes) == len(kept)
    assert "one-string" in {p.code for p in tune.problems}
