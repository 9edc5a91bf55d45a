"""What the MEI of a score that has every sign says, in tables by hand, and as music21 reads it.

MEI 5.1 for the elements and their attributes; the score is that of ``everything.py``.
"""

from __future__ import annotations

from collections import Counter
from fractions import Fraction

import music21
import pytest
from lxml import etree

from rollstave.notating.notation import notate
from rollstave.writing.mei import build_mei, write_mei
from rollstave.writing.mei_under import Under
from rollstave.writing.options import View
from tests import tunes
from tests.writing import everything

MEI = "{http://www.music-encoding.org/ns/mei}"
ID = "{http://www.w3.org/XML/1998/namespace}id"


def _all(root: etree._Element, name: str) -> list[etree._Element]:
    return list(root.iter(MEI + name))


@pytest.fixture(scope="module")
def root() -> etree._Element:
    return etree.fromstring(write_mei(everything.score()))


@pytest.fixture(scope="module")
def for_engraving() -> etree._Element:
    made = build_mei(everything.score(), notate(everything.score()), for_engraving=True)
    return etree.fromstring(made)


def test_music21_hears_the_staff() -> None:
    # music21 10 reads MEI: onsets in each measure and pitches, by string and fret (MIDI 60 is C4).
    # It knows no tab, so it is given the staff.
    score = tunes.case("ties")
    made = build_mei(score, notate(score), view=View.STAFF)
    stream = music21.converter.parseData(made.decode(), format="mei")
    part = stream.parts[0].stripTies()
    found = Counter(
        (Fraction(n.getOffsetInHierarchy(part)).limit_denominator(96), pitch.midi)
        for n in part.recurse().notes
        if not isinstance(n, music21.harmony.Harmony)
        for pitch in n.pitches
    )
    assert found == Counter((onset, pitch) for onset, _, pitch in tunes.sounding("ties"))


def test_head(root: etree._Element) -> None:
    (title,) = _all(root, "title")
    assert title.text == "All the Ferry's Bells"
    (composer,) = _all(root, "persName")
    assert (composer.text, composer.get("role")) == ("Larkspur Ferry school", "composer")
    notes = [a.text for a in _all(root, "annot")]
    assert notes == ["Source: the bell book, page 3", "Ring them slowly."]
    assert root.get("meiversion") == "5.1"


def test_staves(root: etree._Element) -> None:
    staff, tab = _all(root, "staffDef")
    assert {k: staff.get(k) for k in ("n", "lines", "clef.shape", "clef.line")} == {
        **{"n": "1", "lines": "5", "clef.shape": "G", "clef.line": "2"},
    }
    # Sounds an octave lower than it is written; one sharp; 4/4.
    assert (staff.get("clef.dis"), staff.get("clef.dis.place")) == ("8", "below")
    assert (staff.get("keysig"), staff.get("meter.count"), staff.get("meter.unit")) == (
        *("1s", "4", "4"),
    )
    assert (tab.get("n"), tab.get("lines"), tab.get("notationtype")) == ("2", "5", "tab.guitar")
    assert tab.get("meter.count") is None
    courses = [(c.get("n"), c.get("pname"), c.get("oct")) for c in _all(tab, "course")]
    assert courses == [
        *(("1", "d", "4"), ("2", "b", "3"), ("3", "g", "3"), ("4", "d", "3"), ("5", "g", "4")),
    ]
    (group,) = _all(root, "staffGrp")
    assert group.get("bar.thru") == "true"


@pytest.mark.parametrize(
    ("tuning", "fifths", "signature", "accidentals"),
    [("f#DF#AD", "F", "1f", ["s", "s"]), ("gDGBD", "C", "0", []), ("gDGBD", "D", "2s", [])],
)
def test_signature_and_sharps_of_a_tuning(
    tuning: str, fifths: str, signature: str, accidentals: list[str]
) -> None:
    from rollstave.pitch import Key

    score = tunes.score([[(4, [(3, 0)])]], key=Key(fifths), held=tunes.setup(tuning))
    root = etree.fromstring(write_mei(score))
    assert _all(root, "staffDef")[0].get("keysig") == signature
    found = [c.get("accid") for c in _all(root, "course") if c.get("accid")]
    assert found == accidentals


