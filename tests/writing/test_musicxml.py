"""MusicXML: valid by the W3C schema, and read alike by two independent readers."""

from __future__ import annotations

import io
from fractions import Fraction

import music21
import pytest
from lxml import etree

import rollstave
from rollstave.deciding.playback import play_order
from rollstave.score.compare import first_difference
from tests import musicxml_schema, tunes
from tests.outside import partitura

# What partitura does not keep (directions, harmonies) it says by warnings.
pytestmark = pytest.mark.filterwarnings("ignore::UserWarning", "ignore::DeprecationWarning")


def _root(name: str) -> etree._Element:
    return etree.fromstring(tunes.written(name, "musicxml")[0])


def test_valid(name: str) -> None:
    # W3C MusicXML 4.0 XSD from the PyPI package musicxml.
    assert musicxml_schema.errors(_root(name)) == []


def test_the_schema_refuses_what_is_wrong() -> None:
    # The check above can fail: a duration moved behind the voice is against the schema.
    root = _root("ties")
    note = next(n for n in root.iter("note") if n.find("duration") is not None)
    duration = note.find("duration")
    assert duration is not None
    note.append(duration)
    assert musicxml_schema.errors(root)


# music21 -------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def parsed(name: str) -> music21.stream.Score:
    found = music21.converter.parseData(
        tunes.written(name, "musicxml")[0].decode(), format="musicxml"
    )
    assert isinstance(found, music21.stream.Score)
    return found


def _by_music21(part: music21.stream.Part) -> list[tunes.Sounding]:
    """Onset, duration, MIDI number of what music21 reads; tied notes joined by their tie marks."""
    found: list[list[Fraction | int]] = []
    held: dict[tuple[int, Fraction], int] = {}
    for element in part.flatten().notes:
        if isinstance(element, music21.harmony.Harmony):
            continue
        onset = Fraction(element.offset)
        length = Fraction(element.duration.quarterLength)
        members = element.notes if isinstance(element, music21.chord.Chord) else [element]
        for note in members:
            tie = note.tie.type if note.tie else None
            pitch = int(note.pitch.midi)
            if tie in ("stop", "continue"):
                index = held.pop((pitch, onset))
                found[index][1] += length
            else:
                index = len(found)
                found.append([onset, length, pitch])
            if tie in ("start", "continue"):
                held[pitch, onset + length] = index
    assert not held
    return sorted((Fraction(a), Fraction(b), int(c)) for a, b, c in found)


@pytest.mark.parametrize("staff", [1, 2])
def test_music21_reads_the_same(name: str, staff: int, parsed: music21.stream.Score) -> None:
    # music21 10, an independent reader of MusicXML; exact fractions.
    assert len(parsed.parts) == 2
    assert _by_music21(parsed.parts[staff - 1]) == list(tunes.sounding(name))


def test_music21_plays_the_same_order(name: str, parsed: music21.stream.Score) -> None:
    # music21's own expansion of repeats and endings.
    score = tunes.case(name)
    expected = [score.measures[i].number for i in play_order(score.measures)]
    part = parsed.parts[0]
    if not part.recurse().getElementsByClass("Repeat"):
        assert expected == [m.number for m in score.measures]
        return
    played = [m.number for m in part.expandRepeats().getElementsByClass("Measure")]
    assert played == expected


def test_music21_reads_key_meter_and_tempo(name: str, parsed: music21.stream.Score) -> None:
    # music21 10.
    score = tunes.case(name)
    first = parsed.parts[0].getElementsByClass("Measure").first()
    assert first is not None
    assert first.keySignature.sharps == score.key.fifths
    assert first.timeSignature.ratioString == str(score.meter)
    assert not first.keySignature.style.hideObjectOnPrint
    assert not first.timeSignature.style.hideObjectOnPrint
    (mark,) = parsed.parts[0].recurse().getElementsByClass("MetronomeMark")
    assert mark.getQuarterBPM() == pytest.approx(float(score.sounding_tempo))


# partitura -----------------------------------------------------------------------------------


