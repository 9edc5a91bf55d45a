"""What music21, partitura and Verovio find in the MusicXML of a score that has every sign.

Each table is worked out by hand from the score in ``everything.py`` and MusicXML 4.0; what no
reader keeps is looked for in the file itself. Readers: music21 10, partitura 1.9, Verovio 6.4.
"""

from __future__ import annotations

import io
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

import music21
import pytest
from lxml import etree
from msgspec.structs import replace

import rollstave
from rollstave.instruments.setup import Setup
from rollstave.notating.layout import system_starts
from rollstave.notating.notation import notate
from rollstave.score.records import Score
from rollstave.writing.musicxml.document import write_musicxml
from tests import tunes
from tests.outside import partitura
from tests.writing import everything, generated

# What partitura does not keep it says by warnings.
pytestmark = pytest.mark.filterwarnings("ignore::UserWarning", "ignore::DeprecationWarning")
BOTH = pytest.mark.parametrize("staff", [1, 2])

# The second and third strings are on both staves, so that a mistake on either is seen.
GENERATED = (3, 10)


@pytest.fixture(scope="module")
def root() -> etree._Element:
    return etree.fromstring(everything.written("musicxml"))


@pytest.fixture(scope="module")
def stream() -> music21.stream.Score:
    found = music21.converter.parseData(everything.written("musicxml").decode(), format="musicxml")
    assert isinstance(found, music21.stream.Score)
    return found


@pytest.fixture(scope="module")
def part() -> Any:
    return partitura.load_musicxml(io.BytesIO(everything.written("musicxml"))).parts[0]


@pytest.fixture(scope="module")
def mei() -> etree._Element:
    """What Verovio makes of the file."""
    import verovio

    toolkit = verovio.toolkit()
    toolkit.setOptions({"breaks": "encoded", "header": "none", "footer": "none"})
    assert toolkit.loadData(everything.written("musicxml").decode())
    return etree.fromstring(toolkit.getMEI().encode())


def _measures(stream: music21.stream.Score, staff: int) -> list[music21.stream.Measure]:
    return list(stream.parts[staff - 1].getElementsByClass("Measure"))


def _struck(measure: music21.stream.Measure) -> list[Any]:
    """Notes, chords and rests without grace notes and chord names."""
    return [
        n
        for n in measure.flatten().notesAndRests
        if not isinstance(n, music21.harmony.Harmony) and not n.duration.isGrace
    ]


# Beams, stems, values -----------------------------------------------------------------------

# For each note its first and second beam: b begins, c continues, e ends, < and > are hooks to the
# left and to the right (MusicXML 4.0, beam-value). Eighths of 4/4 are joined by half measures,
# shorter notes by beats (common practice).
_HALVES = "b c c e b c c e"
BEAMS = {
    0: "b e",
    1: _HALVES,
    2: "b e< bb ce e b cb ee b> c e<",
    3: _HALVES,
    7: "b c e - - - - -",
    10: "- - - b e",
    12: _HALVES,
    13: _HALVES,
}
_BEAM = {"start": "b", "continue": "c", "stop": "e"}
_HOOK = {"left": "<", "right": ">"}


def _beams(note: Any) -> str:
    found = "".join(_BEAM.get(b.type) or _HOOK[b.direction] for b in note.beams)
    return found or "-"


@BOTH
def test_beams(stream: music21.stream.Score, staff: int) -> None:
    for measure in _measures(stream, staff):
        notes = [n for n in _struck(measure) if not n.isRest]
        found = " ".join(_beams(n) for n in notes)
        assert found == BEAMS.get(measure.number, " ".join("-" * len(notes))), measure.number


def test_beams_of_grace_notes(stream: music21.stream.Score, root: etree._Element) -> None:
    # Three in a row are sixteenths under two beams; one alone is a stroked eighth (common
    # practice).
    small = [n for n in stream.parts[0].flatten().notes if n.duration.isGrace]
    assert [_beams(n) for n in small] == ["-", "bb", "cc", "ee", "-", "-"]
    assert [n.duration.type for n in small] == ["eighth", *["16th"] * 3, "eighth", "eighth"]
    slashes = [g.get("slash") for g in root.iter("grace") if g.getparent().findtext("staff") == "1"]
    assert slashes == ["yes", None, None, None, "yes", "yes", "yes"]