def test_bars_endings_and_systems(root: etree._Element) -> None:
    measures = _all(root, "measure")
    assert [m.get("n") for m in measures] == [str(n) for n in range(16)]
    assert [m.get(ID) for m in measures] == [f"m{n}" for n in range(16)]
    assert [m.get("n") for m in measures if m.get("metcon") == "false"] == ["0"]
    assert {m.get("n"): m.get("left") for m in measures if m.get("left")} == {
        "1": "rptstart",
        "7": "rptstart",
    }
    assert {m.get("n"): m.get("right") for m in measures if m.get("right")} == {
        **{"5": "rptend", "6": "dbl", "10": "rptend", "12": "dbl", "15": "end"},
    }
    endings = [(e.get("n"), [m.get("n") for m in _all(e, "measure")]) for e in _all(root, "ending")]
    assert endings == [("1.", ["5"]), ("2.", ["6"])]
    # The breaks of the sheet: before measures 5, 7, 11 and 13, and never inside an ending.
    order = list(root.iter(MEI + "measure", MEI + "sb"))
    after = [order[i + 1].get("n") for i, e in enumerate(order) if e.tag == MEI + "sb"]
    assert after == ["5", "7", "11", "13"]
    assert not [e for ending in _all(root, "ending") for e in _all(ending, "sb")]


def test_an_engraving_begins_with_a_break_and_hides_numbers(for_engraving: etree._Element) -> None:
    # Without a first break Verovio would break lines of its own choice.
    assert len(_all(for_engraving, "sb")) == 5
    assert _all(for_engraving, "scoreDef")[0].get("mnum.visible") == "false"
    # Words are drawn by the sheet.
    assert not [e for name in ("reh", "harm", "tempo", "fing") for e in _all(for_engraving, name)]


def test_words_over_the_music(root: etree._Element) -> None:
    (tempo,) = _all(root, "tempo")
    assert (tempo.get("midi.bpm"), tempo.get("tstamp"), tempo.get("staff")) == ("96", "1", "1")
    assert [(e.get(ID), e.text, e.get("place")) for e in _all(root, "reh")] == [
        ("section1", "A part", "above"),
        ("section7", "Bridge", "above"),
        ("section13", "Coda", "above"),
    ]
    names = [(e.get(ID), e.text, e.get("tstamp")) for e in _all(root, "harm")]
    assert names == [
        ("chord1-0", "G", "1"),
        ("chord3-0", "Am7", "1"),
        ("chord9-0", "D7/F#", "1"),
        ("chord13-0", "N.C.", "1"),
    ]
    (finger,) = _all(root, "fing")
    assert (finger.text, finger.get("startid"), finger.get("staff"), finger.get("place")) == (
        *("3", "#t4-1-0-3", "2", "below"),
    )


def test_a_finger_of_the_left_hand_on_a_staff_alone() -> None:
    score = everything.score()
    root = etree.fromstring(build_mei(score, notate(score), view=View.STAFF))
    (finger,) = _all(root, "fing")
    assert (finger.get("startid"), finger.get("staff")) == ("#n4-1-0-3", "1")


def test_a_chord_name_inside_a_measure_has_its_beat() -> None:
    # MEI 5.1, tstamp: beats of the meter's unit, counted from 1.
    from msgspec.structs import replace

    from rollstave.deciding.chords import chord_name

    score = tunes.score([[(4, [(3, 0)])]])
    chords = (chord_name("G", Fraction(0)), chord_name("C", Fraction(3, 2)))
    measures = (replace(score.measures[0], chords=chords),)
    root = etree.fromstring(write_mei(replace(score, measures=measures)))
    assert [e.get("tstamp") for e in _all(root, "harm")] == ["1", "2.5"]
    compound = tunes.case("compound")
    measures = (replace(compound.measures[1], index=0, chords=chords),)
    root = etree.fromstring(write_mei(replace(compound, measures=measures)))
    # In eighths, 3/2 of a quarter note is three.
    assert [e.get("tstamp") for e in _all(root, "harm")] == ["1", "4"]


def test_slurs_and_slides_join_their_notes(root: etree._Element) -> None:
    found = {(e.get("startid"), e.get("endid")) for e in _all(root, "slur")}
    assert found == {
        ("#n3-0-0-3", "#n3-1-0-3"),
        ("#n3-1-0-3", "#n3-2-0-3"),
        # The note that a slide leads to is not struck.
        ("#n3-3-0-2", "#n3-4-0-2"),
        ("#n3-7-0-4", "#n4-0-0-4"),
        ("#n9-0-g0-3", "#n9-0-0-3"),
        ("#n9-2-g0-3", "#n9-2-0-3"),
    }
    assert {(e.get("startid"), e.get("endid")) for e in _all(root, "gliss")} == {
        ("#n3-3-0-2", "#n3-4-0-2"),
        ("#n9-1-g1-3", "#n9-1-g2-3"),
    }


