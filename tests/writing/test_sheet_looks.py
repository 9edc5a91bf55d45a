"""What a sheet shows where: pages, short systems, the key, diagrams, other instruments.

Rules of engraving and of chord diagrams: common practice, no source.
"""

from __future__ import annotations

import pytest
from lxml import etree
from msgspec.structs import replace

import rollstave
from rollstave.deciding.hands import HANDS
from rollstave.deciding.picking import in_hand
from rollstave.deciding.shape_row import shape_row
from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.score.records import Finger, Score
from rollstave.vocabulary.hands import HAND_WORDS
from rollstave.writing.book import write_book
from rollstave.writing.options import PAPERS, SheetOptions, View
from rollstave.writing.sheet.diagram import draw_diagram
from tests import tunes
from tests.writing.test_sheet_geometry import SVG, lines_of, overlapping, systems, texts

GUITAR = """Title: Gate Song
Instrument: guitar
Key: G
Time: 4/4

   G               C               D7              G
e|-3-----3-----3---|-0-----0---------|-2---2---2-------|-3---------------|
B|---0-----0-----0-|---1-----1-------|---1---1---1-----|-0---------------|
G|-----0-----0-----|-----0-----0-----|-2---2---2-------|-0---------------|
D|-----------------|---------------2-|-0-------------0-|-0---------------|
A|-----------------|-3-------3-------|-----------------|-2---------------|
E|-3-------3-------|-----------------|-----------------|-3---------------|
"""
BASS = """Title: Low Water
Instrument: bass
Key: G
Time: 4/4

   G               C
G|-----------0---|-------------0---|
D|-------0-------|-----2---5-------|
A|---2-----------|-3---------------|
E|-3-------------|-----------------|
"""
RESTS = """Title: Waiting
Tuning: gDGBD
Time: 4/4

D|-----0---|-0-------|
B|---0-----|---------|
G|-0-----0-|---------|
D|---------|-----0---|
g|---------|---------|
   q q q q   h   h
"""


def sheet(score: Score, **options: object) -> tuple[etree._Element, ...]:
    made = rollstave.write(score, "svg", SheetOptions(**options))  # type: ignore[arg-type]
    return tuple(etree.fromstring(page) for page in made)


def classes(roots: tuple[etree._Element, ...]) -> list[str]:
    return [e.get("class", "") for root in roots for e in root.iter()]


@pytest.mark.parametrize(
    ("options", "staff"),
    [
        ({}, 7.0),
        ({"size": "small"}, 6.0),
        ({"size": "pocket", "paper": PAPERS["a5"]}, 5.0),
        ({"title_block": False, "width": 120.0}, 7.0),
    ],
)
def test_a_staff_has_the_height_of_its_size_however_long_the_tune(
    options: dict[str, object], staff: float
) -> None:
    # 7 mm is the size of single sheets and parts (Gould, Behind Bars, 2011, from memory).
    for case in (*(p.stem for p in tunes.SAMPLES), "every-sign", "compound"):
        for root in sheet(tunes.case(case), **options):
            width = float(str(root.get("viewBox")).split()[2])
            millimetres = float(str(root.get("width")).removesuffix("mm")) / width
            for system in systems((root,)):
                lines = [
                    float(str(path.get("d")).split()[1])
                    for path in system.find(f".//{SVG}g[@class='staff']").iterfind(f"{SVG}path")
                ]
                assert (lines[4] - lines[0]) * millimetres == pytest.approx(staff, abs=0.02)


@pytest.mark.parametrize(("large", "points"), [(False, 9.0), (True, 14.0)])
def test_frets_and_letters_are_large_black_and_frets_semibold(large: bool, points: float) -> None:
    # DTP point: 1/72 inch of 25.4 mm. Black: no colour and no opacity of their own.
    for case in ("slate-roof-rain", "every-sign"):
        for root in sheet(tunes.case(case), large=large):
            width = float(str(root.get("viewBox")).split()[2])
            millimetres = float(str(root.get("width")).removesuffix("mm")) / width
            found = [
                t
                for t in root.iter(f"{SVG}text")
                if t.get("class") in ("fret", "finger", "finger inferred")
            ]
            assert found
            for t in found:
                size = float(str(t.get("font-size"))) * millimetres * 72 / 25.4
                assert size >= points
                assert not {"fill", "fill-opacity", "opacity"} & set(t.attrib)
                assert (t.get("font-weight") == "600") is (t.get("class") == "fret")


def test_a_second_ending_of_two_measures_is_not_stretched() -> None:
    found = {}
    # A figure, which has no page that its lines could be shared out for.
    for system in systems(sheet(tunes.case("ferry-landing"), title_block=False)):
        sizes = len(system.findall(f".//{SVG}g[@class='measure']"))
        lines = system.find(f"{SVG}g[@class='marks lines']")
        assert lines is not None
        numbers = str(lines[0].get("d")).replace("M", " ").replace("H", " ").split()
        found.setdefault(sizes, []).append(float(numbers[-1]))
    (short,) = found[2]
    full = max(found[4])
    assert 0.4 * full < short < 0.65 * full
    assert all(end == pytest.approx(full, abs=20) for end in found[4])