def test_partitura_and_verovio_find_the_beams(part: Any, mei: etree._Element) -> None:
    # Groups under one beam in the tables above: 1 + 2 + 4 + 2 + 1 + 1 + 2 + 2, and one of grace
    # notes, which partitura does not keep, on each staff.
    assert len(list(part.iter_all(partitura.score.Beam))) == 2 * 15
    found = list(mei.iter("{*}beam"))
    assert len(found) == 2 * (15 + 1)
    sizes = Counter(len(list(e.iter("{*}note"))) for e in found if e.find(".//{*}tabGrp") is None)
    assert sizes == {4: 8, 3: 5, 2: 3}


# For each note on the staff, from the middle line, which sounds B3: below it up, on it and over it
# down; under a beam and in a chord the farthest decides (Gould, Behind Bars, from memory).
STEMS = {
    0: "uu",
    1: "dddddddd",
    2: "uudddddd" + "ddd",
    3: "uuuudddd",
    4: "uddd",
    5: "uddd",
    6: "uddd",
    7: "dddududd",
    8: "uddu",
    9: "ddud",
    10: "ddddd",
    11: "uud",
    12: "dddddddd",
    13: "dddddddd",
    14: "",
    15: "dd",
}


def _stem(note: Any) -> str:
    one = note.notes[0] if isinstance(note, music21.chord.Chord) else note
    return str(one.stemDirection)[0]


@BOTH
def test_stems(stream: music21.stream.Score, staff: int) -> None:
    for measure in _measures(stream, staff):
        found = "".join(_stem(n) for n in _struck(measure) if not n.isRest)
        wanted = STEMS[measure.number]
        assert found == (wanted if staff == 1 else "u" * len(wanted)), measure.number


def test_a_whole_note_has_no_stem() -> None:
    root = etree.fromstring(write_musicxml(tunes.score([[(4, [(3, 0)])], [(2, [(3, 0)])] * 2])))
    with_stem = [n.findtext("type") for n in root.iter("note") if n.find("stem") is not None]
    assert with_stem == ["half"] * 4


@BOTH
def test_values_dots_and_tuplets(stream: music21.stream.Score, staff: int) -> None:
    # By hand: dotted eighth and quarters; triplets are 3 in the time of 2, each marked at its ends.
    found = {m.number: _struck(m) for m in _measures(stream, staff)}
    dotted = [
        (m, n.offset, n.duration.type) for m, ns in found.items() for n in ns if n.duration.dots
    ]
    assert dotted == [(2, 0.0, "eighth"), (8, 0.5, "quarter"), (8, 2.5, "quarter")]
    tuplets = {m: [n.duration.tuplets for n in ns] for m, ns in found.items()}
    assert [m for m, all_of in tuplets.items() if any(all_of)] == [7]
    marks = [t.type for (t,) in tuplets[7]]
    assert marks == ["start", None, "stop", "start", "stop", "start", None, "stop"]
    for (tuplet,) in tuplets[7]:
        assert (tuplet.numberNotesActual, tuplet.numberNotesNormal) == (3, 2)
    assert [n.duration.type for n in found[7]] == [
        *["eighth"] * 3,
        "quarter",
        "eighth",
        *["quarter"] * 3,
    ]


def test_partitura_finds_the_tuplets(part: Any) -> None:
    assert len(list(part.iter_all(partitura.score.Tuplet))) == 2 * 3


def test_a_triplet_that_begins_with_a_rest() -> None:
    third = Fraction(1, 3)
    timed = [(third, []), (third, [(3, 0)]), (third, []), (3, [(1, 0)])]
    root = etree.fromstring(write_musicxml(tunes.score([timed])))
    marks = [
        (n.find("rest") is not None, [t.get("type") for t in n.iterfind("notations/tuplet")])
        for n in root.iter("note")
    ]
    assert marks == [(True, ["start"]), (False, []), (True, ["stop"]), (False, [])] * 2
    assert len(root.findall(".//time-modification")) == 2 * 3
    hidden = [n.get("print-object") for n in root.iter("note") if n.find("rest") is not None]
    assert hidden == [None, None, "no", "no"]


# Slurs, ties, slides ------------------------------------------------------------------------