@pytest.mark.parametrize("staff", [1, 2])
def test_partitura_reads_the_same(name: str, staff: int) -> None:
    # partitura 1.9, an independent reader of MusicXML. It matches ties by pitch and time over all
    # staves of a part, so it is given one staff at a time.
    root = _root(name)
    for element in [*root.iter("note"), *root.iter("backup")]:
        if element.findtext("staff") != str(staff):
            parent = element.getparent()
            assert parent is not None
            parent.remove(element)
    part = partitura.load_musicxml(io.BytesIO(etree.tostring(root))).parts[0]
    divisions = int(root.findtext(".//divisions") or "1")
    first = min((p.start.t for p in part.iter_all(partitura.score.Measure)), default=0)
    found = sorted(
        (
            Fraction(int(note.start.t) - first, divisions),
            Fraction(int(note.duration_tied), divisions),
            int(note.midi_pitch),
        )
        for note in part.notes_tied
    )
    assert found == list(tunes.sounding(name))


# What neither reader shows ---------------------------------------------------------------------


def test_strings_frets_and_plucks(name: str) -> None:
    """Every note of the score is on the tab staff once, with its string, fret and finger; a dead
    stroke with a 0."""
    # MusicXML 4.0: string 1 is the highest line; fret 0 is open; pluck holds the finger.
    score = tunes.case(name)
    expected = [
        (note.string, note.fret or 0, note.finger.value.lower() if note.finger else None)
        for measure in score.measures
        for event in measure.events
        for note in sorted(event.notes, key=lambda n: n.string)
    ]
    found: list[tuple[int, int, str | None]] = []
    for note in _root(name).iter("note"):
        technical = note.find("notations/technical")
        tied_on = note.find("tie[@type='stop']") is not None
        if note.findtext("staff") != "2" or technical is None or tied_on:
            continue
        if (fret := technical.findtext("fret")) is not None:
            string = int(technical.findtext("string") or "0")
            found.append((string, int(fret), technical.findtext("pluck")))
    assert found == expected


def test_tab_staff_tuning() -> None:
    # MusicXML 4.0, staff-tuning: "line 1 is the bottom line"; string 5 is drawn there
    # (common practice). gCGBD is G4 C3 G3 B3 D4 (tuning table, octaves by arithmetic).
    details = _root("every-sign").find(".//staff-details")
    assert details is not None
    tuning = {
        int(t.get("line", "0")): f"{t.findtext('tuning-step')}{t.findtext('tuning-octave')}"
        for t in details.iterfind("staff-tuning")
    }
    assert tuning == {1: "G4", 2: "C3", 3: "G3", 4: "B3", 5: "D4"}
    assert details.findtext("staff-lines") == "5"
    assert details.findtext("capo") == "2"


def test_octave_clef_and_instrument() -> None:
    # MusicXML 4.0 clef-octave-change; General MIDI Level 1: program 106, counted from 1, is Banjo.
    root = _root("every-sign")
    clef = root.find(".//clef[@number='1']")
    assert clef is not None
    assert (clef.findtext("sign"), clef.findtext("clef-octave-change")) == ("G", "-1")
    assert root.findtext(".//midi-program") == "106"
    assert root.findtext(".//instrument-sound") == "pluck.banjo"


# Each sign of the tune of every sign, and the element that MusicXML 4.0 has for it.
SIGNS = [
    ("hammer-on[@type='start']", 1),
    ("hammer-on[@type='stop']", 1),
    ("pull-off[@type='start']", 1),
    ("pull-off[@type='stop']", 1),
    ("bend/bend-alter", 2),
    ("harmonic/natural", 2),
]


@pytest.mark.parametrize(("path", "times"), SIGNS)
def test_signs_are_technical_marks(path: str, times: int) -> None:
    # MusicXML 4.0, technical; the number of times each is typed in tunes.SIGNS, counted by hand.
    tab = [n for n in _root("every-sign").iter("note") if n.findtext("staff") == "2"]
    assert sum(len(n.findall(f"notations/technical/{path}")) for n in tab) == times


