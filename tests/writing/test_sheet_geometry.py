"""What stands where on a sheet: nothing overlaps, everything is on its line and in the frame.

Widths and heights of words are read from the font files with fontTools, independently of the
table that the sheet is laid out with. The rules are those of music engraving (common practice, no
source) and of issue 5 of the project.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.svgLib.path import parse_path
from fontTools.ttLib import TTFont
from lxml import etree
from msgspec.structs import replace

import rollstave
from rollstave.writing.fonts import CAP_HEIGHT, Style, font_folder, text_width
from rollstave.writing.options import PAPERS, SheetOptions, View
from tests import sheets, tunes
from tests.amount import some
from tests.writing import generated

SVG = "{http://www.w3.org/2000/svg}"
STAFF_SPACE = 180.0
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
_MOVE = re.compile(r"translate\((-?[\d.]+)[ ,]+(-?[\d.]+)\)")
SEEDS = range(0, 50, some(8, 1))
FRETS = ("fret", "fret grace")
BY_HAND = ("every-sign", "ties", "triplets", "repeats", "compound")
CASES = [*(p.stem for p in tunes.SAMPLES), *(p.stem for p in tunes.STRESS), *BY_HAND]


@dataclass(frozen=True)
class Box:
    words: str
    kind: str
    left: float
    top: float
    right: float
    bottom: float

    def touches(self, other: Box) -> bool:
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )


@cache
def font(style: str) -> tuple[TTFont, dict[int, str]]:
    opened = TTFont(font_folder() / f"rollstave-serif-{style}.ttf")
    return opened, opened.getBestCmap()


@cache
def ink(style: str, character: str) -> tuple[float, float, float, float, float]:
    """Advance and ink of a character as shares of the size: fontTools, from the font file."""
    opened, names = font(style)
    em = opened["head"].unitsPerEm
    name = names.get(ord(character))
    if name is None:
        return 0.62, 0.0, -0.2, 0.62, 0.7
    glyphs = opened.getGlyphSet()
    pen = BoundsPen(glyphs)
    glyphs[name].draw(pen)
    left, low, right, high = pen.bounds or (0, 0, 0, 0)
    return opened["hmtx"][name][0] / em, left / em, low / em, right / em, high / em


def style_of(text: etree._Element) -> str:
    if weight := text.get("font-weight"):
        return "semibold" if weight == "600" else "bold"
    return "italic" if text.get("font-style") else "regular"


def offset(element: etree._Element) -> tuple[float, float]:
    x = y = 0.0
    for ancestor in element.iterancestors():
        if match := _MOVE.fullmatch(ancestor.get("transform", "")):
            x, y = x + float(match[1]), y + float(match[2])
    return x, y


def box_of(text: etree._Element) -> Box:
    """The ink of a text, in page units."""
    words = "".join(text.itertext())
    style, size = style_of(text), float(str(text.get("font-size")))
    parts = [ink(style, c) for c in words]
    width = sum(p[0] for p in parts) * size
    dx, dy = offset(text)
    x, y = float(text.get("x", "0")) + dx, float(text.get("y", "0")) + dy
    left = x - {"middle": width / 2, "end": width}.get(text.get("text-anchor", ""), 0.0)
    drawn = [p for p in parts if p[3] > p[1]] or parts
    return Box(
        words,
        text.get("class", ""),
        left + parts[0][1] * size,
        y - max(p[4] for p in drawn) * size,
        left + width - (parts[-1][0] - parts[-1][3]) * size,
        y - min(p[2] for p in drawn) * size,
    )


def texts(root: etree._Element) -> list[Box]:
    return [box_of(t) for t in root.iter(f"{SVG}text") if "".join(t.itertext()).strip()]


@cache
def pages(case: str, view: View = View.BOTH, large: bool = False) -> tuple[etree._Element, ...]:
    options = SheetOptions(view=view, large=large)
    if not case.isdigit():
        return sheets.roots(case, options)
    (tune,) = rollstave.read(generated.tab(int(case)))
    return tuple(etree.fromstring(p) for p in rollstave.write(tune, "svg", options))


EVERYTHING = [*CASES, *(str(seed) for seed in SEEDS)]


@pytest.fixture(params=EVERYTHING)
def sheet(request: pytest.FixtureRequest) -> tuple[etree._Element, ...]:
    return pages(str(request.param))


def overlapping(boxes: list[Box]) -> Iterator[tuple[Box, Box]]:
    ordered = sorted(boxes, key=lambda b: b.left)
    for index, box in enumerate(ordered):
        for other in ordered[index + 1 :]:
            if other.left >= box.right:
                break
            if box.touches(other):
                yield box, other


def test_no_two_texts_overlap(sheet: tuple[etree._Element, ...]) -> None:
    found = [pair for root in sheet for pair in overlapping(texts(root))]
    assert not found


# The samples and the stress set are looked at in these views by test_spacing.py.
@pytest.mark.parametrize("view", [View.TAB, View.STAFF])
@pytest.mark.parametrize("case", BY_HAND)
def test_no_two_texts_overlap_in_other_views(case: str, view: View) -> None:
    assert not [pair for root in pages(case, view) for pair in overlapping(texts(root))]


@pytest.mark.parametrize("case", BY_HAND)
def test_no_two_texts_overlap_in_large_print(case: str) -> None:
    found = pages(case, View.BOTH, True)
    assert not [pair for root in found for pair in overlapping(texts(root))]


@pytest.mark.parametrize("sample", ["reed-warbler", "harbour-lights"])
def test_no_two_texts_overlap_on_sheets_of_few_strings(sample: str) -> None:
    """Shapes of three strings are narrower than the lines under them."""
    (tune,) = rollstave.read(tunes.SAMPLES[0].parent / "plugins" / f"{sample}.txt")
    found = [etree.fromstring(page) for page in rollstave.write(tune, "svg")]
    assert not [pair for root in found for pair in overlapping(texts(root))]


def test_no_text_crosses_the_frame(sheet: tuple[etree._Element, ...]) -> None:
    # A printer keeps 5 mm of a page for itself (common practice): 500 units.
    for root in sheet:
        _, _, width, height = (float(v) for v in str(root.get("viewBox")).split())
        for box in texts(root):
            assert box.left >= 500, box
            assert box.right <= width - 500, box
            assert box.top >= 500, box
            assert box.bottom <= height - 200, box


def lines_of(system: etree._Element) -> list[float]:
    """The heights of the tab's lines, from the paths that draw them."""
    layer = system.find(f"{SVG}g[@class='marks lines']")
    if layer is None:
        return []
    _, dy = offset(layer[0])
    return [float(_NUMBER.findall(str(p.get("d")))[1]) + dy for p in layer]


