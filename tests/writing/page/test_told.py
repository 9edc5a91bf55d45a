"""What the page of one score says, read as HTML and JSON without a browser.

The score is that of ``everything.py``; tables are by hand from it and by arithmetic: string and
fret make the pitch (MIDI 60 is C4).
"""

from __future__ import annotations

import gzip
import json
import re
from base64 import b64decode
from collections import Counter
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from lxml import html
from msgspec.structs import replace

import rollstave
from rollstave.grid.typed import SlideEdge
from rollstave.instruments.setup import Setup
from rollstave.score.records import Score
from rollstave.writing.options import SheetOptions
from rollstave.writing.page.timing import play_data
from tests import tunes
from tests.writing import everything

OPEN = {1: 62, 2: 59, 3: 55, 4: 50, 5: 67}
# The names of the notes of this tune, in G.
NAMES = {50: "D3", 52: "E3", 55: "G3", 57: "A3", 58: "B♭3", 59: "B3", 60: "C4", 62: "D4", 64: "E4"}
NAMES |= {65: "F4", 66: "F♯4", 67: "G4", 71: "B4", 74: "D5"}


def _page(score: Score, **options: Any) -> html.HtmlElement:
    made = rollstave.write(score, "html", SheetOptions(**options))[0].decode()
    return html.document_fromstring(made)


@pytest.fixture(scope="module")
def page() -> html.HtmlElement:
    return html.document_fromstring(everything.written("html").decode())


@pytest.fixture(scope="module")
def data(page: html.HtmlElement) -> dict[str, Any]:
    found = json.loads(page.get_element_by_id("score").text)
    assert isinstance(found, dict)
    return found


# The data -----------------------------------------------------------------------------------


def test_order_and_times(data: dict[str, Any]) -> None:
    lengths = [1, *[4] * 15]
    starts, now = [], 0
    for measure in everything.PLAYED:
        starts.append(now)
        now += lengths[measure]
    assert tuple(data["order"]) == everything.PLAYED
    assert data["starts"] == starts
    assert data["length"] == now
    assert [m["length"] for m in data["measures"]] == lengths
    assert [m["number"] for m in data["measures"]] == list(range(16))
    assert (data["title"], data["tempo"]) == ("All the Ferry's Bells", 96)
    assert (data["beat"], data["bar"], data["capo"], data["frets"]) == (1, 4, 0, 22)
    sections = {m["number"]: m["section"] for m in data["measures"] if "section" in m}
    assert sections == {1: "A part", 7: "Bridge", 13: "Coda"}


def test_every_note_has_its_pitch_and_its_place(data: dict[str, Any]) -> None:
    for measure, timed in zip(data["measures"], everything.TIMED, strict=True):
        at = Fraction(0)
        for event, (lasts, struck) in zip(measure["events"], timed, strict=True):
            assert event["at"] == pytest.approx(float(at), abs=1e-8)
            assert event["lasts"] == pytest.approx(float(lasts), abs=1e-8)
            assert [(n["string"], n["fret"]) for n in event["notes"]] == list(struck)
            for note in event["notes"]:
                # Fret 9 of the short string, counted along the long neck, is four above its peg.
                open_at = 5 if note["string"] == 5 and note["fret"] else 0
                midi = OPEN[note["string"]] + note["fret"] - open_at
                assert (note["midi"], note["name"]) == (midi, NAMES[midi])
                assert note["neck"] == note["fret"]
                index = measure["events"].index(event)
                address = f"{measure['number']}-{index}-0-{note['string']}"
                assert note["ids"] == [f"n{address}", f"t{address}"]
            at += Fraction(lasts)


_TOLD = ("bend", "vibrato", "muted", "ghost", "harmonic")


def test_every_sign_is_told_and_no_other(data: dict[str, Any]) -> None:
    found = {}
    for m, measure in enumerate(data["measures"]):
        for e, event in enumerate(measure["events"]):
            for note in event["notes"]:
                said = {
                    key: value
                    for key, value in note.items()
                    if key in (*_TOLD, "from", "to") or (key == "link" and not event.get("grace"))
                }
                if said:
                    found[m, e, note["string"]] = said
    wanted = {}
    for place, fields in everything.NOTES.items():
        told: dict[str, Any] = {key: fields[key] for key in _TOLD if key in fields}
        if "link" in fields:
            told["link"] = fields["link"].value
        for field, key in (("slide_from", "from"), ("slide_to", "to")):
            if field in fields:
                told[key] = 1 if fields[field] is SlideEdge.UP else -1
        if told:
            wanted[place] = told
    assert found == wanted
    brushed = [
        (m, e)
        for m, measure in enumerate(data["measures"])
        for e, event in enumerate(measure["events"])
        if event.get("brush")
    ]
    assert brushed == [(11, 0)]