def _at(note: Any) -> tuple[int, Fraction, bool, str]:
    """Where a note stands: measure, time in it, whether it is a grace note, pitch."""
    grace = bool(note.duration.isGrace)
    return note.measureNumber, Fraction(note.offset), grace, note.pitch.nameWithOctave


# Hammer-ons and pull-offs inside a measure, from where to where; slides.
SLURS = {
    ((3, Fraction(0), False, "G3"), (3, Fraction(1, 2), False, "A3")): "H",
    ((3, Fraction(1, 2), False, "A3"), (3, Fraction(1), False, "G3")): "P",
    ((3, Fraction(7, 2), False, "D3"), (4, Fraction(0), False, "E3")): "H",
    ((9, Fraction(0), True, "A3"), (9, Fraction(0), False, "B3")): "H",
    ((9, Fraction(2), True, "B3"), (9, Fraction(2), False, "A3")): "P",
}
SLIDES = (
    ((3, Fraction(3, 2), False, "C4"), (3, Fraction(2), False, "D4")),
    ((9, Fraction(1), True, "A3"), (9, Fraction(1), True, "B3")),
)


def _pairs(stream: music21.stream.Score, kind: str) -> Counter[Any]:
    found = [s for s in stream.recurse().getElementsByClass(kind) if len(s) == 2]
    assert all(len({id(n) for n in s.getSpannedElements()}) == 2 for s in found)
    return Counter((_at(s.getFirst()), _at(s.getLast())) for s in found)


def test_slurs_join_the_notes_that_the_left_hand_joins(stream: music21.stream.Score) -> None:
    # Once on each staff.
    assert _pairs(stream, "Slur") == dict.fromkeys(SLURS, 2)
    names = {"H": "HammerOn", "P": "PullOff"}
    for sign, kind in names.items():
        wanted = [pair for pair, which in SLURS.items() if which == sign]
        assert _pairs(stream, kind) == dict.fromkeys(wanted, 2)


def test_slides_join_the_notes_that_they_lead_to(stream: music21.stream.Score) -> None:
    assert _pairs(stream, "Glissando") == dict.fromkeys(SLIDES, 2)
    lines = {s.lineType for s in stream.recurse().getElementsByClass("Glissando")}
    assert lines == {"solid"}


def test_a_slur_over_a_bar_has_its_end(part: Any) -> None:
    # MusicXML 4.0, number-level: numbers tell overlapping slurs apart. The slur on the staff is
    # open when that on the tab begins, which comes later in the file.
    slurs = [s for s in part.iter_all(partitura.score.Slur) if s.start_note and s.end_note]
    over = [s for s in slurs if s.start_note.start.t < 156 <= s.end_note.start.t]
    assert sorted((s.start_note.staff, s.end_note.staff) for s in over) == [(1, 1), (2, 2)]


def test_verovio_finds_slurs_slides_and_ties(mei: etree._Element) -> None:
    # Five slurs, two slides and one chord of two ties, on each staff.
    assert len(list(mei.iter("{*}slur"))) == 2 * 5
    assert len(list(mei.iter("{*}gliss"))) == 2 * 2
    for slur in mei.iter("{*}slur"):
        assert slur.get("startid") != slur.get("endid")
        assert slur.get("startid")
        assert slur.get("endid")


@BOTH
def test_ties(stream: music21.stream.Score, staff: int) -> None:
    tied = [
        (m.number, Fraction(n.offset), one.tie.type, one.pitch.nameWithOctave)
        for m in _measures(stream, staff)
        for n in _struck(m)
        if not n.isRest
        for one in (sorted(n.notes) if isinstance(n, music21.chord.Chord) else [n])
        if one.tie
    ]
    one, two = Fraction(1, 2), Fraction(2)
    assert tied == [
        *((8, one, "start", "C4"), (8, one, "start", "E4")),
        *((8, two, "stop", "C4"), (8, two, "stop", "E4")),
    ]


# Marks on single notes ----------------------------------------------------------------------


def _named(note: etree._Element) -> tuple[int, str]:
    """A note's measure and pitch, as A3, Bb3, F#4."""
    measure = next(note.iterancestors("measure"))
    alter = {"1": "#", "-1": "b", None: ""}[note.findtext("pitch/alter")]
    step, octave = note.findtext("pitch/step"), note.findtext("pitch/octave")
    return int(measure.get("number", "")), f"{step}{alter}{octave}"


