"""The engraved sheet: digits on their lines, under their notes, none lost."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass

import pytest
from lxml import etree

import rollstave
from rollstave.grid.typed import Link
from rollstave.notating.notation import notate
from rollstave.writing.options import SheetOptions
from tests import tunes

SVG = "{http://www.w3.org/2000/svg}"
STAFF_SPACE = 180.0  # between two lines of the staff: Verovio's unit 9 at scale 100, doubled
_NUMBER = r"-?\d+(?:\.\d+)?"
_TRANSLATE = re.compile(rf"translate\(({_NUMBER})[ ,]+({_NUMBER})\)")
_PIECE = re.compile(rf"M({_NUMBER}) ({_NUMBER})H({_NUMBER})")
# Ids may carry the name of their sheet before them, so that sheets can share a page.
_ID = re.compile(r"(?:^|-)(?P<staff>[nt])(?P<key>\d+-\d+-\d+-(?P<string>\d))$")
_MEASURE = re.compile(r"(?:^|-)m(\d+)$")
# The widths of note heads in staff spaces: SMuFL, Bravura metadata (noteheadBlack 1.18,
# noteheadHalf 1.18, noteheadWhole 1.69), from memory; others lie between these.
_HEAD_WIDTHS = {"E0A2": 1.69, "E0A3": 1.18, "E0A4": 1.18}


@dataclass(frozen=True)
class Digit:
    text: str
    x: float
    middle: float
    size: float
    string: int
    page: int


@dataclass
class Sheet:
    """What is on the pages of one tune, in page coordinates."""

    digits: dict[str, Digit]
    heads: dict[str, tuple[float, float]]
    tab_lines: dict[str, list[Line]]
    letters: list[tuple[float, float, int]]
    roots: list[etree._Element]


def _offset(element: etree._Element) -> tuple[float, float]:
    """The sum of all translations over an element; nothing else may stand over music."""
    x = y = 0.0
    for ancestor in element.iterancestors():
        if transform := ancestor.get("transform"):
            match = _TRANSLATE.fullmatch(transform)
            assert match, transform
            x, y = x + float(match[1]), y + float(match[2])
    return x, y


def _words(text: etree._Element) -> str:
    return "".join(map(str, text.itertext()))


def _measures(parent: etree._Element) -> list[etree._Element]:
    return parent.findall(f".//{SVG}g[@class='measure']")


def _index(measure: etree._Element) -> int:
    match = _MEASURE.search(measure.get("id", ""))
    assert match
    return int(match[1])


@dataclass(frozen=True)
class Line:
    """A line of a tab: its height, and the stretches that are drawn (digits leave gaps)."""

    y: float
    drawn: tuple[tuple[float, float], ...]


def _tab_lines(system: etree._Element) -> list[Line]:
    """The lines of the tab in one system from the top, in page coordinates."""
    found = []
    for path in system.iter(f"{SVG}path"):
        if path.get("class") != "line":
            continue
        dx, dy = _offset(path)
        pieces = _PIECE.findall(path.get("d", ""))
        assert len({y for _, y, _ in pieces}) == 1
        drawn = tuple((float(x) + dx, float(end) + dx) for x, _, end in pieces)
        found.append(Line(float(pieces[0][1]) + dy, drawn))
    return sorted(found, key=lambda line: line.y)


def _head(note: etree._Element) -> tuple[float, float] | None:
    """The middle of a note head, from where its glyph is put and how wide it is."""
    use = note.find(f".//{SVG}use")
    if use is None:
        return None
    dx, dy = _offset(use)
    match = re.match(
        rf"translate\(({_NUMBER}), ?({_NUMBER})\) scale\(({_NUMBER})", use.get("transform", "")
    )
    assert match
    code = use.get("{http://www.w3.org/1999/xlink}href", "").rsplit("-", 1)[-1]
    half = _HEAD_WIDTHS.get(code, 1.18) * STAFF_SPACE / 2
    return float(match[1]) + dx + half, float(match[2]) + dy


def _digit(note: etree._Element, string: int, page: int) -> Digit:
    text = note.find(f"{SVG}text")
    assert text is not None
    assert text.get("text-anchor") == "middle"
    size = float(text.get("font-size", "0"))
    dx, dy = _offset(text)
    # Digits of a text font are about 0.66 of its size high (Times: 0.676).
    middle = float(text.get("y", "0")) + dy - 0.66 * size / 2
    shown = _words(text).strip()
    return Digit(shown, float(text.get("x", "0")) + dx, middle, size, string, page)


def read_sheet(pages: tuple[bytes, ...]) -> Sheet:
    sheet = Sheet({}, {}, {}, [], [])
    for page, data in enumerate(pages):
        root = etree.fromstring(data)
        sheet.roots.append(root)
        for system in root.iterfind(f".//{SVG}g[@class='system']"):
            lines = _tab_lines(system)
            for group in system.iter(f"{SVG}g"):
                match = _ID.search(group.get("id", ""))
                if not match or not group.get("class", "").startswith("note"):
                    continue
                if match["staff"] == "n":
                    if (head := _head(group)) is not None:
                        sheet.heads[match["key"]] = head
                    continue
                sheet.tab_lines[match["key"]] = lines
                sheet.digits[match["key"]] = _digit(group, int(match["string"]), page)
        for text in root.iter(f"{SVG}text"):
            if text.get("class", "").startswith("finger"):
                assert text.get("text-anchor") == "middle"
                dx, dy = _offset(text)
                sheet.letters.append(
                    (float(text.get("x", "0")) + dx, float(text.get("y", "0")) + dy, page)
                )
    return sheet


@pytest.fixture(scope="module")
def sheet(name: str) -> Sheet:
    return read_sheet(tunes.written(name, "svg"))


def test_no_digit_is_lost(name: str, sheet: Sheet) -> None:
    # Every head of every symbol, tied ones too, has one text on the tab; its words are those of
    # the score: a fret, x for a muted string, round brackets for tied notes (common practice),
    # square ones for ghosts (ours).
    expected = {}
    for notated in notate(tunes.case(name)):
        for symbol in notated.symbols:
            for head in symbol.heads:
                note = head.note
                shown = "x" if note.muted else str(note.fret)
                if note.harmonic:
                    shown = f"‹{shown}›"
                if note.ghost:
                    shown = f"[{shown}]"
                if head.tie_from or note.link is Link.TIE:
                    shown = f"({shown})"
                key = f"{notated.measure.index}-{symbol.event_index}-{symbol.part}-{note.string}"
                expected[key] = shown
    assert {key: digit.text for key, digit in sheet.digits.items()} == expected
    assert set(sheet.heads) == set(expected)


def test_digits_stand_on_their_lines(sheet: Sheet) -> None:
    # String 1 is the top line (common practice). The middle of a digit is off its line by less
    # than a tenth of a tab space.
    for key, digit in sheet.digits.items():
        lines = sheet.tab_lines[key]
        assert len(lines) == 5
        space = lines[1].y - lines[0].y
        assert abs(digit.middle - lines[digit.string - 1].y) < 0.1 * space


def test_no_line_runs_through_a_digit(sheet: Sheet) -> None:
    # The line is broken for its digit (common practice), and only for a digit.
    for key, digit in sheet.digits.items():
        line = sheet.tab_lines[key][digit.string - 1]
        assert not any(left < digit.x < right for left, right in line.drawn)
    lines = {id(line): line for found in sheet.tab_lines.values() for line in found}
    assert sum(len(line.drawn) - 1 for line in lines.values()) <= len(sheet.digits)


def test_digits_stand_under_their_notes(sheet: Sheet) -> None:
    # Within half a staff space of the middle of the note head (issue 2 of the project). Heads of
    # a second stand to the side of their stem, so the nearest head of the chord decides there.
    columns: dict[str, list[float]] = {}
    for key, (x, _) in sheet.heads.items():
        columns.setdefault(key.rsplit("-", 1)[0], []).append(x)
    for key, digit in sheet.digits.items():
        heads = columns[key.rsplit("-", 1)[0]]
        assert min(abs(digit.x - x) for x in heads) <= STAFF_SPACE / 2


def test_picking_letters_stand_under_digits(name: str, sheet: Sheet) -> None:
    picked = [
        event
        for measure in tunes.case(name).measures
        for event in measure.events
        if any(note.finger for note in event.notes)
    ]
    names = sum(len({n.finger for n in event.notes if n.finger}) for event in picked)
    assert len(sheet.letters) == names
    places = {(digit.page, round(digit.x, 1)) for digit in sheet.digits.values()}
    for x, _, page in sheet.letters:
        assert any(p == page and abs(x - at) < 1 for p, at in places)


def test_letters_are_below_the_tab(name: str, sheet: Sheet) -> None:
    """No picking letter lies within the lines of a tab."""
    bands = {
        (digit.page, sheet.tab_lines[key][0].y, sheet.tab_lines[key][-1].y)
        for key, digit in sheet.digits.items()
    }
    for _, y, page in sheet.letters:
        assert not any(p == page and top - 50 < y < bottom + 200 for p, top, bottom in bands)


def test_measures_are_drawn_once_and_in_order(name: str, sheet: Sheet) -> None:
    numbers = [_index(g) for root in sheet.roots for g in _measures(root)]
    assert numbers == list(range(len(tunes.case(name).measures)))


def test_systems_hold_at_most_five_measures_of_rolls(sample_name: str) -> None:
    # Issue 2 of the project: at most four or five measures of eighth-note rolls in a system.
    sheet = read_sheet(tunes.written(sample_name, "svg"))
    measures = tunes.case(sample_name).measures
    for root in sheet.roots:
        for system in root.iterfind(f".//{SVG}g[@class='system']"):
            indices = [_index(g) for g in _measures(system)]
            assert sum(1 for i in indices if len(measures[i].events) >= 6) <= 5


def test_the_page_is_wide_enough(sheet: Sheet) -> None:
    for root in sheet.roots:
        _, _, width, height = (float(v) for v in root.get("viewBox", "").split())
        for text in root.iter(f"{SVG}text"):
            if (x := text.get("x")) is None:
                continue
            dx, dy = _offset(text)
            assert 0 <= float(x) + dx <= width
            assert 0 <= float(text.get("y", "0")) + dy <= height


def test_glyphs_are_outlines_that_the_file_holds(sheet: Sheet) -> None:
    # SVG 1.1: a use refers to an id in the file. No sign of a music font as text (SMuFL has them
    # in the private use area): programs outside a browser do not read embedded fonts.
    for root in sheet.roots:
        ids = Counter(e.get("id") for e in root.iter() if e.get("id"))
        assert not [i for i, times in ids.items() if times > 1]
        for use in root.iter(f"{SVG}use"):
            assert use.get("{http://www.w3.org/1999/xlink}href", "")[1:] in ids
        for text in root.iter(f"{SVG}text"):
            assert not re.search("[\ue000-\uf8ff]", _words(text))


def _texts(name: str) -> list[str]:
    return [
        _words(text).strip()
        for page in tunes.written(name, "svg")
        for text in etree.fromstring(page).iter(f"{SVG}text")
    ]


def test_title_block() -> None:
    found = _texts("slate-roof-rain")
    assert found[0] == "Slate Roof Rain"
    # gCGCD is G4 C3 G3 C4 D4 (table of tunings, octaves by arithmetic).
    assert "Tuning: double C, gCGCD (G4 C3 G3 C4 D4)" in found
    assert "Capo 2, fifth string raised to A, sounds aDADE" in found
    assert "= 92" in found


def test_what_stands_over_and_under_the_music() -> None:
    found = _texts("every-sign")
    for words in ("D/F#", "Em7", "A part", "Second strain", "1.", "2.", "Ring", "H", "P"):
        assert any(words == each.replace("♯", "#") for each in found), words
    assert "A line of words & <marks> that stays on the sheet." in found


def test_repeats_are_drawn() -> None:
    # SMuFL: repeatDot is U+E044, two dots for each side of a repeat on each of two staves.
    dots = [
        use
        for root in read_sheet(tunes.written("every-sign", "svg")).roots
        for use in root.iter(f"{SVG}use")
        if use.get("{http://www.w3.org/1999/xlink}href", "").endswith("E044")
    ]
    assert len(dots) == 8


def test_several_pages() -> None:
    roll = [("1/2", [(s, 0)]) for s in (3, 2, 5, 1, 3, 2, 5, 1)]
    pages = rollstave.write(tunes.score([roll] * 64), "svg")
    assert len(pages) > 1
    sheet = read_sheet(tuple(pages))
    assert len(sheet.digits) == 64 * 8
    # ISO 216: A4 is 210 by 297 mm.
    for root in sheet.roots:
        sides = [float(root.get(side, "").removesuffix("mm")) for side in ("width", "height")]
        assert sides == [210, 297]


@pytest.mark.parametrize("form", ["svg", "pdf", "html"])
def test_a_sheet_without_end_is_refused(form: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Memory grows with the measures of a sheet, so there is a most; an excerpt is within it."""
    monkeypatch.setattr("rollstave.assembly.writers.MOST_MEASURES", 4)
    score = tunes.sample("ferry-landing").score
    with pytest.raises(rollstave.TabError, match="divide the tune"):
        rollstave.write(score, form)
    assert rollstave.write(score, form, SheetOptions(measures=(1, 4)))
