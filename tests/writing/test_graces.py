"""Grace notes: every writer, against independent readers, and where they stand on the sheet."""

from __future__ import annotations

import io
import re
from fractions import Fraction

import mido
import music21
import pytest
from lxml import etree

import rollstave
from rollstave.grid.typed import Link
from rollstave.score.compare import essence
from rollstave.score.records import Score
from rollstave.writing.options import SheetOptions, View
from tests import musicxml_schema
from tests.outside import partitura

SVG = "{http://www.w3.org/2000/svg}"

pytestmark = pytest.mark.filterwarnings("ignore::UserWarning", "ignore::DeprecationWarning")

# One before its note with and without a sign, one before another string, two in a row, two at
# once, one at the first note of a beam and one inside it, a flat that the grace note needs.
TAB = """Title: The Snipe on the Sluice
Tuning: gDGBD
Key: G
Time: 4/4

D|------0-------------0----------0-|-{2}2-------0-----------------0-|
B|----------{3}3-----------0-------|-{1}1---0-----------0-----------|
G|-{3}h4-------------{2}s4-----0---|-------------{2}{3}p0-----------|
D|----------------{5}-----------0--|--------------------------------|
g|-----------------0---------------|----------------------------0---|
      1 &   2     & 3  &   4   &       1   &   2   &   3     4   &
"""

# (notes of the group, how each leads on), in the order of their events, from the text above.
EXPECTED = [
    [((3, 3, Link.HAMMER_ON),)],
    [((2, 3, None),)],
    [((4, 5, None),)],
    [((3, 2, Link.SLIDE),)],
    [((1, 2, None), (2, 1, None))],
    [((3, 2, None),), ((3, 3, Link.PULL_OFF),)],
]


def score() -> Score:
    (tune,) = rollstave.read(TAB)
    return tune.score


def graces(of: Score) -> list[list[tuple[tuple[int, int, Link | None], ...]]]:
    return [
        [tuple((n.string, n.fret, n.leads) for n in group) for group in event.grace]
        for measure in of.measures
        for event in measure.events
        if event.grace
    ]


def test_read_and_their_notes_keep_their_time() -> None:
    found = score()
    assert graces(found) == EXPECTED
    for measure in found.measures:
        assert sum((e.duration for e in measure.events), Fraction(0)) == 4


def test_pitches() -> None:
    # By arithmetic from G3 D4 B3 D3: fret 3 of G3 is A sharp or B flat, fret 5 of D3 is G3.
    pitches = [n.pitch.midi for m in score().measures for e in m.events for g in e.grace for n in g]
    assert pitches == [58, 62, 55, 57, 64, 60, 57, 58]


def test_text_and_musicxml_come_back() -> None:
    for kind in ("text", "musicxml"):
        (made,) = rollstave.write(score(), kind)
        (again,) = rollstave.read(made)
        assert graces(again.score) == EXPECTED, kind
        assert essence(again.score)[2:] == essence(score())[2:], kind


def test_musicxml_is_valid() -> None:
    # W3C MusicXML 4.0 XSD from the PyPI package musicxml.
    root = etree.fromstring(rollstave.write(score(), "musicxml")[0])
    assert musicxml_schema.errors(root) == []
    assert len(root.findall(".//grace")) == 2 * 8  # both staves


def test_music21_and_partitura_find_them() -> None:
    made = rollstave.write(score(), "musicxml")[0]
    wanted = [58, 62, 55, 57, 60, 64, 57, 58]
    for part in music21.converter.parseData(made.decode(), format="musicxml").parts:
        small = [n for n in part.flatten().notes if n.duration.isGrace]
        assert [p.midi for n in small for p in sorted(n.pitches)] == wanted
    read = partitura.load_musicxml(io.BytesIO(made))
    found = [n for n in read.parts[0].iter_all(partitura.score.GraceNote) if n.staff == 1]
    assert sorted(n.midi_pitch for n in found) == sorted(wanted)