_BRUSHED = [(11, "D3"), (11, "G3"), (11, "B3"), (11, "D4")]
# What MusicXML 4.0 has for each sign, and the notes that have it.
MARKS = {
    "notations/tied[@type='let-ring']": [(4, "F#4")],
    "notations/ornaments/wavy-line[@type='start']": [(4, "E4")],
    "notations/ornaments/wavy-line[@type='stop']": [(4, "E4")],
    "notations/technical/tap": [(3, "B4")],
    "notations/technical/bend[bend-alter='1']": [(4, "Bb3")],
    "notations/technical/bend[bend-alter='3']": [(4, "F#4")],
    "notations/technical/harmonic/natural": [(5, "D5")],
    "notations/articulations/scoop": [(6, "A3")],
    "notations/articulations/plop": [(6, "B3")],
    "notations/articulations/doit": [(6, "D4")],
    "notations/articulations/falloff": [(6, "C4")],
    "notations/arpeggiate[@direction='up']": _BRUSHED,
    "notehead[.='x']": [(5, "G3")],
    "notehead[.='diamond']": [(5, "D5")],
    "notehead[@parentheses='yes'][.='normal']": [(5, "B3")],
}
ON_THE_STAFF = {
    "accidental[.='flat']": [(4, "Bb3"), (10, "Bb3")],
    "accidental[.='natural'][@cautionary='yes']": [(5, "B3")],
    "accidental[.='natural'][not(@cautionary)]": [(10, "F4"), (10, "B3")],
    "lyric[@number='1']": [(10, "B3"), (10, "Bb3"), (10, "F4"), (10, "B3"), (10, "C4")],
}
ON_THE_TAB = {
    "notations/technical/fingering[.='3']": [(4, "Bb3")],
    "notations/technical/pluck[@font-style='italic'][.='i']": [(4, "E4")],
    "notations/technical/pluck[.='m'][@placement='below']": [
        (n, p) for n in (1, 12, 13) for p in ("G4", "B3", "D4")
    ],
}


def _having(root: etree._Element, path: str, staff: int) -> list[tuple[int, str]]:
    return [
        _named(n) for n in root.iter("note") if n.findtext("staff") == str(staff) and n.xpath(path)
    ]


@BOTH
@pytest.mark.parametrize("path", MARKS)
def test_marks_are_on_their_notes(root: etree._Element, path: str, staff: int) -> None:
    # Chords go from the lowest note on the staff and from string 1 on the tab.
    assert sorted(_having(root, path, staff)) == sorted(MARKS[path])


@pytest.mark.parametrize("path", [*ON_THE_STAFF, *ON_THE_TAB])
def test_marks_of_one_staff(root: etree._Element, path: str) -> None:
    assert _having(root, path, 1) == ON_THE_STAFF.get(path, [])
    assert _having(root, path, 2) == ON_THE_TAB.get(path, [])


def test_no_other_marks(root: etree._Element) -> None:
    """What is not in a table is not in the file: nothing has a sign that it was not given."""
    found = Counter(e.tag for n in root.iter("note") for t in n.iterfind("notations/*") for e in t)
    wanted = Counter({"string": 99, "fret": 99, "pluck": 25, "fingering": 1, "wavy-line": 4})
    wanted |= Counter({"tap": 2, "bend": 4, "harmonic": 2, "scoop": 2, "plop": 2, "doit": 2})
    wanted |= Counter({"down-bow": 2 * 2, "up-bow": 2})
    wanted |= Counter({"falloff": 2, "hammer-on": 2 * 2 * 3, "pull-off": 2 * 2 * 2})
    assert found == wanted
    kinds = Counter(t.tag for n in root.iter("note") for t in n.iterfind("notations/*"))
    assert (kinds["arpeggiate"], kinds["slide"], kinds["tuplet"]) == (2 * 4, 2 * 2 * 2, 2 * 6)
    assert (kinds["tied"], kinds["slur"]) == (2 * (4 + 1), 2 * 2 * 5)
    assert len(root.findall(".//notehead")) == 2 * 3


def test_words_of_links(root: etree._Element) -> None:
    # MusicXML 4.0, hammer-on: the words stand where it starts.
    for tag, words in (("hammer-on", "H"), ("pull-off", "P")):
        for element in root.iter(tag):
            assert element.text == (words if element.get("type") == "start" else None)


