"""Every word and mark that the sheet of one score must have, how often, and where.

The score is that of ``everything.py``; the tables are worked out by hand from it. Where a mark must
stand is common practice (Gould, Behind Bars, 2011, from memory), said loosely enough for any good
engraving: beside this note, over this measure, on this line.
"""

from __future__ import annotations

import re
from collections import Counter

import pytest
from lxml import etree
from msgspec import Struct
from msgspec.structs import replace

import rollstave
from rollstave.deciding.shape_row import shape_changes
from rollstave.rhythm.meter import Meter
from rollstave.writing.options import SheetOptions, View
from tests import tunes
from tests.writing import everything

SVG = "{http://www.w3.org/2000/svg}"
HREF = "{http://www.w3.org/1999/xlink}href"
_PLACE = re.compile(r"translate\((-?[\d.]+)[ ,]+(-?[\d.]+)\)")
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
SPACE = 315.0  # between two lines of the tab, in units


def _words(text: etree._Element) -> str:
    return "".join(map(str, text.itertext())).strip()


def _kind(element: etree._Element) -> str:
    return element.get("class") or ""


class Mark(Struct, frozen=True):
    """A text or a drawn sign: its class, its words, where it begins, and its anchor."""

    kind: str
    words: str
    x: float
    y: float
    anchor: str = "start"


class System(Struct, frozen=True):
    """What one system has, in its own units: digits by their ids, marks, the heights of the lines
    of the staff and of the tab."""

    digits: dict[str, tuple[float, float]]
    marks: list[Mark]

    @property
    def measures(self) -> list[int]:
        return sorted({int(name.split("-")[0]) for name in self.digits})

    def first(self, measure: int) -> float:
        """Where the first digit of a measure stands."""
        return min(x for name, (x, _) in self.digits.items() if name.startswith(f"{measure}-"))

    def last(self, measure: int) -> float:
        return max(x for name, (x, _) in self.digits.items() if name.startswith(f"{measure}-"))

    def one(self, kind: str, words: str = "") -> Mark:
        found = [m for m in self.marks if m.kind == kind and (not words or m.words == words)]
        assert len(found) == 1, (kind, words, found)
        return found[0]


def _start(path: etree._Element) -> tuple[float, float]:
    """Where a path begins, moved to where it is put."""
    place = _PLACE.match(path.get("transform", ""))
    if place:
        return float(place[1]), float(place[2])
    numbers = _NUMBER.findall(path.get("d", "M0 0"))
    return float(numbers[0]), float(numbers[1])


def _system(group: etree._Element) -> System:
    digits = {}
    marks = []
    for element in group.iter(f"{SVG}text", f"{SVG}path", f"{SVG}rect"):
        if element.tag == f"{SVG}text":
            at = float(element.get("x", "0")), float(element.get("y", "0"))
            parent = element.getparent()
            name = parent.get("id", "") if parent is not None else ""
            if _kind(element).startswith("fret"):
                digits[name.rsplit("-t", 1)[-1]] = at
            anchor = element.get("text-anchor") or "start"
            marks.append(Mark(_kind(element), _words(element), *at, anchor))
        elif _kind(element):
            marks.append(Mark(f"<{_kind(element)}>", "", *_start(element)))
    return System(digits, marks)


def _systems(page: bytes) -> list[System]:
    root = etree.fromstring(page)
    return [_system(g) for g in root.iter(f"{SVG}g") if _kind(g) == "system"]


@pytest.fixture(scope="module")
def root() -> etree._Element:
    return etree.fromstring(everything.written("svg"))


@pytest.fixture(scope="module")
def systems() -> list[System]:
    return _systems(everything.written("svg"))


def _of(systems: list[System], measure: int) -> System:
    return next(s for s in systems if measure in s.measures)