def test_fingers_are_told_and_go_over_to_what_the_left_hand_makes(data: dict[str, Any]) -> None:
    for measure in (1, 12, 13):
        notes = [n for e in data["measures"][measure]["events"] for n in e["notes"]]
        assert "".join(n["finger"] for n in notes) == everything.FINGERS
    assert data["measures"][4]["events"][2]["notes"][0]["finger"] == "I"
    told = [n for m in data["measures"] for e in m["events"] for n in e["notes"] if "finger" in n]
    assert len(told) == 3 * 8 + 1


def test_drones_by_the_rule_of_the_voices(data: dict[str, Any]) -> None:
    # Rule of deciding/voices.py. The roll strikes strings 3 2 5 1 3 2 5 1 in eighths: string 2 and
    # string 1 fill in between the beats, open, twice; string 5 is open; string 3 is on the beat.
    # The last note of the tune is the short string again; its ninth fret takes part in the tune.
    drones: dict[int, list[int]] = {}
    for measure in data["measures"]:
        for event in measure["events"]:
            for note in event["notes"]:
                if note.get("drone"):
                    drones.setdefault(measure["number"], []).append(note["string"])
    roll = [2, 5, 1, 2, 5, 1]
    assert drones == {
        **{1: roll, 12: roll, 13: roll, 15: [5]},
        # Where beats are divided by four and by three, strings 2 and 1 fill in between them too.
        **{2: [2, 2, 1, 2, 1, 2, 1], 7: [2, 1, 2, 2, 1]},
    }


def test_held_notes_have_the_heads_that_are_drawn_later(data: dict[str, Any]) -> None:
    held = {
        (m["number"], i): e["held"]
        for m in data["measures"]
        for i, e in enumerate(m["events"])
        if "held" in e
    }
    ids = ["n8-1-1-2", "t8-1-1-2", "n8-1-1-1", "t8-1-1-1"]
    assert held == {(8, 1): [{"at": 2, "ids": ids}]}


def test_grace_notes(data: dict[str, Any]) -> None:
    events = data["measures"][9]["events"]
    told = [
        [
            [(n["string"], n["fret"], n["midi"], n.get("link")) for n in group]
            for group in e["grace"]
        ]
        for e in events
    ]
    assert told == [
        [[(3, 2, 57, None)]],
        [[(3, 0, 55, None)], [(3, 2, 57, None)], [(3, 4, 59, "slide")]],
        [[(3, 4, 59, None)]],
        [[(1, 2, 64, None), (2, 1, 60, None)]],
    ]
    links = [[n.get("link") for n in e["notes"]] for e in events]
    assert links == [["hammer-on"], [None], ["pull-off"], [None, None]]
    # A thirty-second; three in a row no more than a third of a quarter note together.
    assert [e["small"] for e in events] == [0.125, pytest.approx(1 / 9), 0.125, 0.125]
    others = [e for m in data["measures"] if m["number"] != 9 for e in m["events"]]
    assert not any("grace" in e or "small" in e for e in others)


def test_a_grace_note_is_struck_by_the_finger_of_its_note() -> None:
    from rollstave.score.records import Finger

    score = everything.score()
    measures = list(score.measures)
    event = measures[9].events[0]
    notes = (replace(event.notes[0], finger=Finger.MIDDLE),)
    measures[9] = replace(
        measures[9], events=(replace(event, notes=notes), *measures[9].events[1:])
    )
    events = play_data(replace(score, measures=tuple(measures)))["measures"][9]["events"]
    fingers = [[n.get("finger") for group in e["grace"] for n in group] for e in events]
    assert fingers == [["M"], [None] * 3, [None], [None] * 2]


@pytest.mark.parametrize(
    ("length", "beats", "missing"),
    [
        # A pickup is the end of a measure of four: of one quarter note it is the fourth beat; two
        # and a half begin half a beat before the third.
        (Fraction(1), [[0, 4]], 3),
        (Fraction(5, 2), [[0.5, 3], [1.5, 4]], 1.5),
        (Fraction(4), [[0, 1], [1, 2], [2, 3], [3, 4]], 0),
    ],
)
def test_beats_of_a_pickup(length: Fraction, beats: list[list[float]], missing: float) -> None:
    score = tunes.score([[(length, [(3, 0)])], [(4, [(3, 0)])]], pickup=True)
    first, second = play_data(score)["measures"]
    assert first["beats"] == beats
    assert first["missing"] == missing
    assert second["beats"] == [[0, 1], [1, 2], [2, 3], [3, 4]]
    assert "missing" not in second