def test_order_in_chords(root: etree._Element) -> None:
    """The staff from the lowest note, the tab from string 1; the first is no member of a chord."""
    for staff, names in ((1, ["D3", "G3", "B3", "D4"]), (2, ["D4", "B3", "G3", "D3"])):
        notes = [
            n
            for n in root.iterfind(".//measure[@number='11']/note")
            if n.findtext("staff") == str(staff)
        ][:4]
        assert [_named(n)[1] for n in notes] == names
        assert [n.find("chord") is not None for n in notes] == [False, True, True, True]


# Measures, words, order ---------------------------------------------------------------------


def test_pickup_bars_and_endings(stream: music21.stream.Score, root: etree._Element) -> None:
    measures = _measures(stream, 1)
    assert [m.number for m in measures] == list(range(16))
    assert [m.get("number") for m in root.iter("measure") if m.get("implicit") == "yes"] == ["0"]
    assert measures[0].paddingLeft == 3
    left = {
        m.number: m.leftBarline.direction for m in measures if hasattr(m.leftBarline, "direction")
    }
    assert left == {1: "start", 7: "start"}
    right = {
        m.number: getattr(m.rightBarline, "direction", m.rightBarline.type)
        for m in measures
        if m.rightBarline is not None
    }
    assert right == {5: "end", 6: "double", 10: "end", 12: "double", 15: "final"}
    times = {m.number: m.rightBarline.times for m in measures if right.get(m.number) == "end"}
    assert times == {5: None, 10: 3}
    brackets = stream.parts[0].recurse().getElementsByClass("RepeatBracket")
    assert [(b.number, [m.number for m in b.getSpannedElements()]) for b in brackets] == [
        ("1", [5]),
        ("2", [6]),
    ]
    ends = [(e.get("number"), e.get("type")) for e in root.iter("ending")]
    assert ends == [("1", "start"), ("1", "stop"), ("2", "start"), ("2", "discontinue")]
    styles = [(b.get("location"), b.findtext("bar-style")) for b in root.iter("barline")]
    assert styles == [
        *(("left", "heavy-light"), ("left", None), ("right", "light-heavy"), ("left", None)),
        *(("right", "light-light"), ("left", "heavy-light"), ("right", "light-heavy")),
        *(("right", "light-light"), ("right", "light-heavy")),
    ]


def test_sections_signs_and_jumps(stream: music21.stream.Score, root: etree._Element) -> None:
    found = {
        (m.number, type(x).__name__)
        for m in _measures(stream, 1)
        for x in m.getElementsByClass((music21.repeat.RepeatExpression, "RehearsalMark"))
    }
    assert found == {
        (1, "RehearsalMark"),
        (7, "RehearsalMark"),
        (7, "Segno"),
        (11, "Coda"),
        (12, "DalSegnoAlCoda"),
        (13, "RehearsalMark"),
        (13, "Coda"),
    }
    names = [
        (e.getparent().getparent().getparent().get("number"), e.text)
        for e in root.iter("rehearsal")
    ]
    assert names == [("1", "A part"), ("7", "Bridge"), ("13", "Coda")]
    # MusicXML 4.0, sound: what a player needs to follow them.
    sounds = [dict(s.attrib) for s in root.iter("sound")]
    assert sounds == [
        {"tempo": "96"},
        {"segno": "segno"},
        {"tocoda": "coda"},
        {"dalsegno": "segno"},
        {"coda": "coda"},
    ]
    last = [e.tag for e in root.find(".//measure[@number='12']")]
    assert last.index("direction") > max(i for i, tag in enumerate(last) if tag == "note")


