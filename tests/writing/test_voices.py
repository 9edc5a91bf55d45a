"""Two voices in every format: what Verovio, partitura and the text itself say of them.

The measures are those of :mod:`tests.musicxml_in.test_voices`, written by music21. That stems of
the first voice go up and of the second down, and that one rest is enough where both rest, is common
practice (Gould, Behind Bars, 2011, from memory).
"""

from __future__ import annotations

import io
import json
import re
from fractions import Fraction
from pathlib import Path

import mido
import pytest
import verovio
from lxml import etree
from msgspec.structs import replace

import rollstave
from rollstave.score.compare import first_difference
from rollstave.writing.page.timing import play_data
from tests.musicxml_in.test_voices import CASES, ROLL, file_of, wanted

MEI = "{http://www.music-encoding.org/ns/mei}"
SVG = "{http://www.w3.org/2000/svg}"
GUITAR = """Instrument: guitar
Time: 4/4
{heading}
E|-0-3-0-3-0-3-0-3-|-3---1---0-------|
B|-----------------|-----------------|
G|---------0-------|-----0---------0-|
D|-0---------------|-0-------2-------|
A|-----------------|-----------------|
E|-----------------|-----------------|
   1 & 2 & 3 & 4 &   1   2   3   4 &
{under}"""


def tune_of(name: str, times: int = 2) -> rollstave.Tune:
    (tune,) = rollstave.read(file_of(CASES[name], times))
    return tune


def typed(heading: str = "", under: str = "") -> rollstave.Tune:
    (tune,) = rollstave.read(GUITAR.format(heading=heading, under=under))
    return tune


def second(tune: rollstave.Tune) -> list[list[tuple[Fraction, int, Fraction]]]:
    """The second voice, measure by measure: onset, string and how long each note is held."""
    return [
        [
            (e.onset, n.string, e.duration if n.lasts is None else n.lasts)
            for e in measure.events
            for n in e.notes
            if n.voice == 2
        ]
        for measure in tune.score.measures
    ]


def _sung_in_two_voices() -> tuple[rollstave.Score, list[str]]:
    """A tune of two voices with a syllable at each stroke of its first measure, and those."""
    score = typed(under="V2 h       h").score
    measure = score.measures[0]
    assert any(len({n.voice for n in e.notes}) > 1 for e in measure.events), "both strike at once"
    syllables = [f"la{number}" for number in range(len(measure.events))]
    events = tuple(
        replace(event, lyric=said) for event, said in zip(measure.events, syllables, strict=True)
    )
    first = replace(measure, events=events)
    return replace(score, measures=(first, *score.measures[1:])), syllables


def test_a_syllable_is_sung_once_where_both_voices_strike() -> None:
    """One syllable a stroke and verse: music21 finds each once among the notes of both voices, and
    the sheet's MEI has one ``syl`` for each."""
    from music21 import converter

    score, syllables = _sung_in_two_voices()
    part = converter.parseData(rollstave.write(score, "musicxml")[0], format="musicxml").parts[0]
    found = [lyric.text for note in part.recurse().notes for lyric in note.lyrics]
    assert sorted(found) == sorted(syllables)
    mei = etree.fromstring(rollstave.write(score, "mei")[0])
    said = [e.text for e in mei.iter("{http://www.music-encoding.org/ns/mei}syl")]
    assert sorted(map(str, said)) == sorted(syllables)


# MEI ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", CASES)
def test_verovio_hears_each_note_as_long_as_it_is_held(name: str) -> None:
    toolkit = verovio.toolkit()
    assert toolkit.loadData(rollstave.write(tune_of(name, 1), "mei")[0].decode())
    found: dict[str, list[float]] = {}
    for moment in json.loads(json.dumps(toolkit.renderToTimemap())):
        for key in ("on", "off"):
            for one in moment.get(key, []):
                found.setdefault(one, []).append(moment["qstamp"])
    heads = {i: t for i, t in found.items() if re.match(r"n0-\d+-\d+-\d$", i)}
    struck: dict[str, list[float]] = {}  # without the tied part
    for one, (on, off) in sorted(heads.items(), key=lambda item: item[1]):
        key = re.sub(r"-\d+(-\d)$", r"\1", one)
        struck.setdefault(key, [on, off])[1] = off
    expected = sorted((on, on + last) for notes in CASES[name] for on, _, last in wanted(notes))
    assert sorted(tuple(times) for times in struck.values()) == expected


@pytest.mark.parametrize("name", CASES)
def test_staff_and_tab_have_a_layer_for_each_voice(name: str) -> None:
    root = etree.fromstring(rollstave.write(tune_of(name), "mei")[0])
    for staff in root.iter(f"{MEI}staff"):
        layers = staff.findall(f"{MEI}layer")
        assert [layer.get("n") for layer in layers] == ["1", "2"]
        for layer, stem in zip(layers, ("up", "down"), strict=True):
            assert {n.get("stem.dir") for n in layer.iter(f"{MEI}note")} <= {stem, None}


def test_a_rest_of_both_voices_is_seen_once() -> None:
    (tune,) = rollstave.read(file_of(([(62, 2), (None, 2)], [(50, 2), (None, 2)]), 1))
    root = etree.fromstring(rollstave.write(tune, "mei")[0])
    staff = next(root.iter(f"{MEI}staff"))
    first, other = staff.findall(f"{MEI}layer")
    assert len(list(first.iter(f"{MEI}rest"))) == 1
    assert not list(other.iter(f"{MEI}rest"))
    assert len(list(other.iter(f"{MEI}space"))) == 1