def test_the_key_has_the_signs_of_the_sheet_and_no_others() -> None:
    def key(case: str, **options: object) -> set[str]:
        return {
            "".join(t.itertext())
            for root in sheet(tunes.case(case), **options)
            for t in root.iter(f"{SVG}text")
            if t.get("class") == "key-words"
        }

    ferry = key("ferry-landing")
    assert {"thumb", "hammer-on", "pull-off", "slide", "open string"} <= ferry
    assert not {"brush", "muted", "harmonic", "vibrato"} & ferry
    # The typist's own legend says what x and <12> are: nothing is said twice.
    assert not {"muted", "harmonic"} & key("slate-roof-rain")
    assert {"muted", "harmonic"} <= key("bends-and-ghosts") | key("wide-frets")
    assert "brush" in key("copper-weathervane")
    assert not key("ferry-landing", view=View.STAFF, chord_row=False)


def test_diagrams_show_open_and_silent_strings() -> None:
    found = classes(sheet(tunes.case("ferry-landing")))
    # G, C, D7, Em, D in open G: every string is stopped, open or silent.
    assert found.count("chord-shape") == 5
    assert found.count("silent-string") == 2  # the short string of D7 and D
    stopped = sum(bool(f) for f in (2, 1, 2, 4, 1, 2, 2, 2, 4, 3, 2))
    assert found.count("open-string") == 5 * 5 - stopped - 2


def test_a_string_that_is_only_not_struck_has_neither_ring_nor_cross() -> None:
    # Lantern Stairs holds 3:12 2:13 1:14 of C (shared with the trade's shapes); the fourth string
    # is not struck, and nothing says that it must not be.
    row = shape_row(tunes.case("lantern-stairs"))
    (high,) = [held for held in row if held.frets[:4] == (14, 13, 12, None)]
    assert high.partial
    assert not any(held.partial for held in row if None not in held.frets)
    for held in row:
        group = etree.Element(f"{SVG}g")
        draw_diagram(group, held, FIVE_STRING_BANJO, 0.0, 0.0)
        names = [e.get("class") for e in group.iter()]
        crosses = 0 if held.partial else held.frets.count(None)
        assert names.count("silent-string") == crosses
        assert names.count("open-string") == held.frets.count(0)


def test_written_and_suggested_letters_differ_by_their_slope_alone() -> None:
    letters = [
        t
        for root in sheet(tunes.case("ferry-landing"))
        for t in root.iter(f"{SVG}text")
        if t.get("class", "").startswith("finger")
    ]
    for text in letters:
        inferred = text.get("class") == "finger inferred"
        assert (text.get("font-style") == "italic") is inferred
        assert not {"fill", "fill-opacity", "opacity", "font-weight"} & set(text.attrib)


@pytest.mark.parametrize(("text", "strings"), [(GUITAR, 6), (BASS, 4)])
@pytest.mark.parametrize("view", list(View))
def test_other_instruments_have_their_own_lines(text: str, strings: int, view: View) -> None:
    score = rollstave.read(text)[0].score
    roots = sheet(score, view=view)
    assert not [pair for root in roots for pair in overlapping(texts(root))]
    for system in systems(roots):
        assert len(lines_of(system)) == (strings if view.has_tab else 0)
    found = classes(roots)
    # No picking hand is inferred for them, and a chord of theirs is no brush.
    assert not any(name.startswith("finger") for name in found)
    assert "brush" not in found


def test_a_bass_has_its_clef() -> None:
    # SMuFL 1.4: U+E062 is the bass clef, U+E064 the bass clef an octave lower; U+E050 and U+E052
    # the treble clef and the one an octave lower.
    def clefs(text: str) -> set[str]:
        made = rollstave.write(rollstave.read(text)[0], "svg")[0].decode()
        return {code for code in ("E050", "E052", "E062", "E064") if f"glyph-{code}" in made}

    assert clefs(GUITAR) == {"E052"}
    assert clefs(BASS) == {"E064"}


def test_stems_of_a_bass_turn_at_the_middle_line_of_its_clef() -> None:
    # Common practice: on or over the middle line (D3 as written, D2 as it sounds) stems go down.
    from rollstave.notating.notation import notate

    score = rollstave.read(BASS)[0].score
    for notated in notate(score):
        for symbol in notated.symbols:
            if symbol.beam is None and symbol.heads:
                assert symbol.stem_up is (symbol.heads[0].note.pitch.midi < 38)