def test_a_link_begins_at_the_last_part_of_a_held_note() -> None:
    from msgspec.structs import replace

    from rollstave.grid.typed import Link

    # Two quarter notes from half a beat on are written in two parts.
    score = tunes.score([[("1/2", [(1, 0)]), (2, [(3, 0)]), ("3/2", [(3, 2)])]])
    (measure,) = score.measures
    last = measure.events[2]
    linked = replace(last, notes=(replace(last.notes[0], link=Link.HAMMER_ON),))
    measure = replace(measure, events=(*measure.events[:2], linked))
    root = etree.fromstring(write_mei(replace(score, measures=(measure,))))
    (slur,) = _all(root, "slur")
    assert (slur.get("startid"), slur.get("endid")) == ("#n0-1-1-3", "#n0-2-0-3")


HEADS = {
    "n5-0-0-3": {"head.shape": "x"},
    "n5-1-0-2": {"head.mod": "paren"},
    "n5-2-0-1": {"head.shape": "diamond"},
    **{f"n8-1-0-{string}": {"tie": "i"} for string in (1, 2)},
    **{f"n8-1-1-{string}": {"tie": "t"} for string in (1, 2)},
}
SHOWN = {"n4-1-0-3": "f", "n10-1-0-3": "f", "n10-2-0-1": "n", "n10-3-0-3": "n"}


def test_heads_ties_and_accidentals(root: etree._Element) -> None:
    notes = {n.get(ID): n for n in _all(root, "note")}
    names = ("head.shape", "head.mod", "tie")
    found = {
        name: {k: v for k in names if (v := note.get(k))}
        for name, note in notes.items()
        if name and any(note.get(k) for k in names)
    }
    assert found == HEADS
    assert {n: note.get("accid") for n, note in notes.items() if note.get("accid")} == SHOWN
    # F sharp sounds by the signature: nothing is shown, and the pitch is right (MEI: accid.ges).
    assert notes["n4-3-0-1"].get("accid.ges") == "s"
    assert [n for n, note in notes.items() if note.get("accid.ges")] == ["n4-3-0-1"]


def test_frets_and_strings(root: etree._Element, for_engraving: etree._Element) -> None:
    # Room for a fret of two digits or in brackets is kept where Verovio engraves, and on both sides
    # of a link for its arc and letter, or the line of a slide from head to head.
    linked = dict.fromkeys(((3, 1), (3, 2), (3, 4), (3, 6), (4, 0)), "100")
    leading = dict.fromkeys(((3, 0), (3, 3), (3, 5), (3, 7)), "10")
    for made, harmonic, ghost in ((root, "12", "0"), (for_engraving, "1000", "100")):
        notes = {n.get(ID): n for n in _all(made, "note")}
        for m, timed in enumerate(everything.TIMED):
            for e, (_, struck) in enumerate(timed):
                for string, fret in struck:
                    note = notes[f"t{m}-{e}-0-{string}"]
                    assert note.get("tab.course") == str(string)
                    bracketed = {(5, 1): ghost, (5, 2): harmonic}
                    plain = str(fret) if fret < 10 or made is root else "100"
                    if made is for_engraving:
                        plain = {**leading, **linked}.get((m, e), plain)
                    shown = bracketed.get((m, e), plain)
                    assert note.get("tab.fret") == shown


def test_values_stems_beams_and_tuplets(root: etree._Element) -> None:
    values = Counter(
        (e.get("dur"), e.get("dots"))
        for e in root.iter(MEI + "note", MEI + "chord")
        if e.get("dur") and not e.get("grace") and e.getparent().tag != MEI + "chord"
    )
    assert values[("8", "1")] == 1
    assert values[("4", "1")] == 2
    assert values[("2", None)] == 3
    assert values[("16", None)] == 1 + 2 + 2 + 2
    beams = [len([n for n in b if n.tag != MEI + "tabGrp"]) for b in _all(root, "beam")]
    tabs = [len(_all(b, "tabGrp")) for b in _all(root, "beam")]
    assert Counter(n for n in beams if n) == {4: 8, 3: 4, 2: 3}
    assert Counter(n for n in tabs if n) == {4: 8, 3: 4, 2: 3}
    tuplets = _all(root, "tuplet")
    assert [(t.get("num"), t.get("numbase")) for t in tuplets] == [("3", "2")] * 6
    # Over the stems of the tab, where no letters of the hand are, and over the staff, so that the
    # numbers of both are not in one heap.
    placed = Counter((t.get("num.place"), t.get("num.visible")) for t in tuplets)
    assert placed == {("above", None): 6}
    # As in test_heard_outside: below the middle line up, on it and over it down; under a beam
    # Verovio decides.
    stems = {n.get(ID): n.get("stem.dir") for n in root.iter(MEI + "note", MEI + "chord")}
    assert [stems[f"n4-{event}-0-{4 - event}"] for event in range(4)] == ["up", *["down"] * 3]
    assert (stems["ng11-0-0"], stems["ng15-1-0"], stems["n8-2-0-4"]) == ("up", "down", "up")
    assert stems["n1-0-0-3"] is None