def test_slides_brushes_heads_and_vibrato() -> None:
    # MusicXML 4.0 slide, scoop, falloff, arpeggiate, notehead, wavy-line; counts by hand.
    tab = [n for n in _root("every-sign").iter("note") if n.findtext("staff") == "2"]
    first = [n for n in tab if n.find("tie[@type='stop']") is None]

    def count(path: str) -> int:
        return sum(len(n.findall(path)) for n in tab)

    # 2/4, 4\2, 2s4
    assert count("notations/slide[@type='start']") == 3
    assert count("notations/slide[@type='stop']") == 3
    assert count("notations/articulations/scoop") == 1  # the slide up to the first note
    assert count("notations/articulations/falloff") == 1  # the slide down from 7
    # Four and five strings are struck at once, none with the sign of a brush.
    assert count("notations/arpeggiate") == 0
    assert sum(1 for n in first if n.findtext("notehead") == "x") == 4
    assert sum(1 for n in first if n.findtext("notehead") == "diamond") == 2
    assert sum(len(n.findall("notehead[@parentheses='yes']")) for n in first) == 1
    assert count("notations/ornaments/wavy-line[@type='start']") == 1


def test_chord_names_with_bass() -> None:
    # MusicXML 4.0 harmony; the names are those typed over the tune of every sign.
    found = [
        (
            h.findtext("root/root-step"),
            h.findtext("kind"),
            (h.findtext("bass/bass-step") or "") + ("#" if h.findtext("bass/bass-alter") else ""),
        )
        for h in _root("every-sign").iter("harmony")
    ]
    assert found[0] == ("D", "major", "F#")
    assert found[1] == ("E", "minor-seventh", "")
    assert found[2][1] == "none"
    assert [f[:2] for f in found[3:]] == [("G", "major"), ("A", "dominant"), ("D", "major")]


def test_music21_names_the_chords_as_typed() -> None:
    # music21 10 reads the harmony elements and finds their tones: D/F# is F# A D, Em7 is E G B D.
    parsed = music21.converter.parseData(
        tunes.written("every-sign", "musicxml")[0].decode(), format="musicxml"
    )
    symbols = list(parsed.recurse().getElementsByClass("ChordSymbol"))
    assert sorted(p.name for p in symbols[0].pitches) == ["A", "D", "F#"]
    assert symbols[0].bass().name == "F#"
    assert sorted(p.name for p in symbols[1].pitches) == ["B", "D", "E", "G"]


def test_frames_show_the_shape() -> None:
    # MusicXML 4.0 frame: fret within the diagram's frets, strings as typed. The C shape of the
    # lantern tune's first measure: string 1 fret 2, string 2 fret 1, strings 4 and 5 open.
    frame = _root("lantern-stairs").find(".//harmony/frame")
    assert frame is not None
    shape = {n.findtext("string"): n.findtext("fret") for n in frame.iter("frame-note")}
    assert {s: shape[s] for s in ("1", "2", "5")} == {"1": "2", "2": "1", "5": "0"}


def test_lyrics_sections_and_words() -> None:
    root = _root("every-sign")
    # MusicXML 4.0 syllabic: "har-" begins a word that "bour" ends.
    lyrics = [(e.findtext("text"), e.findtext("syllabic")) for e in root.iter("lyric")]
    assert lyrics == [
        ("Ring", "single"),
        ("the", "single"),
        ("slow", "single"),
        ("har", "begin"),
        ("bour", "end"),
        ("bell", "single"),
    ]
    assert [e.text for e in root.iter("rehearsal")] == ["A part", "Second strain"]
    words = [e.text for e in root.iter("credit-words")]
    assert "A line of words & <marks> that stays on the sheet." in words
    assert root.findtext("work/work-title") == "Every Sign of the Harbour"
    assert root.findtext("identification/creator[@type='composer']") == "Larkspur Ferry school"
    assert root.findtext("identification/source") == "the sign sheet, page 1"


def test_both_staves_fill_each_measure(name: str) -> None:
    # MusicXML 4.0: backup goes back over the whole first staff, so both voices end together.
    score = tunes.case(name)
    root = _root(name)
    divisions = int(root.findtext(".//divisions") or "0")
    for element, measure in zip(root.iter("measure"), score.measures, strict=True):
        for staff in ("1", "2"):
            total = sum(
                int(n.findtext("duration") or "0")
                for n in element.iterfind("note")
                if n.find("chord") is None and n.findtext("staff") == staff
            )
            assert Fraction(total, divisions) == measure.length