def test_an_accidental_of_one_voice_holds_for_the_staff() -> None:
    """F sharp in the first voice, then F in the second: a natural is needed (Gould)."""
    (tune,) = rollstave.read(file_of(([(66, 1), (66, 1), (64, 2)], [(None, 1), (65, 3)]), 1))
    root = etree.fromstring(rollstave.write(tune, "mei")[0])
    staff = next(root.iter(f"{MEI}staff"))
    written = [n.get("accid") for n in staff.iter(f"{MEI}note") if n.get("pname") == "f"]
    assert written[:2] == ["s", None] or written[:2] == ["s", "s"]
    assert "n" in written[2:]


# MusicXML -----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", CASES)
@pytest.mark.filterwarnings("ignore")
def test_partitura_reads_both_voices(name: str, tmp_path: Path) -> None:
    import partitura

    path = tmp_path / "two.musicxml"
    path.write_bytes(rollstave.write(tune_of(name, 1), "musicxml")[0])
    notes = partitura.load_musicxml(path).note_array(include_staff=True)
    found = sorted(
        (float(n["onset_quarter"]), int(n["pitch"]), float(n["duration_quarter"]))
        for n in notes
        if n["staff"] == 1
    )
    # The staff is written as it sounds, an octave sign in its clef (MusicXML 4.0).
    assert found == sorted(note for voice in CASES[name] for note in wanted(voice))


# Text ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", CASES)
def test_text_says_both_voices(name: str) -> None:
    tune = tune_of(name)
    (back,) = rollstave.read(rollstave.write(tune, "text")[0])
    assert first_difference(tune.score, back.score) is None
    assert not [p for p in back.problems if p.severity is not rollstave.Severity.NOTICE]


def test_a_heading_gives_strings_to_the_second_voice() -> None:
    tune = typed("Voices: strings 3 to 6")
    first, other = second(tune)
    assert first == [(0, 4, 2), (2, 3, 2)]
    assert other == [(0, 4, 1), (1, 3, 1), (2, 4, 1.5), (3.5, 3, 0.5)]
    again = rollstave.read(rollstave.write(tune, "text")[0])[0]
    assert "Voices: strings 3-4" in rollstave.write(tune, "text")[0].decode()
    assert first_difference(tune.score, again.score) is None


def test_a_line_says_how_long_a_bass_is_held() -> None:
    """Whatever it says goes before the heading; the rest is as the heading has it."""
    assert second(typed(under="V2 h       h")) == [[(0, 4, 2), (2, 3, 2)], []]
    tune = typed("Voices: strings 3-6", "V2 q")
    assert second(tune)[0] == [(0, 4, 1), (2, 3, 2)]
    assert second(typed(under="V2 4w")) == [[(0, 4, 4)], []]


def test_a_heading_holds_until_another() -> None:
    text = GUITAR.format(heading="Voices: strings 3-6", under="") + "\nVoices: one\n"
    rows = GUITAR.format(heading="", under="").split("\n", 2)[2]
    (tune,) = rollstave.read(text + rows)
    assert [bool(notes) for notes in second(tune)] == [True, True, False, False]


def test_what_is_not_understood_is_said() -> None:
    tune = typed("Voices: like a choir")
    (said,) = [p for p in tune.problems if p.code == "voices"]
    assert "strings 4-6" in said.message
    assert second(tune) == [[], []]


def test_what_text_cannot_hold_is_said() -> None:
    """A sixty-fourth has no letter, so how long the bass is held is lost, with its measure."""
    voices = (ROLL, [(50, 2.0625), (None, 1.9375)])
    (tune,) = rollstave.read(file_of(voices, 1))
    (said,) = [p.message for p in tune.problems if p.code == "typed-otherwise"]
    assert "measure 1" in said
    (back,) = rollstave.read(rollstave.write(tune, "text")[0])
    assert first_difference(tune.score, back.score) == "measure 1"


# Page and MIDI ------------------------------------------------------------------------------


def test_the_page_marks_what_another_voice_holds() -> None:
    events = play_data(tune_of("two basses", 1).score)["measures"][0]["events"]
    held = [[one for one in event.get("under", []) if one.startswith("n")] for event in events]
    strings = [[int(one.rsplit("-", 1)[1]) for one in ids] for ids in held]
    low = [n["string"] for n in events[0]["notes"] if n["midi"] == 50]
    assert strings[1:4] == [low, low, low]
    assert len(strings[5]) == 1
    assert strings[0] == []


@pytest.mark.parametrize("name", CASES)
def test_midi_holds_each_voice(name: str) -> None:
    file = mido.MidiFile(file=io.BytesIO(rollstave.write(tune_of(name, 1), "midi")[0]))
    now, sounding, found = 0, {}, []
    for message in file.tracks[0]:
        now += message.time
        if message.type == "note_on":
            sounding[message.note] = now
        elif message.type == "note_off":
            began = sounding.pop(message.note)
            found.append((began / 480, message.note, (now - began) / 480))
    assert sorted(found) == sorted(n for voice in CASES[name] for n in wanted(voice))


# The sheet ----------------------------------------------------------------------------------


def test_stems_of_the_second_voice_hang_under_the_tab() -> None:
    root = etree.fromstring(rollstave.write(tune_of("two basses", 1), "svg")[0])
    lines = [e for e in root.iter(f"{SVG}path") if e.get("class") == "line"]
    ys = [float(re.findall(r"-?[\d.]+", line.get("d", ""))[1]) for line in lines]
    stems = [
        [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", path.get("d", ""))]
        for group in root.iter(f"{SVG}g")
        if group.get("class") == "stem"
        for path in group.iterfind(f"{SVG}path")
    ]
    on_tab = [stem for stem in stems if stem[1] > min(ys) - 500]
    under = [stem for stem in on_tab if min(stem[1], stem[3]) > max(ys)]
    assert len(under) == 2
    assert len(on_tab) == 10