def systems(sheet: tuple[etree._Element, ...]) -> Iterator[etree._Element]:
    for root in sheet:
        yield from root.iterfind(f".//{SVG}g[@class='system']")


def test_digits_are_centred_on_their_lines(sheet: tuple[etree._Element, ...]) -> None:
    seen = 0
    for system in systems(sheet):
        heights = lines_of(system)
        assert len(heights) == 5
        for text in system.iter(f"{SVG}text"):
            if text.get("class") not in FRETS:
                continue
            string = int(str(text.getparent().get("id"))[-1])  # type: ignore[union-attr]
            _, dy = offset(text)
            # The middle of a lining figure: half of the cap height over the base line.
            middle = float(text.get("y", "0")) + dy - CAP_HEIGHT / 2 * float(text.get("font-size"))
            assert abs(middle - heights[string - 1]) < 2
            seen += 1
    assert seen


def test_lines_stop_at_digits(sheet: tuple[etree._Element, ...]) -> None:
    """No tab line runs through a digit, and no line is left out between two digits."""
    for system in systems(sheet):
        frets = [box_of(t) for t in system.iter(f"{SVG}text") if t.get("class") in FRETS]
        for path in system.find(f"{SVG}g[@class='marks lines']"):
            dx, dy = offset(path)
            numbers = re.findall(r"M(-?[\d.]+) (-?[\d.]+)H(-?[\d.]+)", str(path.get("d")))
            y = float(numbers[0][1]) + dy
            parts = [(float(a) + dx, float(b) + dx) for a, _, b in numbers]
            on_line = [f for f in frets if f.top < y < f.bottom]
            for left, right in parts:
                assert not [f for f in on_line if left < f.right and f.left < right]
            for (_, end), (start, _) in pairwise(parts):
                assert any(end <= f.left and f.right <= start for f in on_line)


def bar_lines(system: etree._Element) -> list[tuple[float, float, float]]:
    """x, top and bottom of every bar line."""
    found = []
    for group in system.iter(f"{SVG}g"):
        if group.get("class") != "barLine":
            continue
        for path in group.iter(f"{SVG}path"):
            x1, y1, _, y2 = (float(n) for n in _NUMBER.findall(str(path.get("d")))[:4])
            dx, dy = offset(path)
            found.append((x1 + dx, min(y1, y2) + dy, max(y1, y2) + dy))
    return found