def test_partitura_finds_repeats_endings_and_jumps(part: Any, root: etree._Element) -> None:
    kinds = partitura.score
    # In quarter notes from the pickup, by arithmetic.
    quarters = int(root.findtext(".//divisions") or "0")

    def spans(kind: Any) -> list[tuple[int, int | None]]:
        return [
            (x.start.t // quarters, x.end.t // quarters if x.end else None)
            for x in part.iter_all(kind)
        ]

    assert spans(kinds.Repeat) == [(1, 21), (25, 41)]
    assert spans(kinds.Ending) == [(17, 21), (21, 25)]
    assert [start for start, _ in spans(kinds.Segno)] == [25]
    assert [start for start, _ in spans(kinds.ToCoda)] == [45]
    assert [start for start, _ in spans(kinds.DalSegno)] == [49]
    assert [start for start, _ in spans(kinds.Coda)] == [49]


def test_chord_names_and_their_shapes(root: etree._Element) -> None:
    # MusicXML 4.0, harmony; a name that was not typed is in italics.
    found = [
        (
            h.getparent().get("number"),
            h.findtext("root/root-step"),
            h.findtext("kind"),
            h.find("kind").get("text"),
            h.findtext("bass/bass-step"),
            h.findtext("bass/bass-alter"),
            h.get("font-style"),
        )
        for h in root.iter("harmony")
    ]
    assert found == [
        ("1", "G", "major", "", None, None, None),
        ("3", "A", "minor-seventh", "m7", None, None, None),
        ("9", "D", "dominant", "7", "F", "1", "italic"),
        ("13", "C", "none", "N.C.", None, None, None),
    ]
    assert [h.find("root/root-step").get("text") for h in root.iter("harmony")][-1] == ""


def test_lyrics(root: etree._Element) -> None:
    # MusicXML 4.0, syllabic.
    found = [(e.findtext("text"), e.findtext("syllabic")) for e in root.iter("lyric")]
    assert found == [
        *(("Row", "single"), ("har", "begin"), ("bour", "middle"), ("mas", "middle")),
        ("ter", "end"),
    ]


def test_a_jump_to_the_beginning_and_the_end() -> None:
    # music21 plays it: 1 2 3 4, then from the beginning to Fine. By hand, common practice. Each
    # measure begins a fret higher than the one before it.
    score = tunes.score([[(4, [(1, fret)])] for fret in range(4)])
    measures = [
        replace(m, fine=m.index == 1, jump="D.C. al Fine" if m.index == 3 else None)
        for m in score.measures
    ]
    made = rollstave.write(replace(score, measures=tuple(measures)), "musicxml")[0]
    part = music21.converter.parseData(made.decode(), format="musicxml").parts[0]
    played = [n.pitch.midi - 62 for n in part.expandRepeats().flatten().notes]
    assert played == [0, 1, 2, 3, 0, 1]
    sounds = [dict(s.attrib) for s in etree.fromstring(made).iter("sound")]
    assert sounds[1:] == [{"fine": "yes"}, {"dacapo": "yes"}]


@pytest.mark.parametrize(
    ("held", "fifth"),
    [
        (tunes.setup(), ("G", None, "4")),
        # The capo raises every line (MusicXML 4.0, capo). A short string that stays is written two
        # semitones lower, one that is raised with it as it is tuned, one that is raised by five
        # semitones three higher: F4, G4 and B flat 4.
        (tunes.setup(capo=2), ("F", None, "4")),
        (tunes.setup(capo=2, raised=2), ("G", None, "4")),
        (tunes.setup(capo=2, raised=5), ("B", "-1", "4")),
    ],
)
def test_a_short_string_that_is_not_raised_with_the_capo(
    held: Setup, fifth: tuple[str, str | None, str]
) -> None:
    root = etree.fromstring(write_musicxml(tunes.score([[(4, [(3, 0)])]], held=held)))
    lines = [
        (t.findtext("tuning-step"), t.findtext("tuning-alter"), t.findtext("tuning-octave"))
        for t in root.iter("staff-tuning")
    ]
    # gDGBD from the fifth string on: D3 G3 B3 D4.
    long = [("D", None, "3"), ("G", None, "3"), ("B", None, "3"), ("D", None, "4")]
    assert lines == [fifth, *long]


# Systems ------------------------------------------------------------------------------------


def _new_systems(root: etree._Element) -> list[int]:
    return [
        index
        for index, measure in enumerate(root.iter("measure"))
        if (told := measure.find("print")) is not None and told.get("new-system") == "yes"
    ]


def test_systems_begin_where_the_sheet_begins_them(
    root: etree._Element, stream: music21.stream.Score, part: Any
) -> None:
    # The sheet prints the number of the first measure of each system but the first.
    sheet = etree.fromstring(everything.written("svg"))
    texts = sheet.iterfind(".//{*}text[@class='measure-number']")
    numbers = sorted(int("".join(map(str, t.itertext()))) for t in texts)
    assert len(numbers) == 4
    assert _new_systems(root) == numbers
    breaks = [
        m.number
        for m in _measures(stream, 1)
        if any(x.isNew for x in m.getElementsByClass("SystemLayout"))
    ]
    assert breaks == numbers
    assert len(list(part.iter_all(partitura.score.System))) == 1 + len(numbers)


def test_systems_of_a_plain_tune() -> None:
    # Phrases have four measures (common practice): twelve measures of rolls make three systems.
    root = etree.fromstring(write_musicxml(tunes.score([everything.ROLL] * 12)))
    assert _new_systems(root) == [4, 8]


# Every file: what must hold of any score -----------------------------------------------------


def _scores() -> Iterator[tuple[str, Score]]:
    yield "everything", everything.score()
    for name in ("every-sign", "ties", "triplets", "compound", "nettle-hill"):
        yield name, tunes.case(name)
    for seed in GENERATED:
        yield f"generated {seed}", rollstave.read(generated.tab(seed))[0].score


@pytest.fixture(scope="module", params=[0])
def files() -> list[tuple[str, Score, etree._Element]]:
    return [(n, s, etree.fromstring(write_musicxml(s))) for n, s in _scores()]


_LEVELS = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4}