# What stands in the music, and how often: class and words.
WORDS = {
    **{("chord", name): 1 for name in ("G", "Am7", "N.C.")},
    ("chord inferred", "D7/F♯"): 1,
    **{("section", name): 1 for name in ("A part", "Bridge", "Coda")},
    **{("ending", name): 1 for name in ("1.", "2.")},
    **{("direction", words): 1 for words in ("play 3 times", "To Coda", "D.S. al Coda")},
    **{("measure-number", number): 1 for number in ("5", "7", "11", "13")},
    **{("finger", letter): count for letter, count in (("T", 9), ("I", 6), ("M", 9))},
    ("finger inferred", "I"): 1,
    ("left-finger written", "3"): 1,
    **{("lyric", syllable): 1 for syllable in ("Row", "har", "bour", "mas", "ter")},
    # Two hammer-ons, one of them over a bar, and one from a grace note; the same of pull-offs.
    **{("link", "H"): 3, ("link", "P"): 2, ("link", "t"): 1},
    **{("bend", "½"): 1, ("bend", "1½"): 1},
    ("roll", "forward roll"): 1,
    **{("fret grace", fret): count for fret, count in (("0", 1), ("1", 1), ("2", 3), ("4", 2))},
    **{("fret", words): 1 for words in ("x", "[0]", "‹12›", "(1)", "(2)")},
}
# What is drawn of each kind: arcs of hammer-ons, pull-offs and the tap; slides between notes and
# from or to nowhere; six stems of grace notes, flag and stroke of three, two beams of three.
DRAWN = {
    "arc": 4 + 2,
    "slide": 2 + 4 + 4,
    "gliss": 2,  # the slides between two notes, on the staff
    "tie": 2,
    "caution": 2,
    "ring": 1,
    "vibrato": 1,
    "bend": 2 * 2 * 2,  # on staff and tab
    "brush": 2,
    "grace": 6 + 3 + 2,
    "grace-slash": 3,
    "grace-slur": 3,
    "ending": 2,
    "roll": 1,
    "jump segno": 1,
    "jump coda": 2,
    "line": 5 * 5,
    "hyphen": 3,
    "ghost": 2,
    "frame": 2,  # of headings; that of the coda has its sign
}
# SMuFL 1.4: heads (black, half, cross, diamond), parentheses, rests (whole, eighth), accidentals
# (flat, natural, sharp: the sharp is the key's), dots of repeats, clefs (treble with 8 below, tab)
# of five systems, the digits 4 of the meter, the 3 of three triplets.
GLYPHS = {
    # Half notes: the brushed chord of four, one alone and a chord of two at the end.
    "E0A3": 4 + 1 + 2,
    "E0A9": 1,
    "E0DB": 1,
    # The parentheses of a natural that only warns and the square brackets of the ghost are drawn.
    "E26A": 0,
    "E26B": 0,
    "E4E3": 1,
    "E4E6": 1,
    "E260": 2,
    "E261": 2 + 1,
    "E262": 5,
    # Two dots on each of two staves for each of four signs of repeats, in two halves.
    "E044": 4 * 2 * 2,
    "E052": 5,
    "E06D": 5,
    "E084": 2,
    "E883": 6,
}


def test_every_word_of_the_music(systems: list[System]) -> None:
    found = Counter((m.kind, m.words) for s in systems for m in s.marks if m.words and m.kind)
    plain = {key: n for key, n in found.items() if not (key[0] == "fret" and key[1].isdigit())}
    assert plain == WORDS


def test_every_drawn_mark(root: etree._Element) -> None:
    music = [g for g in root.iter(f"{SVG}g") if _kind(g) == "system"]
    shapes = (f"{SVG}path", f"{SVG}rect")
    found = Counter(_kind(e) for g in music for e in g.iter(*shapes) if _kind(e))
    assert found == DRAWN


def test_every_glyph(root: etree._Element) -> None:
    found = Counter(u.get(HREF, "").rsplit("-", 1)[-1] for u in root.iter(f"{SVG}use"))
    assert {code: found[code] for code in GLYPHS} == GLYPHS
    # Black heads: all other heads of the staff, tied ones too; grace notes have heads of their own.
    heads = sum(len(e.notes) for m in everything.score().measures for e in m.events)
    graces = sum(len(g) for m in everything.score().measures for e in m.events for g in e.grace)
    tied = 2
    others = GLYPHS["E0A3"] + GLYPHS["E0A9"] + GLYPHS["E0DB"]
    assert found["E0A4"] == heads + graces + tied - others