def test_no_digit_stands_on_a_bar_line(sheet: tuple[etree._Element, ...]) -> None:
    for system in systems(sheet):
        bars = bar_lines(system)
        assert bars
        for text in system.iter(f"{SVG}text"):
            if text.get("class") in FRETS:
                box = box_of(text)
                on = [b for b in bars if box.left < b[0] < box.right and b[1] < box.bottom < b[2]]
                assert not on, box


def test_letters_are_centred_under_their_digits(sheet: tuple[etree._Element, ...]) -> None:
    # Within a quarter of a staff space (issue 5), and on one line in each system.
    for system in systems(sheet):
        frets = [box_of(t) for t in system.iter(f"{SVG}text") if t.get("class") == "fret"]
        letters = [
            (box_of(t), float(t.get("y", "0")))
            for t in system.iter(f"{SVG}text")
            if t.get("class", "").startswith("finger")
        ]
        for box, _ in letters:
            middle = (box.left + box.right) / 2
            assert min(abs(middle - (f.left + f.right) / 2) for f in frets) < STAFF_SPACE / 4
        first_rows = {min(y for _, y in letters)} if letters else set()
        columns: dict[int, float] = {}
        for box, y in letters:
            key = round((box.left + box.right) / 2 / STAFF_SPACE)
            columns[key] = min(y, columns.get(key, y))
        assert set(columns.values()) <= first_rows or len(columns) < len(letters)


def curve_points(data: str) -> list[tuple[float, float]]:
    """Points on the outline of an arc: its two cubic curves (SVG 1.1, path data)."""
    v = [float(n) for n in _NUMBER.findall(data)]
    points = [(v[i], v[i + 1]) for i in range(0, len(v), 2)]
    found = []
    for start in (0, 3):
        p0, p1, p2, p3 = points[start : start + 4]
        for step in range(21):
            t = step / 20
            a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3
            found.append(
                (
                    a * p0[0] + b * p1[0] + c * p2[0] + d * p3[0],
                    a * p0[1] + b * p1[1] + c * p2[1] + d * p3[1],
                )
            )
    return found


def stems(system: etree._Element) -> list[tuple[float, float, float]]:
    """x, top and bottom of every stem of the tab."""
    found = []
    for group in system.iter(f"{SVG}g"):
        if group.get("class") != "tabDurSym":
            continue
        for path in group.iter(f"{SVG}path"):
            x1, y1, x2, y2 = (float(n) for n in _NUMBER.findall(str(path.get("d")))[:4])
            dx, dy = offset(path)
            found.append(((x1 + x2) / 2 + dx, min(y1, y2) + dy, max(y1, y2) + dy))
    return found


def test_arcs_are_clear_of_stems_and_digits(sheet: tuple[etree._Element, ...]) -> None:
    for system in systems(sheet):
        frets = [box_of(t) for t in system.iter(f"{SVG}text") if t.get("class") in FRETS]
        upright = stems(system)
        for path in system.iter(f"{SVG}path"):
            if path.get("class") not in ("arc", "tie"):
                continue
            dx, dy = offset(path)
            for x, y in curve_points(str(path.get("d"))):
                x, y = x + dx, y + dy
                assert not [f for f in frets if f.left < x < f.right and f.top < y < f.bottom]
                assert not [s for s in upright if abs(s[0] - x) < 12 and s[1] < y < s[2]]


def test_slides_touch_no_digit(sheet: tuple[etree._Element, ...]) -> None:
    # A slide is a slanted line between digits that touches neither (issue 5).
    for system in systems(sheet):
        frets = [box_of(t) for t in system.iter(f"{SVG}text") if t.get("class") in FRETS]
        for path in system.iter(f"{SVG}path"):
            if path.get("class") != "slide":
                continue
            x1, y1, x2, y2 = (float(n) for n in _NUMBER.findall(str(path.get("d")))[:4])
            dx, dy = offset(path)
            assert y1 != y2
            for x, y in ((x1 + dx, y1 + dy), (x2 + dx, y2 + dy)):
                assert not [f for f in frets if f.left < x < f.right and f.top < y < f.bottom]


def test_chord_names_stand_on_one_line(sheet: tuple[etree._Element, ...]) -> None:
    for system in systems(sheet):
        names = [
            t.get("y") for t in system.iter(f"{SVG}text") if t.get("class", "").startswith("chord")
        ]
        assert len(set(names)) <= 1