def test_beats_of_compound_time() -> None:
    # 6/8 has two beats of three eighths (common practice); its pickup is one eighth.
    data = play_data(tunes.case("compound"))
    assert (data["beat"], data["bar"]) == (1.5, 3)
    assert [m["beats"] for m in data["measures"]] == [[], [[0, 1], [1.5, 2]], [[0, 1], [1.5, 2]]]


@pytest.mark.parametrize(
    ("held", "opened", "starts", "neck"),
    [
        # The short string begins at fret 5; a capo on the neck counts from itself. A small capo
        # (spike) on the short string moves where it begins, tuning it up at its peg does not.
        (tunes.setup(), 67, 5, 7),
        (tunes.setup(capo=2, raised=2), 69, 5, 7),
        (tunes.setup(capo=2, raised=2, by="peg"), 69, 3, 7),
        (tunes.setup(capo=2), 67, 3, 7),
        # Counted from its peg, fret 2 of the short string lies at fret 7 of the neck.
        (tunes.setup(count="peg"), 67, 5, 12),
    ],
)
def test_where_the_short_string_begins(held: Setup, opened: int, starts: int, neck: int) -> None:
    data = play_data(tunes.score([[(2, [(5, 7)]), (1, [(5, 0)]), (1, [(1, 7)])]], held=held))
    strings = data["strings"]
    assert [s["from"] for s in strings] == [0, 0, 0, 0, starts]
    assert strings[4]["midi"] == opened
    assert [s["midi"] - held.capo for s in strings[:4]] == [62, 59, 55, 50]
    assert (data["capo"], data["frets"]) == (held.capo, 22 - held.capo)
    short, opened_short, long = (e["notes"][0] for e in data["measures"][0]["events"])
    assert (short["neck"], opened_short["neck"], long["neck"]) == (neck, 0, 7)


# The words ----------------------------------------------------------------------------------


def _texts(page: html.HtmlElement, path: str) -> list[str]:
    return [re.sub(r"\s+", " ", e.text_content()).strip() for e in page.xpath(path)]


def _of_class(name: str, within: str) -> str:
    return f"//*[contains(concat(' ', @class, ' '), ' {name} ')]//{within}"


def test_head_of_the_page(page: html.HtmlElement) -> None:
    assert _texts(page, "//h1") == ["All the Ferry's Bells"]
    assert _texts(page, "//title")[0] == "All the Ferry's Bells"
    assert _texts(page, _of_class("facts", "li")) == [
        "Tuning: open G, gDGBD (G4 D3 G3 B3 D4)",
        "96 beats a minute",
    ]
    credits = ["Composer: Larkspur Ferry school", "Source: the bell book, page 3"]
    assert _texts(page, _of_class("credits", "li")) == credits
    assert not _texts(page, "//header//*[@class='tune-first']")


def test_words_around_the_music(page: html.HtmlElement) -> None:
    assert _texts(page, _of_class("notes", "p")) == ["Ring them slowly."]
    assert _texts(page, _of_class("rolls", "dt")) == ["forward roll"]
    assert _texts(page, _of_class("rolls", "dd")) == ["T I M T I M T M"]
    from tests.writing.test_on_the_sheet import KEY

    assert tuple(_texts(page, _of_class("signs", "dd"))) == KEY
    shown = _texts(page, _of_class("signs", "dt"))
    samples = {"thumb": "T", "hammer-on": "H", "muted": "x", "harmonic": "‹12›"}
    assert {k: shown[KEY.index(k)] for k in samples} == samples
    # A sign that is no word is drawn.
    drawn = page.xpath(_of_class("signs", "dt[svg]"))
    # Grace notes are drawn digits, and so is a half note with its stem.
    assert len(drawn) == sum(not words for words in shown) + 2
    (remarks,) = _texts(page, "//p[@class='remarks']")
    assert remarks.startswith(
        "Letters and chord names in italics are suggestions: the tab does not have them."
    )
    assert "The fingers of the shapes are suggestions." in remarks
    assert not page.xpath("//details[contains(@class, 'unsure-list')]")