def test_beams_dots_ties_slurs_and_triplets(root: etree._Element) -> None:
    """What Verovio draws, by its classes: 15 groups under a beam on each staff; two tied heads; the
    slurs on the staff; three triplets, with their number on either staff."""
    found = Counter(_kind(g) for g in root.iter(f"{SVG}g"))
    assert found["beam"] == 2 * 15
    # Three hammer-ons and pull-offs and the slide between notes; the sheet draws those of graces.
    assert (found["tie"], found["slur"]) == (2, 4)
    assert (found["tuplet"], found["tupletNum"]) == (2 * 3, 2 * 3)
    assert (found["rest"], found["mRest"], found["space"], found["mSpace"]) == (1, 1, 1, 1)
    # Dots of the dotted eighth, the chord of two and the dotted quarter on the staff; one for each
    # on the tab; the head of the metronome mark is an ellipse too.
    assert len(list(root.iter(f"{SVG}ellipse"))) == (1 + 2 + 1) + 3 + 1


# Where they stand ---------------------------------------------------------------------------


def test_letters_stand_under_the_notes_that_they_pick(systems: list[System]) -> None:
    for measure in (1, 12, 13):
        system = _of(systems, measure)
        for event, letter in enumerate(everything.FINGERS):
            (x,) = {
                x for n, (x, _) in system.digits.items() if n.startswith(f"{measure}-{event}-0")
            }
            under = [m for m in system.marks if m.kind == "finger" and abs(m.x - x) < 1]
            assert [m.words for m in under] == [letter]
            assert under[0].y > max(y for _, y in system.digits.values())


def test_marks_stand_beside_their_digits(systems: list[System]) -> None:
    # Measure, event and string as in the score; to the right of the digit, near its line.
    for name, kind in (
        ("4-1-0-3", "<bend>"),
        ("4-2-0-2", "<vibrato>"),
        ("4-3-0-1", "<bend>"),
        ("4-3-0-1", "<ring>"),
        ("6-2-0-2", "<slide>"),
        ("6-3-0-2", "<slide>"),
    ):
        system = _of(systems, int(name.split("-")[0]))
        x, y = system.digits[name]
        near = [
            m for m in system.marks if m.kind == kind and 0 < m.x - x < 400 and abs(m.y - y) < SPACE
        ]
        assert near, (name, kind)
    left = _of(systems, 4).one("left-finger written")
    assert abs(left.x - _of(systems, 4).digits["4-1-0-3"][0]) < 1
    inferred = _of(systems, 4).one("finger inferred")
    assert abs(inferred.x - _of(systems, 4).digits["4-2-0-2"][0]) < 1


def _slide(path: etree._Element) -> tuple[float, float, float, float]:
    x1, y1, x2, y2 = (float(n) for n in _NUMBER.findall(path.get("d", ""))[:4])
    return x1, y1, x2, y2


def test_slides_from_and_to_nowhere_go_the_way_they_were_typed(root: etree._Element) -> None:
    lines = [_slide(p) for p in root.iter(f"{SVG}path") if _kind(p) == "slide"]
    edges = [line for line in lines if abs(line[2] - line[0]) == 170]
    assert len(edges) == 4
    # From below, from above, up to nowhere, down to nowhere: the height falls as a line rises.
    assert [y1 > y2 for _, y1, _, y2 in edges] == [True, False, True, False]
    assert all(x1 < x2 for x1, _, x2, _ in edges)
    system = next(s for s in _systems(everything.written("svg")) if 6 in s.measures)
    digits = [system.digits[n][0] for n in ("6-0-0-3", "6-1-0-3", "6-2-0-2", "6-3-0-2")]
    before = [x2 < digit for (_, _, x2, _), digit in zip(edges, digits, strict=True)]
    assert before == [True, True, False, False]