def test_a_grace_note_without_a_fret_is_placed_near_its_note() -> None:
    # B flat 3 before B3 with nothing but pitches: fret 3 of the G string leads to fret 4 of it,
    # or to the open B string (pitch table of the tuning).
    xml = """<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>x</part-name>
    </score-part></part-list><part id="P1"><measure number="1"><attributes><divisions>1</divisions>
    <time><beats>1</beats><beat-type>4</beat-type></time></attributes>
    <note><grace/><pitch><step>B</step><alter>-1</alter><octave>3</octave></pitch></note>
    <note><pitch><step>B</step><octave>3</octave></pitch><duration>1</duration></note>
    </measure></part></score-partwise>"""
    (tune,) = rollstave.read(xml.encode())
    assert graces(tune.score) == [[((3, 3, None),)]]


def test_midi_takes_their_time_from_the_note() -> None:
    # mido reads it: the grace note on the beat, its note later, the next note where it was.
    file = mido.MidiFile(file=io.BytesIO(rollstave.write(score(), "midi")[0]))
    now, on = 0, []
    for message in file.tracks[0]:
        now += message.time
        if message.type == "note_on" and message.velocity:
            on.append((now, message.note, message.velocity))
    assert [(t, n) for t, n, _ in on[:3]] == [(0, 58), (60, 59), (240, 62)]
    assert on[1][2] < on[0][2]  # hammered on, not picked
    assert len(on) == 8 + sum(len(e.notes) for m in score().measures for e in m.events)


def test_mei_has_them_on_both_staves() -> None:
    root = etree.fromstring(rollstave.write(score(), "mei")[0])
    mei = "{http://www.music-encoding.org/ns/mei}"
    small = [e for e in root.iter() if e.get("grace")]
    # MEI 5.1, att.graced: a chord or a group carries it for its notes.
    assert len([e for e in small if e.tag == f"{mei}tabGrp"]) == 7
    assert len([e for e in small if e.tag in (f"{mei}note", f"{mei}chord")]) == 7


@pytest.mark.parametrize("view", list(View))
def test_small_in_front_and_on_their_lines(view: View) -> None:
    (page,) = rollstave.write(score(), "svg", SheetOptions(view=view))
    root = etree.fromstring(page)
    heads = {str(e.get("id")).removeprefix("rs-"): e for e in root.iter(f"{SVG}g") if e.get("id")}
    places = {k.partition("the-snipe-on-the-sluice-")[2] or k: v for k, v in heads.items()}
    seen = 0
    for measure in score().measures:
        for index, event in enumerate(measure.events):
            for number, group in enumerate(event.grace):
                for note in group:
                    at = f"{measure.index}-{index}-g{number}-{note.string}"
                    main = f"{measure.index}-{index}-0-{event.notes[0].string}"
                    if view.has_tab:
                        small, large = (places[f"t{k}"].find(f"{SVG}text") for k in (at, main))
                        assert small is not None
                        assert large is not None
                        assert small.text == note.fret_text
                        size = float(str(small.get("font-size")))
                        assert size < 0.8 * float(str(large.get("font-size")))
                        assert float(str(small.get("x"))) < float(str(large.get("x"))) - size / 2
                        seen += 1
                    if view.has_staff:
                        use = places[f"n{at}"].find(f".//{SVG}use")
                        assert use is not None
                        assert "scale(0.54" in str(use.get("transform"))  # a full head has 0.72
                        seen += 1
    assert seen == 8 * (view.has_tab + view.has_staff)
    stems = [p for p in root.iter(f"{SVG}path") if p.get("class") == "grace"]
    assert bool(stems) == view.has_staff


def test_the_key_names_them_only_where_there_are_some() -> None:
    (page,) = rollstave.write(score(), "svg")
    assert b"grace note" in page
    (plain,) = rollstave.write(rollstave.read(TAB.replace("{3}h4", "----4"))[0], "svg")
    assert b"grace note" in plain  # others are left
    none = re.sub(r"\{\d\}", "---", TAB).replace("---h", "----").replace("---s", "----")
    (page,) = rollstave.write(rollstave.read(none.replace("---p", "----"))[0], "svg")
    assert b"grace note" not in page


def test_their_letters_stay_with_the_note() -> None:
    # The note that a grace note leads to is struck in its place: it keeps its picking letter.
    first = score().measures[0].events[0].notes[0]
    assert first.link is None
    assert first.finger is not None