def test_rests(root: etree._Element) -> None:
    # One rest is enough for the eye: the tab keeps the time with a space.
    kinds = Counter(e.tag.removeprefix(MEI) for e in root.iter() if isinstance(e.tag, str))
    assert [kinds[k] for k in ("rest", "space", "mRest", "mSpace")] == [1, 1, 1, 1]
    alone = etree.fromstring(
        build_mei(everything.score(), notate(everything.score()), view=View.TAB)
    )
    kinds = Counter(e.tag.removeprefix(MEI) for e in alone.iter() if isinstance(e.tag, str))
    assert [kinds[k] for k in ("rest", "space", "mRest", "mSpace")] == [1, 0, 1, 0]
    assert not _all(alone, "slur")
    (tab,) = _all(alone, "staffDef")
    assert (tab.get("meter.count"), tab.get("meter.unit")) == ("4", "4")
    rests = build_mei(everything.score(), notate(everything.score()), tab_rests=True)
    kinds = Counter(
        e.tag.removeprefix(MEI) for e in etree.fromstring(rests).iter() if isinstance(e.tag, str)
    )
    assert [kinds[k] for k in ("rest", "space", "mRest", "mSpace")] == [2, 0, 2, 0]


def test_syllables(root: etree._Element) -> None:
    # MEI 5.1: con="d" is a dash to the next; wordpos i, m, t: initial, medial, terminal.
    found = [(s.text, s.get("con"), s.get("wordpos")) for s in _all(root, "syl")]
    assert found == [
        ("Row", None, None),
        ("har", "d", "i"),
        ("bour", "d", "m"),
        ("mas", "d", "m"),
        ("ter", None, "t"),
    ]
    assert [v.get("n") for v in _all(root, "verse")] == ["1"] * 5


def test_grace_notes(root: etree._Element, for_engraving: etree._Element) -> None:
    small = [n.get(ID) for n in _all(root, "note") if n.get("grace")]
    chords = [c for c in _all(root, "chord") if c.get("grace")]
    assert small == ["n9-0-g0-3", *(f"n9-1-g{n}-3" for n in range(3)), "n9-2-g0-3"]
    assert [[n.get(ID) for n in c] for c in chords] == [["n9-3-g0-1", "n9-3-g0-2"]]
    groups = [g for g in _all(root, "tabGrp") if g.get("grace")]
    assert [[n.get(ID) for n in g] for g in groups] == [
        *(["t9-0-g0-3"], ["t9-1-g0-3"], ["t9-1-g1-3"], ["t9-1-g2-3"], ["t9-2-g0-3"]),
        ["t9-3-g0-1", "t9-3-g0-2"],
    ]
    assert {(e.get("grace"), e.get("dur")) for e in (*chords, *groups)} == {("unacc", "8")}
    frets = [n.get("tab.fret") for g in groups for n in g]
    assert frets == ["2", "0", "2", "4", "4", "2", "1"]
    # For engraving there are no stems, and the tab has one plain note a group that keeps room:
    # two digits, four where an arc or a line leads on.
    kept = {
        n.get(ID): n.get("tab.fret")
        for n in _all(for_engraving, "note")
        if n.get("grace") and (n.get(ID) or "").startswith("t")
    }
    assert kept == {
        **{"t9-0-g0-3": "1000", "t9-1-g0-3": "10", "t9-1-g1-3": "1000", "t9-1-g2-3": "10"},
        **{"t9-2-g0-3": "1000", "t9-3-g0-1": "10"},
    }
    graces = [e for e in for_engraving.iter(MEI + "note", MEI + "chord") if e.get("grace")]
    assert {(e.get("stem.visible"), e.get("grace"), e.get("dur")) for e in graces} == {
        ("false", "acc", "4")
    }


@pytest.mark.parametrize(
    ("view", "with_meter"),
    # The meter stands once in a system, on the staff (common practice); tabs without a staff over
    # them have it each, as two versions that may be read alone.
    [(View.BOTH, ["1"]), (View.STAFF, ["1"]), (View.TAB, ["2", "3"])],
)
def test_the_meter_of_two_versions(view: View, with_meter: list[str]) -> None:
    score = tunes.case("nettle-hill")
    under = Under(score=score, notated=tuple(notate(score)))
    made = build_mei(score, notate(score), view=view, for_engraving=True, under=under)
    staves = _all(etree.fromstring(made), "staffDef")
    assert [s.get("n") for s in staves if s.get("meter.count")] == with_meter
    assert [s.get("n") for s in staves] == [
        *(["1"] if view is not View.TAB else []),
        *(["2"] if view is not View.STAFF else []),
        "3",
    ]