def test_slides_from_and_to_nowhere_are_on_the_staff(root: etree._Element) -> None:
    """A line beside the head, which slants the way that the slide goes; nearer than a head is wide
    (1.18 staff spaces: SMuFL 1.4, noteheadBlack of Bravura, from memory)."""
    layers = [g for g in root.iter(f"{SVG}g") if _kind(g) == "marks edges"]
    lines = [_slide(p) for g in layers for p in g.iter(f"{SVG}path")]
    assert [y1 > y2 for _, y1, _, y2 in lines] == [True, False, True, False]
    heads = [_head(root, n) for n in ("6-0-0-3", "6-1-0-3", "6-2-0-2", "6-3-0-2")]
    for (x1, y1, x2, y2), (x, y), before in zip(lines, heads, (1, 1, 0, 0), strict=True):
        near, height = (x2, y2) if before else (x1, y1)
        assert abs(height - y) < 90  # half a space
        assert 105 < (x - near if before else near - x) < 105 + 1.18 * 180


def _head(root: etree._Element, name: str) -> tuple[float, float]:
    """The middle of a head of the staff: its sign is 1.18 spaces wide at scale 0.72."""
    note = next(g for g in root.iter(f"{SVG}g") if g.get("id", "").endswith("-n" + name))
    use = next(u for g in note if _kind(g) == "notehead" for u in g.iter(f"{SVG}use"))
    x, y = (float(n) for n in _NUMBER.findall(use.get("transform", ""))[:2])
    return x + 1.18 * 180 / 2, y


def test_links_stand_between_their_digits(systems: list[System]) -> None:
    # From digit to digit on one string; the letter in the middle between them.
    between = {
        ("3-0-0-3", "3-1-0-3"): "H",
        ("3-1-0-3", "3-2-0-3"): "P",
        ("3-5-0-1", "3-6-0-1"): "t",
        ("3-7-0-4", "4-0-0-4"): "H",
        ("9-0-g0-3", "9-0-0-3"): "H",
        ("9-2-g0-3", "9-2-0-3"): "P",
    }
    for (start, end), letter in between.items():
        system = _of(systems, int(start.split("-")[0]))
        (x1, y1), (x2, y2) = system.digits[start], system.digits[end]
        found = [
            m
            for m in system.marks
            if m.kind == "link" and x1 - 60 < m.x < x2 + 60 and abs(m.y - y1) < SPACE
        ]
        assert [m.words for m in found] == [letter], (start, end)
        assert abs(y1 - y2) < 40
        arcs = [m for m in system.marks if m.kind == "<arc>" and x1 < m.x < x2]
        assert any(abs(m.y - y1) < SPACE for m in arcs), (start, end)


def test_grace_digits_stand_before_their_notes_in_order(systems: list[System]) -> None:
    system = _of(systems, 9)
    at = {n: x for n, (x, _) in system.digits.items()}
    assert at["9-0-g0-3"] < at["9-0-0-3"]
    assert at["9-1-g0-3"] < at["9-1-g1-3"] < at["9-1-g2-3"] < at["9-1-0-2"]
    assert at["9-3-g0-1"] == at["9-3-g0-2"] < at["9-3-0-1"]
    wanted = {"9-0-g0-3": "2", "9-1-g0-3": "0", "9-1-g1-3": "2", "9-1-g2-3": "4"}
    wanted |= {"9-2-g0-3": "4", "9-3-g0-1": "2", "9-3-g0-2": "1"}
    small = [m for m in system.marks if m.kind == "fret grace"]
    for name, fret in wanted.items():
        here = [m.words for m in small if (m.x, m.y) == system.digits[name]]
        assert here == [fret], name
    lines = {string: system.digits[f"9-3-0-{string}"][1] for string in (1, 2)}
    for string, line in lines.items():
        assert abs(system.digits[f"9-3-g0-{string}"][1] - line) < 60


