"""What was marked on the second proofs, each kind measured: stems and figures of the tab, the signs
of long notes, accidentals beside dots and beams, the key and the sentences at the foot.

Rules are of Gould, Behind Bars (2011), from memory, or common practice, no source, of printed
banjo books. Lengths are units: a staff is 720, the space between two lines of the tab 315.
"""

from __future__ import annotations

import pytest
from lxml import etree

import rollstave
from rollstave.deciding.shape_row import shape_row
from rollstave.notating.notation import notate
from rollstave.writing.options import SheetOptions, View
from tests import tunes
from tests.writing import everything
from tests.writing.test_sheet_geometry import SVG, box_of, stems, systems
from tests.writing.test_spacing import drawn, every_case_and_look, glyph_boxes, groups, numbers

CASES = [p.stem for p in (*tunes.SAMPLES, *tunes.STRESS)]
every_case = pytest.mark.parametrize("case", CASES)


def _tab_lines(system: etree._Element) -> list[float]:
    return [numbers(p.get("d"))[1] for g in groups(system, "marks lines") for p in g]


def _frets(system: etree._Element) -> list[etree._Element]:
    return [t for t in system.iter(f"{SVG}text") if "fret" in (t.get("class") or "").split()]


@every_case_and_look
def test_stems_and_beams_hang_under_the_tab_clear_of_its_figures(case: str, look: str) -> None:
    """Half a millimetre and more under the figures of the lowest string, and over the letters."""
    seen = 0
    for root in drawn(case, look):
        for system in systems((root,)):
            figures = [box_of(t) for t in _frets(system)]
            letters = [
                box_of(t)
                for t in system.iter(f"{SVG}text")
                if (t.get("class") or "").startswith("finger")
            ]
            for x, top, bottom in stems(system):
                seen += 1
                near = [b.bottom for b in figures if b.left - 20 < x < b.right + 20]
                assert near
                assert top - max(near) > 50
                under = [b.top for b in letters if b.left < x < b.right and b.top > top]
                assert all(high - bottom > 60 for high in under)
    assert seen or look == "staff"


def test_a_letter_a_bend_and_an_icon_over_the_first_string_are_clear_of_all_stems() -> None:
    for case in ("left-hand", "bends-and-ghosts", "graces"):
        for system in systems(drawn(case)):
            high = min(top for _, top, _ in stems(system))
            for text in system.iter(f"{SVG}text"):
                if text.get("class") in ("link", "bend"):
                    assert box_of(text).bottom < high


@pytest.mark.parametrize("view", [View.BOTH, View.TAB])
def test_a_half_note_has_half_a_stem_and_the_key_says_so(view: View) -> None:
    options = SheetOptions(paper=everything.LONG, view=view)
    root = etree.fromstring(rollstave.write(tunes.case("odd-phrases"), "svg", options)[0])
    values = [
        s.value for m in notate(tunes.case("odd-phrases")) for s in m.symbols if not s.is_rest
    ]
    found = [(x, bottom - top) for g in systems((root,)) for x, top, bottom in stems(g)]
    # A whole note has none.
    assert len(found) == len([v for v in values if v != "whole"])
    lengths = sorted({round(long / 10) for _, long in found})
    assert len(lengths) == 2
    assert lengths[0] / lengths[1] == pytest.approx(0.5, abs=0.03)
    half = [long for _, long in found if round(long / 10) == lengths[0]]
    assert len(half) == values.count("half") == 2
    words = {t.text for t in root.iter(f"{SVG}text") if t.get("class") == "key-words"}
    assert {"short stem in the tab: half note", "no stem in the tab: whole note"} <= words


@every_case
def test_signs_of_long_notes_are_in_the_key_of_tunes_that_have_them(case: str) -> None:
    root = drawn(case)[-1]
    words = {t.text for t in root.iter(f"{SVG}text") if t.get("class") == "key-words"}
    values = {s.value for m in notate(tunes.case(case)) for s in m.symbols if not s.is_rest}
    assert ("short stem in the tab: half note" in words) == ("half" in values)
    assert ("no stem in the tab: whole note" in words) == ("whole" in values)


@every_case
def test_accidentals_are_clear_of_the_beams_over_them(case: str) -> None:
    for root in drawn(case):
        for system in systems((root,)):
            for beam in groups(system, "beam"):
                if groups(beam, "tuplet") or groups(beam, "tabDurSym"):
                    continue
                lines = [numbers(p.get("points")) for p in beam.iterfind(f"{SVG}polygon")]
                for sign in glyph_boxes(root, beam, "accid"):
                    for line in lines:
                        if sign.right < min(line[::2]) or sign.left > max(line[::2]):
                            continue
                        low, high = max(line[1::2]), min(line[1::2])
                        # A sixth of a space; a slanted line is nearer on one side.
                        assert low < sign.top - 30 or high > sign.bottom + 30 or low - high > 200


def test_a_flat_under_two_beams_moves_them_away() -> None:
    # The measure with a flat between two sixteenths, as Verovio left it, had it in the beam.
    (root,) = drawn("left-hand")
    seen = 0
    for beam in groups(root, "beam"):
        if groups(beam, "tabDurSym"):
            continue
        lines = [numbers(p.get("points")) for p in beam.iterfind(f"{SVG}polygon")]
        ends = [numbers(p.get("d")) for g in groups(beam, "stem") for p in g]
        top = min(y for line in lines for y in line[1::2])
        # The stems still end in the beam.
        assert all(min(end[1], end[3]) < top + 90 for end in ends)
        for sign in glyph_boxes(root, beam, "accid"):
            over = [line for line in lines if max(line[1::2]) < sign.bottom]
            seen += bool(over)
            assert all(max(line[1::2]) < sign.top - 30 for line in over)
    assert seen