def test_the_writer_takes_a_tune_or_a_score() -> None:
    tune = tunes.signs()
    assert rollstave.write(tune, "musicxml") == rollstave.write(tune.score, "musicxml")


HIGH = (
    "Title: Gull Heights\nTuning: gDGBD\nKey: G\nTime: 4/4\n"
    "Pace: Briskly, with the wind.\n\n"
    "D|-0---20--22--20--|-0---2---0---2---|\n"
    + "".join(f"{n}|-----------------|-----------------|\n" for n in "BGD")
    + "g|-----------------|-----------------|\n"
)


def test_octave_shifts_stand_around_what_is_written_lower() -> None:
    """MusicXML 4.0, octave-shift: ``down`` for a passage under 8va, ``stop`` after its last note.
    Pitches stay: fret 20 of D4 is Bb5, which the clef has written an octave higher."""
    (tune,) = rollstave.read(HIGH)
    root = etree.fromstring(rollstave.write(tune, "musicxml")[0])
    assert musicxml_schema.errors(root) == []
    measure = root.find("part/measure")
    assert measure is not None
    order = []
    for child in measure:
        if (shift := child.find("direction-type/octave-shift")) is not None:
            order.append((shift.get("type"), shift.get("size")))
        elif child.tag == "note" and child.findtext("staff") == "1":
            order.append((child.findtext("pitch/step"), child.findtext("pitch/octave")))
    assert order == [
        ("D", "4"),
        ("down", "8"),
        ("B", "5"),
        ("C", "6"),
        ("B", "5"),
        ("stop", "8"),
    ]
    # As partitura has it, and read back.
    part = partitura.load_musicxml(io.BytesIO(etree.tostring(root))).parts[0]
    assert max(int(n.midi_pitch) for n in part.notes) == 62 + 22
    (again,) = rollstave.read(etree.tostring(root))
    assert first_difference(tune.score, again.score) is None
    assert not [p for p in again.problems if "octave-shift" in p.message]


def test_words_of_the_tempo_stand_over_the_beginning() -> None:
    (tune,) = rollstave.read(HIGH)
    data = rollstave.write(tune, "musicxml")[0]
    root = etree.fromstring(data)
    (words,) = root.iterfind("part/measure[@number='1']/direction/direction-type/words")
    assert (words.text, words.get("font-weight")) == ("Briskly, with the wind.", "bold")
    assert not list(root.iter("miscellaneous-field"))
    found = music21.converter.parseData(data, format="musicxml").flatten()
    said = [m.text for m in found.getElementsByClass("MetronomeMark") if m.text]
    said += [t.content for t in found.getElementsByClass("TextExpression")]
    assert "Briskly, with the wind." in said
    (again,) = rollstave.read(data)
    assert dict(again.score.said)["pace"] == "Briskly, with the wind."


def test_a_cautionary_accidental_is_in_parentheses() -> None:
    # F#4 then F4 in C, over a bar line (Gould, Behind Bars, 2011, from memory). MusicXML 4.0 and
    # MEI 5.1 have words for it; music21 reads those of MusicXML.
    text = "Tuning: gCGBD\nKey: C\nTime: 4/4\n\n" + "\n".join(
        (
            "D|-4---0---|-3---0---|",
            *(f"{name}|---------|---------|" for name in "BGC"),
            "g|---------|---------|",
        )
    )
    (tune,) = rollstave.read(text)
    (xml,) = rollstave.write(tune, "musicxml")
    signs = [
        (a.text, a.get("cautionary"), a.get("parentheses"))
        for a in etree.fromstring(xml).iter("accidental")
    ]
    assert signs == [("sharp", None, None), ("natural", "yes", "yes")]
    found = music21.converter.parseData(xml.decode(), format="musicxml")
    notes = [n for n in found.parts[0].flatten().notes if n.pitch.step == "F"]
    assert [n.pitch.accidental.displayStyle for n in notes] == ["normal", "parentheses"]
    (mei,) = rollstave.write(tune, "mei")
    warned = [
        (a.get("accid"), a.get("enclose"))
        for a in etree.fromstring(mei).iter("{*}accid")
        if a.get("func") == "caution"
    ]
    assert warned == [("n", "paren")]