def test_names_of_jumps_stand_beside_their_signs(systems: list[System]) -> None:
    # The section that is called Coda follows the large sign, over the beginning of its measure.
    system = _of(systems, 13)
    sign, name = system.one("<jump coda>"), system.one("section", "Coda")
    assert system.measures[0] == 13
    assert sign.x < name.x < sign.x + 700
    assert abs(sign.y - name.y) < 200
    assert name.x < system.first(13) + 200
    # "To Coda" is at the end of measure 11, and the small sign follows it.
    system = _of(systems, 11)
    sign, words = system.one("<jump coda>"), system.one("direction", "To Coda")
    assert words.anchor == "end"
    assert 0 < sign.x - words.x < 150
    assert abs(sign.y - words.y) < 100
    assert system.last(11) - 100 < words.x < system.first(12)
    # "D.S. al Coda" ends where its measure ends, which is the system's last.
    jump = system.one("direction", "D.S. al Coda")
    assert jump.anchor == "end"
    assert jump.x > system.last(12)
    # The segno is over the beginning of measure 7, and "play 3 times" over the end of measure 10.
    system = _of(systems, 7)
    segno = system.one("<jump segno>")
    assert segno.x < system.first(7)
    times = system.one("direction", "play 3 times")
    assert times.anchor == "end"
    assert times.x > system.last(10)
    # All of them over the staff.
    top = min(y for _, y in system.digits.values()) - 4 * SPACE
    assert segno.y < top
    assert times.y < top
    # The section stands at the left edge of its system in its frame, the first one over its
    # measure.
    assert 0 < system.one("section", "Bridge").x < 100
    first = _of(systems, 1)
    assert first.last(0) < first.one("section", "A part").x < first.first(1)


def test_chord_names_stand_over_their_notes(systems: list[System]) -> None:
    for measure, name in ((1, "G"), (3, "Am7"), (9, "D7/F♯"), (13, "N.C.")):
        system = _of(systems, measure)
        (mark,) = [m for m in system.marks if m.kind.startswith("chord") and m.words == name]
        first = system.first(measure) if measure != 9 else system.digits["9-0-0-3"][0]
        assert abs(mark.x - first) < 300, name


def test_endings_begin_with_their_measures(systems: list[System], root: etree._Element) -> None:
    system = _of(systems, 5)
    one, two = system.one("ending", "1."), system.one("ending", "2.")
    assert one.x < system.first(5)
    assert system.last(5) < two.x < system.first(6)
    # The first is closed by a hook on both sides, up, along and down; the second is open, since
    # the music goes on.
    hooks = [p.get("d", "") for p in root.iter(f"{SVG}path") if _kind(p) == "ending"]
    assert [h.count("V") for h in hooks] == [2, 1]
    assert [h.count("H") for h in hooks] == [1, 1]


def test_measure_numbers_stand_over_the_clef(systems: list[System]) -> None:
    starts = [s.measures[0] for s in systems]
    found = [[m.words for m in s.marks if m.kind == "measure-number"] for s in systems]
    assert found == [[], *([str(start)] for start in starts[1:])]
    for system in systems[1:]:
        assert system.one("measure-number").x == 0


def test_the_roll_is_named_over_its_measure(systems: list[System]) -> None:
    system = _of(systems, 1)
    name, line = system.one("roll"), system.one("<roll>")
    assert name.anchor == "middle"
    assert abs(name.x - (system.first(1) + system.last(1)) / 2) < 200
    assert 0 < system.first(1) - line.x < 300


def test_syllables_stand_under_their_notes(systems: list[System]) -> None:
    system = _of(systems, 10)
    for event, syllable in enumerate(("Row", "har", "bour", "mas", "ter")):
        (x,) = {x for n, (x, _) in system.digits.items() if n.startswith(f"10-{event}-0")}
        assert -500 < system.one("lyric", syllable).x - x < 300
    lefts = [m.x for m in system.marks if m.kind == "<hyphen>"]
    assert len(lefts) <= 3


def test_hyphens_stand_between_the_syllables_of_a_word(root: etree._Element) -> None:
    words = {
        _words(t): float(t.get("x", "0")) for t in root.iter(f"{SVG}text") if _kind(t) == "lyric"
    }
    bars = sorted(float(r.get("x", "0")) for r in root.iter(f"{SVG}rect") if _kind(r) == "hyphen")
    for bar, (before, after) in zip(
        bars, (("har", "bour"), ("bour", "mas"), ("mas", "ter")), strict=True
    ):
        assert words[before] < bar < words[after]