def test_no_lonely_system_on_the_last_page() -> None:
    for count in range(5, 15):
        roll = [("1/2", [(s, 0)]) for s in (3, 2, 5, 1, 3, 2, 5, 1)]
        made = rollstave.write(tunes.score([roll] * (4 * count)), "svg")
        numbers = [len(etree.fromstring(p).findall(f".//{SVG}g[@class='system']")) for p in made]
        assert sum(numbers) == count
        assert len(numbers) == 1 or numbers[-1] > 1, numbers


def test_systems_have_four_measures_of_rolls_and_no_lonely_one() -> None:
    # Issue 5: four measures where rolls allow, never one lonely measure at the end.
    roll = [("1/2", [(s, 0)]) for s in (3, 2, 5, 1, 3, 2, 5, 1)]
    for count in range(4, 30, some(3, 1)):
        made = rollstave.write(tunes.score([roll] * count), "svg")
        sizes = [
            len(system.findall(f"{SVG}g[@class='measure']"))
            for page in made
            for system in etree.fromstring(page).iterfind(f".//{SVG}g[@class='system']")
        ]
        assert sum(sizes) == count
        assert min(sizes) > 1
        # Lines of five where two measures left over would need a second page.
        assert max(sizes) <= (5 if count == 18 else 4)
        if count % 4 == 0:
            assert set(sizes) == {4}


def test_widths_are_those_of_the_font_files() -> None:
    # fontTools reads the files; the table must say the same, within rounding.
    for style in Style:
        _, names = font(style.value)
        for code in names:
            assert text_width(chr(code), 1000, style) == pytest.approx(
                1000 * ink(style.value, chr(code))[0], abs=0.1
            )


def test_the_font_has_its_licence() -> None:
    # SIL Open Font License 1.1, condition 2: each copy contains the notice and the licence.
    text = Path(font_folder() / "rollstave-serif-OFL.txt").read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE Version 1.1" in text
    assert "The Spectral Project Authors" in text


def test_a_sheet_can_stand_in_a_web_page(sheet: tuple[etree._Element, ...]) -> None:
    # WAI-ARIA graphics and SVG 1.1: a title and a description for readers of the screen.
    for root in sheet:
        assert root[0].tag == f"{SVG}title"
        assert root[1].tag == f"{SVG}desc"
        assert (root[0].text or "").strip()
        assert (root[1].text or "").strip()
        # No background and no patches of white: what is filled is a hyphen of the lyrics.
        for rect in root.iter(f"{SVG}rect"):
            assert float(str(rect.get("width"))) < 2 * STAFF_SPACE
        ids = [e.get("id") for e in root.iter() if e.get("id")]
        assert len(ids) == len(set(ids))
        assert all(str(i).startswith("rs-") for i in ids)


def test_paper_sizes() -> None:
    # ISO 216: A4 is 210 by 297 mm. ANSI/ASME Y14.1: letter is 8.5 by 11 in, 25.4 mm an inch.
    sizes = {"a4": (210.0, 297.0), "letter": (8.5 * 25.4, 11 * 25.4)}
    for name, (width, height) in sizes.items():
        options = SheetOptions(paper=PAPERS[name], whole_pages=True)
        for page in rollstave.write(tunes.case("nettle-hill"), "svg", options):
            root = etree.fromstring(page)
            assert float(str(root.get("width")).removesuffix("mm")) == pytest.approx(width, abs=0.1)
            assert float(str(root.get("height")).removesuffix("mm")) == pytest.approx(
                height, abs=0.1
            )


def test_directions_stand_over_the_end_of_their_measure() -> None:
    # Common practice: where to go back, where to end and how often to play stand at the right end.
    score = tunes.case("ferry-landing")
    measures = list(score.measures)
    measures[3] = replace(measures[3], fine=True)
    measures[8] = replace(measures[8], times=3)
    measures[-1] = replace(measures[-1], jump="D.C. al Fine")
    for view in View:
        made = rollstave.write(
            replace(score, measures=tuple(measures)),
            "svg",
            SheetOptions(view=view, title_block=False),  # the repeat ends a line
        )
        roots = [etree.fromstring(page) for page in made]
        found = {box.words: box for root in roots for box in texts(root) if box.kind == "direction"}
        assert set(found) == {"Fine", "play 3 times", "D.C. al Fine"}
        assert not [pair for root in roots for pair in overlapping(texts(root))]
        # The last measure ends at the right end of its system, as the repeat does.
        assert abs(found["D.C. al Fine"].right - found["play 3 times"].right) < STAFF_SPACE


def path_bounds(data: str) -> tuple[float, float, float, float]:
    # fontTools reads the outline, independently of the sheet's own reader.
    pen = BoundsPen(None)
    parse_path(data, pen)
    left, low, right, high = pen.bounds
    return left, low, right, high