def test_parentheses_around_an_accidental_are_clear_of_the_dot_before_it() -> None:
    seen = 0
    for root in drawn("left-hand"):
        for system in systems((root,)):
            dots = [
                (float(e.get("cx", "0")), float(e.get("cy", "0")), float(e.get("rx", "0")))
                for e in system.iter(f"{SVG}ellipse")
            ]
            for path in system.iter(f"{SVG}path"):
                if path.get("class") != "caution":
                    continue
                points = numbers(path.get("d"))
                left, high, low = min(points[::2]), min(points[1::2]), max(points[1::2])
                near = [x + r for x, y, r in dots if high < y < low and left - 400 < x < left + 60]
                seen += bool(near)
                assert all(right < left - 20 for right in near)
    assert seen


def test_the_key_tells_the_thumb_of_the_left_hand_where_a_shape_has_it() -> None:
    for case in CASES:
        score = tunes.case(case)
        short = score.setup.instrument.short_string
        thumb = short is not None and any(s.frets[short.string - 1] for s in shape_row(score))
        words = [t.text for t in drawn(case)[-1].iter(f"{SVG}text")]
        assert ("thumb of the left hand, under a shape" in words) == thumb


@every_case
def test_every_page_without_the_key_says_where_it_is(case: str) -> None:
    pages = drawn(case)
    for number, root in enumerate(pages, start=1):
        said = [t.text or "" for t in root.iter(f"{SVG}text") if t.get("class") == "footer"]
        if number < len(pages):
            assert groups(root, "key") == []
            assert said[0].endswith(f"key to the signs on page {len(pages)}")
        else:
            assert groups(root, "key")


def test_what_the_typist_says_of_chord_names_is_not_said_again() -> None:
    (page,) = drawn("slate-roof-rain")
    words = " ".join(t.text or "" for t in page.iter(f"{SVG}text"))
    assert "Chord names are as they sound." in words
    assert "Chords are named as they sound." not in words
    (page,) = drawn("capo")
    assert "Chords are named as they sound." in " ".join(
        t.text or "" for t in page.iter(f"{SVG}text")
    )


def test_suggested_shapes_are_named_at_the_foot() -> None:
    (page,) = drawn("ferry-landing")
    suggested = [s.label for s in shape_row(tunes.case("ferry-landing")) if s.suggested]
    assert suggested == ["Em"]
    said = " ".join(t.text or "" for g in groups(page, "remarks") for t in g)
    assert "So are the shape of Em (in italics) and the fingers of the chord shapes." in said


@every_case
def test_no_row_has_more_than_ten_shapes(case: str) -> None:
    for root in drawn(case):
        for row in groups(root, "chord-row"):
            names = [t for t in row.iter(f"{SVG}text") if t.get("class") == "shape-name"]
            heights = [t.get("y") for t in names]
            assert all(heights.count(height) <= 10 for height in heights)


@every_case
def test_chord_names_over_a_tab_alone_stand_over_its_letters(case: str) -> None:
    """Beside a letter or a figure of the first string a name would read as one more of them."""
    for root in drawn(case, "tab"):
        for system in systems((root,)):
            names, letters = [], []
            for text in system.iter(f"{SVG}text"):
                name = (text.get("class") or "").split() or [""]
                if name[0] == "chord":
                    names.append(box_of(text))
                elif name[0] in ("link", "bend", "fret"):
                    letters.append(box_of(text))
            for chord in names:
                near = [b for b in letters if chord.left - 400 < b.left < chord.right + 400]
                assert all(chord.bottom < letter.top for letter in near)


def test_a_bent_note_that_rings_on_has_its_arc_past_the_arrow() -> None:
    root = etree.fromstring(
        rollstave.write(everything.score(), "svg", SheetOptions(paper=everything.LONG))[0]
    )
    seen = 0
    for layer in groups(root, "marks ornaments"):
        shafts = [
            numbers(p.get("d"))
            for p in layer
            if p.get("class") == "bend" and p.get("fill") == "none"
        ]
        for path in layer:
            if path.get("class") == "ring":
                left = numbers(path.get("d"))[0]
                near = [s for s in shafts if -300 < s[0] - left < 300]
                seen += len(near)
                assert all(left > max(s[::2][:3]) + 20 for s in near)
    assert seen


def test_brackets_of_ghosts_end_on_no_line_of_the_staff() -> None:
    """There they would be taken for bar lines. A quarter of the space between two lines is 45."""
    seen = 0
    for case in ("bends-and-ghosts", "slate-roof-rain"):
        for root in drawn(case):
            for system in systems((root,)):
                lines = [
                    numbers(p.get("d"))[1]
                    for g in groups(system, "staff")[:1]
                    for p in g.iterfind(f"{SVG}path")
                ]
                for path in system.iter(f"{SVG}path"):
                    if path.get("class") == "ghost":
                        seen += 1
                        ends = numbers(path.get("d"))[1::2]
                        assert all(abs(end - line) > 30 for end in ends for line in lines)
    assert seen >= 8


@every_case
def test_what_stands_under_two_shapes_is_parted_like_two_remarks(case: str) -> None:
    for root in drawn(case):
        places = [t for t in root.iter(f"{SVG}text") if t.get("class") == "shape-place"]
        for one in places:
            for other in places:
                a, b = box_of(one), box_of(other)
                if one is not other and one.get("y") == other.get("y") and a.left < b.left:
                    assert b.left - a.right >= 160