def test_the_brush_is_an_arrow_beside_its_chord(
    root: etree._Element, systems: list[System]
) -> None:
    system = _of(systems, 11)
    x = system.first(11)
    found = [m for m in system.marks if m.kind == "<brush>"]
    assert all(0 < x - m.x < 300 for m in found)
    shaft, head = found
    # From the lowest line struck up to the highest.
    assert shaft.y > system.digits["11-0-0-3"][1]
    assert head.y < system.digits["11-0-0-2"][1]


# Head and foot ------------------------------------------------------------------------------

FOOT = {
    "notes": ["Ring them slowly."],
    "legend": ["forward roll", "T I M T I M T M"],
    "title-block": [
        "All the Ferry's Bells",
        "Tuning: open G, gDGBD (G4 D3 G3 B3 D4)",
        "Composer: Larkspur Ferry school",
        "Source: the bell book, page 3",
    ],
}
KEY = (
    *("thumb", "index finger", "middle finger", "hammer-on", "pull-off", "tap", "slide", "brush"),
    *("down-stroke", "up-stroke"),
    *("bend (full: a whole tone)", "vibrato", "muted", "small: grace note, quickly before"),
    *("hardly sounded", "held, not struck again", "harmonic", "let ring"),
    "short stem in the tab: half note",
    *("fingers of the left hand", "open string"),
    "finger that comes off for melody notes",
)
SAMPLES = ("T", "I", "M", "H", "P", "t", "x", "2", "[2]", "(2)", "‹12›", "0", "1 2 3 4")


def _block(root: etree._Element, name: str) -> list[str]:
    return [
        _words(t) for g in root.iter(f"{SVG}g") if _kind(g) == name for t in g.iter(f"{SVG}text")
    ]


@pytest.mark.parametrize("block", FOOT)
def test_head_and_foot(root: etree._Element, block: str) -> None:
    assert _block(root, block) == FOOT[block]


def test_the_key_has_the_signs_of_the_sheet(root: etree._Element) -> None:
    texts = [t for t in root.iter(f"{SVG}text") if _kind(t) == "key-words"]
    assert tuple(map(_words, texts)) == KEY
    signs = [t for t in root.iter(f"{SVG}text") if _kind(t) == "key-sign"]
    assert tuple(map(_words, signs)) == SAMPLES
    (remarks,) = {" ".join(_block(root, "remarks"))}
    assert remarks.startswith("Letters and chord names in italics are suggestions. So are the sha")


def _named(options: SheetOptions) -> tuple[Counter[str], etree._Element]:
    (page,) = rollstave.write(everything.score(), "svg", replace(options, paper=everything.LONG))
    made = etree.fromstring(page)
    return Counter(_kind(e) for e in made.iter(f"{SVG}text", f"{SVG}path", f"{SVG}g")), made


def test_without_names_of_rolls_and_shapes() -> None:
    found, made = _named(SheetOptions(rolls=False, chord_row=False))
    gone = ("roll", "legend", "chord-row", "chord-shape")
    assert [found[kind] for kind in gone] == [0, 0, 0, 0]
    words = tuple(_words(t) for t in made.iter(f"{SVG}text") if _kind(t) == "key-words")
    # The left hand's finger was written, so its sign stays.
    assert words == KEY[:-2]
    (remarks,) = _block(made, "remarks")
    assert remarks == "Letters and chord names in italics are suggestions."


def test_a_staff_alone_explains_no_sign_of_the_tab() -> None:
    found, made = _named(SheetOptions(view=View.STAFF, chord_row=False))
    assert [found[k] for k in ("finger", "link", "fret", "line", "key")] == [0, 0, 0, 0, 0]
    names = Counter(_kind(t) for t in made.iter(f"{SVG}text"))
    assert [names[kind] for kind in ("chord", "direction", "section")] == [3, 3, 3]
    assert _block(made, "remarks") == ["Chord names in italics are suggestions."]