def test_shapes_are_said_in_words(page: html.HtmlElement) -> None:
    # What is held while the chords last: all that is struck in measure 1 is open, string 4 is not
    # struck in it.
    said = _texts(page, "//section[@class='shapes']//li/span")
    assert len(said) == 3
    names = [words.partition(",")[0].removesuffix(" (suggested)") for words in said]
    assert names == ["G", "Am7", "D7/F♯"]  # Am7 is struck in measure 8, where its name goes on
    frets = r"from string 1: (?:(?:open|\d+|not played)(?:, )?){5}(?:from measure \d+)?$"
    assert all(re.search(frets, words) for words in said)
    assert len(page.xpath("//section[@class='shapes']//li/svg")) == 3


def test_switches_and_numbers(page: html.HtmlElement) -> None:
    for name in ("loop-from", "loop-to"):
        assert _texts(page, f"//select[@id='{name}']/option") == [
            "pickup",
            *(str(n) for n in range(1, 16)),
        ]
        values = page.xpath(f"//select[@id='{name}']/option/@value")
        assert values == [str(n) for n in range(16)]
    strings = page.xpath("//button[@data-hear='string']")
    assert [b.get("data-value") for b in strings] == ["1", "2", "3", "4", "5"]
    assert [b.get("aria-label") for b in strings] == [f"String {n}" for n in range(1, 6)]
    fingers = page.xpath("//button[@data-hear='finger']")
    assert [(b.get("data-value"), b.text) for b in fingers] == [
        ("T", "Thumb"),
        ("I", "Index"),
        ("M", "Middle"),
    ]


def test_strings_that_are_tuned_otherwise_are_said_first() -> None:
    # Open D, f#DF#AD: string 2 is two semitones down from B, 3 one down from G, 5 one down from G.
    held = tunes.setup("f#DF#AD")
    page = _page(tunes.score([[(4, [(3, 0)])]], held=held))
    (words,) = _texts(page, "//p[@class='tune-first'][strong]")
    assert words == (
        "Tune first: string 2 down 2 semitones, from B3 to A3; "
        "string 3 down 1 semitone, from G3 to F♯3; string 5 down 1 semitone, from G4 to F♯4."
    )
    # Slacker strings do not break, tighter ones may.
    tight = _page(tunes.score([[(4, [(3, 0)])]], held=tunes.setup("gCGCD")))
    (words,) = _texts(tight, "//p[@class='tune-first'][strong]")
    assert "string 2 up 1 semitone, from B3 to C4" in words
    assert "string 4 down 2 semitones, from D3 to C3" in words
    assert "break" in words


def test_unsure_measures_are_listed_with_their_reasons() -> None:
    score = everything.score()
    rhythm = replace(score.measures[2].rhythm, sure=False, confidence=0.625, reasons=("a", "b"))
    measures = list(score.measures)
    measures[2] = replace(measures[2], rhythm=rhythm)
    page = _page(replace(score, measures=tuple(measures)), chord_row=False)
    assert _texts(page, "//details//summary") == ["1 measure whose rhythm is not sure"]
    assert _texts(page, "//details//li") == ["Measure 2: 62% sure. a; b"]
    signs = page.xpath("//*[@class='unsure-sign']")
    assert signs
    assert {s.get("aria-label") for s in signs} == {"Measure 2: 62% sure. a; b"}
    assert {(s.get("tabindex"), s.get("role")) for s in signs} == {("0", "button")}
    assert not page.xpath("//section[@class='shapes']")
    (remarks,) = _texts(page, "//p[@class='remarks']")
    assert "shapes" not in remarks


# The drawings -------------------------------------------------------------------------------


def _drawings(page: html.HtmlElement) -> dict[int, html.HtmlElement]:
    """The engraving of each width, unpacked; the one that stands in the page too."""
    paper = page.xpath("//*[contains(@class, 'engraving paper')]")[0]
    found = {int(paper.get("data-width")): paper}
    for packed in page.xpath("//script[@data-width]"):
        words = gzip.decompress(b64decode(packed.text)).decode()
        found[int(packed.get("data-width"))] = html.fragment_fromstring(words, create_parent="div")
    return found


def test_every_width_has_every_measure_and_every_head(page: html.HtmlElement) -> None:
    drawings = _drawings(page)
    assert sorted(drawings) == [90, 130, 186, 250]
    systems = []
    for width, drawing in drawings.items():
        grounds = [int(r.get("data-measure")) for r in drawing.xpath(".//rect[@data-measure]")]
        assert grounds == list(range(16)), width
        ids = list(drawing.xpath(".//*/@id"))
        assert len(ids) == len(set(ids))
        for m, timed in enumerate(everything.TIMED):
            for e, (_, struck) in enumerate(timed):
                for string, _ in struck:
                    for staff in "nt":
                        assert f"w{width}-{staff}{m}-{e}-0-{string}" in ids
        labels = drawing.xpath(".//svg[@role='group']/@aria-label")
        spans = [[int(n) for n in re.findall(r"\d+", label)] for label in labels]
        assert spans[0][0] == 0
        assert spans[-1][-1] == 15
        for (*_, end), (start, *_) in pairwise(spans):
            assert start == end + 1
        assert all(("to" in label) == (len(s) == 2) for label, s in zip(labels, spans, strict=True))
        systems.append((width, len(labels)))
    # The wider, the fewer.
    counts = [count for _, count in sorted(systems)]
    assert counts == sorted(counts, reverse=True)
    assert counts[0] > counts[-1]