def jump_signs(system: etree._Element) -> list[Box]:
    """The ground of segno and coda, from their outlines and how they are put on the page."""
    found = []
    for sign in system.iter(f"{SVG}path"):
        if not sign.get("class", "").startswith("jump"):
            continue
        x, y, across, down = (float(n) for n in _NUMBER.findall(str(sign.get("transform"))))
        dx, dy = offset(sign)
        left, low, right, high = path_bounds(str(sign.get("d")))
        xs = sorted(x + dx + across * v for v in (left, right))
        ys = sorted(y + dy + down * v for v in (low, high))
        found.append(Box(str(sign.get("class")), "jump", xs[0], ys[0], xs[1], ys[1]))
    return found


@pytest.mark.parametrize("view", list(View))
def test_question_marks_of_unsure_measures_touch_nothing(view: View) -> None:
    # Issue 5: what was inferred and is not sure can be marked for the teacher's pencil.
    seen = 0
    for seed in SEEDS[: some(4, 8)]:
        score = rollstave.read(generated.tab(seed))[0].score
        measures = tuple(
            replace(m, rhythm=replace(m.rhythm, sure=m.index % 2 == 1, confidence=0.5))
            for m in score.measures
        )
        options = SheetOptions(view=view, mark_unsure=True)
        for page in rollstave.write(replace(score, measures=measures), "svg", options):
            root = etree.fromstring(page)
            boxes = texts(root)
            assert not list(overlapping(boxes))
            marks = [b for b in boxes if b.kind == "unsure"]
            seen += len(marks)
            for system in root.iterfind(f".//{SVG}g[@class='system']"):
                for use in system.iter(f"{SVG}use"):
                    match = _MOVE.search(str(use.get("transform")))
                    assert match
                    dx, dy = offset(use)
                    x, y = float(match[1]) + dx, float(match[2]) + dy
                    assert not [m for m in marks if m.left < x < m.right and m.top < y < m.bottom]
    assert seen > 20


@pytest.mark.parametrize("view", list(View))
@pytest.mark.parametrize("case", ["ferry-landing", "lantern-stairs", "repeats"])
def test_segno_and_coda_stand_over_their_measures(case: str, view: View) -> None:
    # Common practice: over the left end of the measure that the player goes to; the words of the
    # jump over the right end of the one that is left, To Coda with the sign of the coda.
    score = tunes.case(case)
    measures = list(score.measures)
    last = len(measures) - 1
    measures[1] = replace(measures[1], segno=True)
    measures[2] = replace(measures[2], to_coda=True)
    measures[last - 1] = replace(measures[last - 1], jump="D.S. al Coda")
    measures[last] = replace(measures[last], coda=True, section="Coda")
    made = rollstave.write(replace(score, measures=tuple(measures)), "svg", SheetOptions(view=view))
    roots = [etree.fromstring(page) for page in made]
    seen: list[tuple[str, int]] = []
    for root in roots:
        words = texts(root)
        for system in root.iterfind(f".//{SVG}g[@class='system']"):
            signs = jump_signs(system)
            numbers = [
                int(str(m.get("id")).rpartition("m")[2])
                for m in system.iterfind(f"{SVG}g[@class='measure']")
            ]
            for sign in signs:
                assert not [w for w in words if w.touches(sign)], sign
                assert not [s for s in signs if s is not sign and s.touches(sign)]
                assert sign.top >= 500
                wanted = 1 if "segno" in sign.words else 2 if 2 in numbers else last
                assert wanted in numbers
                seen.append((sign.words, wanted))
            for head in system.iter(f"{SVG}g"):
                match = _MOVE.search(str(head[0].get("transform"))) if len(head) else None
                if head.get("class") == "notehead" and match:
                    dx, dy = offset(head[0])
                    x, y = float(match[1]) + dx, float(match[2]) + dy
                    assert not [s for s in signs if s.touches(Box("", "", x, y - 60, x + 200, y))]
    assert sorted(w for w, _ in seen) == ["jump coda", "jump coda", "jump segno"]


def test_words_are_kept_without_a_staff() -> None:
    score = tunes.case("nettle-hill")
    expected = [e.lyric for m in score.measures for e in m.events if e.lyric]
    for view in View:
        found = [
            "".join(t.itertext()).rstrip("-")
            for root in pages("nettle-hill", view)
            for system in root.iterfind(f".//{SVG}g[@class='system']")
            for t in system.iter(f"{SVG}text")
            if t.get("class") == "lyric"
        ]
        assert sorted(found) == sorted(str(word).rstrip("-") for word in expected)