def test_a_tab_alone_has_words_and_rests_of_its_own() -> None:
    found, made = _named(SheetOptions(view=View.TAB))
    texts = Counter((_kind(t), _words(t)) for t in made.iter(f"{SVG}text"))
    for key, count in WORDS.items():
        assert texts[key] == count, key
    assert (found["rest"], found["mRest"], found["space"], found["mSpace"]) == (1, 1, 0, 0)
    # Hyphens stand between the words of a tab alone as they do under a staff.
    assert sum(_kind(r) == "hyphen" for r in made.iter(f"{SVG}rect")) >= 3
    systems = _systems(etree.tostring(made))
    system = _of(systems, 10)
    for event, syllable in enumerate(("Row", "har", "bour", "mas", "ter")):
        (x,) = {x for n, (x, _) in system.digits.items() if n.startswith(f"10-{event}-0")}
        mark = system.one("lyric", syllable)
        assert -500 < mark.x - x < 300
        assert mark.y > max(y for _, y in system.digits.values())


def test_a_shape_stands_over_the_music_at_each_change() -> None:
    _, made = _named(SheetOptions(shapes_over_music=True, chord_row=False))
    shapes = [
        g
        for s in made.iter(f"{SVG}g")
        if _kind(s) == "system"
        for g in s.iter(f"{SVG}g")
        if _kind(g) == "chord-shape"
    ]
    changes = shape_changes(everything.score())
    names = [t.text for g in shapes for t in g.iter(f"{SVG}text") if _kind(t) == "shape-name"]
    assert names == [change.shape.name.replace("#", "♯") for change in changes]
    assert len(names) > 1


def test_unsure_measures_are_marked_where_that_is_asked_for() -> None:
    score = everything.score()
    measures = list(score.measures)
    for index, confidence in ((2, 0.625), (13, 0.5)):
        rhythm = replace(
            measures[index].rhythm, sure=False, confidence=confidence, reasons=("one", "two")
        )
        measures[index] = replace(measures[index], rhythm=rhythm)
    doubted = replace(score, measures=tuple(measures))
    (plain,) = rollstave.write(doubted, "svg", SheetOptions(paper=everything.LONG))
    assert b"unsure" not in plain
    (page,) = rollstave.write(doubted, "svg", SheetOptions(mark_unsure=True, paper=everything.LONG))
    made = etree.fromstring(page)
    signs = [t for t in made.iter(f"{SVG}text") if _kind(t) == "unsure"]
    assert [_words(t) for t in signs] == ["?", "?"]
    grounds = [r for r in made.iter(f"{SVG}rect") if _kind(r) == "unsure"]
    assert len(grounds) == 2
    titles = [_words(g[0]) for g in made.iter(f"{SVG}g") if _kind(g) == "unsure-sign"]
    assert titles == ["Measure 2: 62% sure. one; two", "Measure 13: 50% sure. one; two"]
    assert "rhythm not sure" in [
        _words(t) for t in made.iter(f"{SVG}text") if _kind(t) == "key-words"
    ]
    systems = _systems(page)
    for ground, measure in zip(grounds, (2, 13), strict=True):
        system = _of(systems, measure)
        left, width = float(ground.get("x", "0")), float(ground.get("width", "0"))
        assert left < system.first(measure)
        assert system.last(measure) < left + width
        others = [m for m in system.measures if m != measure]
        assert all(system.last(m) < left or system.first(m) > left + width for m in others), measure


def test_dots_stand_beside_stems_also_after_a_note_without_one() -> None:
    # A dotted whole note has no stem on the tab; the dots of the notes after it are moved all the
    # same, and are as large as the others that are drawn beside a stem.
    timed = [[(6, [(3, 0)])], [(3, [(3, 0)]), ("3/2", [(2, 0)]), ("3/2", [(1, 0)])]]
    (page,) = rollstave.write(tunes.score(timed, meter=Meter(6, 4)), "svg")
    groups = [g for g in etree.fromstring(page).iter(f"{SVG}g") if _kind(g) == "tabDurSym"]
    dots = [[d.get("rx") for d in g.iter(f"{SVG}ellipse")] for g in groups]
    stems = [any(_kind(s) == "stem" for s in g.iter(f"{SVG}g")) for g in groups]
    assert stems == [False, True, True, True]
    assert dots[1:] == [["34"]] * 3