def test_every_beam_is_begun_and_ended(files: list[tuple[str, Score, etree._Element]]) -> None:
    # MusicXML 4.0, beam: a note under beams has one of them for each flag that its value has, and
    # what begins continues and ends in its voice.
    for name, _, root in files:
        count = 0
        for measure in root.iter("measure"):
            for voice in ("1", "5"):
                count += _beams_are_whole(name, measure, voice)
        assert count, name


def _beams_are_whole(name: str, measure: etree._Element, voice: str) -> int:
    open_beams: dict[str, bool] = {}
    count = 0
    for note in measure.iterfind("note"):
        if note.findtext("voice") != voice or note.find("chord") is not None:
            continue
        if note.find("grace") is not None:
            continue
        beams = {b.get("number", ""): b.text for b in note.iterfind("beam")}
        level = _LEVELS.get(note.findtext("type") or "", 0)
        assert not beams or sorted(beams) == [str(n + 1) for n in range(level)], name
        for number, kind in beams.items():
            count += 1
            is_open = open_beams.get(number, False)
            assert is_open == (kind in ("continue", "end")), (name, measure.get("number"))
            open_beams[number] = kind in ("begin", "continue")
        for number, is_open in open_beams.items():
            assert not is_open or number in beams, (name, measure.get("number"))
    assert not any(open_beams.values()), name
    return count


def test_every_slur_and_slide_has_two_ends_on_its_string(
    files: list[tuple[str, Score, etree._Element]],
) -> None:
    for name, _, root in files:
        for staff in ("1", "2"):
            for tag in ("slur", "slide", "hammer-on", "pull-off"):
                opened: set[str] = set()
                for note in root.iter("note"):
                    if note.findtext("staff") != staff:
                        continue
                    marks = [(e.get("type"), e.get("number", "")) for e in note.iter(tag)]
                    # One note may end one and begin the next.
                    for kind, number in sorted(marks, key=lambda m: m[0] != "stop"):
                        assert (number in opened) == (kind == "stop"), (name, tag)
                        opened ^= {number}
                assert not opened, (name, tag, staff)


def test_every_file_breaks_where_the_layout_says(
    files: list[tuple[str, Score, etree._Element]],
) -> None:
    for name, score, root in files:
        assert [0, *_new_systems(root)] == list(system_starts(notate(score))), name


@pytest.mark.parametrize("name", ["triplets", "compound"])
def test_verovio_hears_the_same(name: str) -> None:
    """Onsets (quarter notes) and pitches of the staff, as Verovio's timemap has them."""
    import verovio

    toolkit = verovio.toolkit()
    toolkit.setOptions({"expand": ""})
    assert toolkit.loadData(tunes.written(name, "musicxml")[0].decode())
    heard = []
    for moment in toolkit.renderToTimemap({}):
        for element in moment.get("on", []):
            # A note of the tab has no octave.
            if "oct" in toolkit.getElementAttr(element):
                pitch = toolkit.getMIDIValuesForElement(element)["pitch"]
                heard.append((round(moment["qstamp"], 4), pitch))
    wanted = [(round(float(onset), 4), pitch) for onset, _, pitch in tunes.sounding(name)]
    assert sorted(heard) == sorted(wanted)