def test_nothing_that_is_drawn_lacks_its_definition(page: html.HtmlElement) -> None:
    """Each glyph that is used is defined; each class of looks has its rule, and only those."""
    defined = set(page.xpath("//svg[@class='glyphs']//*/@id"))
    # A glyph at a size is defined by the glyph itself.
    assert {h[1:] for h in page.xpath("//svg[@class='glyphs']//use/@href")} <= defined
    style = "".join(page.xpath("//style/text()"))
    rules = set(re.findall(r"\.(l\d+)\{", style))
    used: set[str] = set()
    for drawing in _drawings(page).values():
        links = {h[1:] for h in drawing.xpath(".//use/@href")}
        assert links
        assert links <= defined
        assert not drawing.xpath(".//use/@transform")
        for names in drawing.xpath(".//@class"):
            used |= set(re.findall(r"\bl\d+\b", names))
    assert used <= rules
    # Thickness of lines and sizes of letters have a unit in a style sheet (CSS 2.1, 4.3.2).
    assert not re.search(r"(?:font-size|stroke-width):[\d.]+[;}]", style)


def test_the_page_has_what_the_sheet_has(page: html.HtmlElement) -> None:
    """As many glyphs, words and marks on the paper's engraving as on a figure of that width."""
    options = SheetOptions(title_block=False, width=186.0, mark_unsure=True)
    (figure,) = rollstave.write(everything.score(), "svg", options)
    from lxml import etree

    sheet = etree.fromstring(figure)
    music = [g for g in sheet.iter("{*}g") if g.get("class") == "system"]
    drawing = _drawings(page)[186]
    glyphs = sum(1 for g in music for _ in g.iter("{*}use"))
    assert len(drawing.xpath(".//use")) == glyphs
    words = sorted("".join(map(str, t.itertext())) for g in music for t in g.iter("{*}text"))
    assert sorted(t.text_content() for t in drawing.xpath(".//text")) == words
    drawn = Counter(
        kind
        for g in music
        for e in g.iter("{*}path", "{*}rect")
        for kind in e.get("class", "").split()
    )
    # What the page adds of its own are looks, l and a number.
    kept = Counter(
        kind
        for names in drawing.xpath(".//*[self::path or self::rect]/@class")
        for kind in names.split()
        if not re.fullmatch(r"l\d+", kind)
    )
    assert kept == drawn
    marks = {"arc", "slide", "tie", "bend", "brush", "ending", "roll", "hyphen"}
    assert marks | {"grace", "grace-slash", "grace-slur"} <= set(drawn)


# Another version ----------------------------------------------------------------------------


def test_both_versions_are_on_the_page() -> None:
    score = tunes.case("nettle-hill")
    slower = replace(score, tempo=score.sounding_tempo / 2)
    made = rollstave.beside(score, rollstave.Reworked(score=slower, says="at half its tempo"))
    page = _page(made)
    buttons = page.xpath("//button[@data-version]")
    # As it is said, with a capital, in the order in which they are shown.
    assert [b.text for b in buttons] == ["As it was", "At half its tempo"]
    assert [b.get("aria-pressed") for b in buttons] == ["true", "false"]
    first, second = (json.loads(s.text) for s in page.xpath("//script[@type='application/json']"))
    assert first["tempo"] == 2 * second["tempo"]
    # Each is engraved at the same widths; the page begins with the first on paper.
    drawn: dict[str, set[str]] = {"0": {page.find_class("paper")[0].get("data-width")}, "1": set()}
    for packed in page.xpath("//script[@data-width]"):
        drawn[packed.get("data-version", "0")].add(packed.get("data-width"))
    assert drawn["0"] == drawn["1"]
    assert len(drawn["1"]) > 2
    facts = page.xpath("//ul[@class='facts']")
    assert [(f.get("data-of"), f.get("hidden") is None) for f in facts] == [
        *(("0", True), ("1", False)),
    ]
    alone = _page(score)
    assert not alone.xpath("//button[@data-version]")