def test_rests_on_both_staves_if_asked() -> None:
    score = rollstave.read(RESTS)[0].score
    measures = list(score.measures)
    last = measures[1].events[-1]
    measures[1] = replace(
        measures[1], events=(measures[1].events[0], replace(last, notes=(), brush=False))
    )
    score = replace(score, measures=tuple(measures))
    count = {
        (view, both): classes(sheet(score, view=view, tab_rests=both)).count("rest")
        for view in View
        for both in (False, True)
    }
    assert count[View.BOTH, False] == 1
    assert count[View.BOTH, True] == 2
    assert count[View.TAB, False] == count[View.STAFF, False] == 1


def test_hands_by_name() -> None:
    assert set(HAND_WORDS.values()) == set(HANDS)
    score = tunes.case("nettle-hill")
    for name in HAND_WORDS:
        held = in_hand(score, name)
        fingers = {n.finger for m in held.measures for e in m.events for n in e.notes if n.finger}
        assert fingers <= set(HANDS[HAND_WORDS[name]].costs)
        assert held.style == HAND_WORDS[name]
    assert Finger.MIDDLE not in {
        n.finger for m in in_hand(score, "two-finger").measures for e in m.events for n in e.notes
    }
    assert in_hand(score, None) is score
    guitar = rollstave.read(GUITAR)[0].score
    assert in_hand(guitar, "bluegrass") is guitar


def test_a_book_is_the_same_with_any_number_of_workers() -> None:
    scores = [tunes.case(p.stem) for p in tunes.SAMPLES]
    seen: list[int] = []
    alone = write_book(scores)
    shared = write_book(scores, workers=2, progress=lambda: seen.append(1))
    assert alone == shared
    assert len(seen) == len(scores)


def test_left_hand_fingers_where_they_are_written() -> None:
    # MusicXML 4.0: ``fingering`` is the finger of the left hand of a fretted instrument. They
    # stand on one line, centred under their digits, and come back from MusicXML.
    score = tunes.case("ferry-landing")
    measures = list(score.measures)
    wanted = 0
    for index, measure in enumerate(measures[:4]):
        events = []
        for event in measure.events:
            notes = tuple(
                replace(n, left_finger=1 + (n.fret - 1) % 4) if n.fret else n for n in event.notes
            )
            wanted += sum(bool(n.fret) for n in notes)
            events.append(replace(event, notes=notes))
        measures[index] = replace(measure, events=tuple(events))
    score = replace(score, measures=tuple(measures))
    for view in (View.BOTH, View.TAB):
        roots = sheet(score, view=view)
        assert not [pair for root in roots for pair in overlapping(texts(root))]
        for system in systems(roots):
            numbers = [
                t for t in system.iter(f"{SVG}text") if t.get("class") == "left-finger written"
            ]
            frets = {t.get("x") for t in system.iter(f"{SVG}text") if t.get("class") == "fret"}
            assert len({t.get("y") for t in numbers}) <= 1
            assert {t.get("x") for t in numbers} <= frets
        assert classes(roots).count("left-finger written") == wanted
    (xml,) = rollstave.write(score, "musicxml")
    (back,) = rollstave.read(xml)
    assert [n.left_finger for m in back.score.measures for e in m.events for n in e.notes] == [
        n.left_finger for m in score.measures for e in m.events for n in e.notes
    ]


LEFT_HAND = """Title: Two Hands
Tuning: gDGBD
Time: 4/4

D|-2-------0-------|
B|-1---1-------1---|
G|-----------2---0-|
D|-2---------------|
g|-----------------|
LH 213 1     2 1
"""


def test_a_line_of_left_hand_fingers_is_read_and_written_back() -> None:
    # Fingers of a chord are typed as chord shapes are, the lowest string first (our spelling).
    (tune,) = rollstave.read(LEFT_HAND)
    found = [
        [(n.string, n.left_finger) for n in e.notes if n.left_finger]
        for m in tune.score.measures
        for e in m.events
    ]
    assert [f for f in found if f] == [[(1, 3), (2, 1), (4, 2)], [(2, 1)], [(3, 2)], [(2, 1)]]
    (again,) = rollstave.read(rollstave.write(tune, "text")[0])
    assert found == [
        [(n.string, n.left_finger) for n in e.notes if n.left_finger]
        for m in again.score.measures
        for e in m.events
    ]


def test_an_open_string_between_fingers_is_typed_as_0() -> None:
    """As chord shapes are typed: the lowest string first, 0 for an open one."""
    lines = LEFT_HAND.replace("D|-2-------0-------|\nB|-1", "D|-2-------0-------|\nB|-0", 1)
    (tune,) = rollstave.read(lines.replace("LH 213", "LH 203"))
    typed = rollstave.write(tune, "text")[0].decode()
    (line,) = (line for line in typed.splitlines() if line.startswith("LH"))
    assert line.split()[1] == "203"


def test_too_many_left_hand_fingers_are_pointed_out() -> None:
    (tune,) = rollstave.read(LEFT_HAND.replace("LH 213 1 ", "LH 21  12"))
    assert [p.code for p in tune.problems if p.code == "left-hand"] == ["left-hand"] * 2
