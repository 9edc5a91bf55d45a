"""What was marked on the third proofs, each kind measured: slides of the tab, signs that warn,
brackets of ghosts, crosses of a second, brackets of bends, and what stands over the music.

Rules are common practice, no source. Lengths are units: a staff is 720, a space of it 180, the
space between two lines of the tab 315.
"""

from __future__ import annotations

from itertools import pairwise

from lxml import etree

from tests.writing.test_sheet_geometry import SVG, box_of, systems
from tests.writing.test_spacing import drawn, glyph_boxes, groups, numbers

HREF = "{http://www.w3.org/1999/xlink}href"
CROSS = 212.0  # SMuFL 1.4, Leipzig's noteheadXBlack: 1.18 spaces wide, at the size of a staff


def _of(element: etree._Element, name: str, tag: str = "path") -> list[etree._Element]:
    return [e for e in element.iter(f"{SVG}{tag}") if name in (e.get("class") or "").split()]


def test_no_line_of_a_string_crosses_a_short_slide() -> None:
    seen = 0
    for system in systems(drawn("slides")):
        pieces = [
            (x, y, end)
            for line in _of(system, "line")
            for piece in (line.get("d") or "").split("M")[1:]
            for x, y, end in [numbers(piece)]
        ]
        for layer in groups(system, "marks links"):
            for slide in _of(layer, "slide"):
                left, low, right, high = numbers(slide.get("d"))
                height = (low + high) / 2
                if right - left < 250:
                    seen += 1
                    across = [p for p in pieces if abs(p[1] - height) < 5]
                    assert across
                    assert not [p for p in across if p[0] < right and left < p[2]]
    assert seen > 8


def test_parentheses_of_a_sign_that_warns_are_clear_of_the_stem_before_it() -> None:
    """By a sixth of a space and more."""
    seen = 0
    for system in systems(drawn("chord-every-beat")):
        stems = [numbers(p.get("d")) for g in groups(system, "stem") for p in g]
        for path in _of(system, "caution"):
            points = numbers(path.get("d"))
            left, top, bottom = min(points[::2]), min(points[1::2]), max(points[1::2])
            for stem in stems:
                if (
                    -300 < stem[0] - left < 60
                    and min(stem[1::2]) < bottom
                    and top < max(stem[1::2])
                ):
                    seen += 1
                    assert left - stem[0] > 25  # of the points that bend it, 9 outside
    assert seen


def test_a_bracket_of_a_ghost_is_clear_of_the_ledger_line_before_it() -> None:
    seen = 0
    for system in systems(drawn("slate-roof-rain")):
        lines = [
            numbers(p.get("d"))
            for g in system.iter(f"{SVG}g")
            if "ledgerLines" in (g.get("class") or "")
            for p in g.iter(f"{SVG}path")
        ]
        assert lines
        for path in _of(system, "ghost"):
            points = numbers(path.get("d"))
            left, top, bottom = min(points[::2]), min(points[1::2]), max(points[1::2])
            before = [
                p[2] for p in lines if top - 90 < p[1] < bottom and left - 300 < p[2] < left + 20
            ]
            seen += len(before)
            assert all(left - end > 25 for end in before)
    assert seen


def test_the_crosses_of_a_second_lie_beside_each_other() -> None:
    seen = 0
    for system in systems(drawn("slate-roof-rain")):
        for chord in groups(system, "chord"):
            heads = sorted(
                (numbers((u.get("transform") or "").split(")")[0])[1], x)
                for u in chord.iter(f"{SVG}use")
                if "E0A9" in (u.get(HREF) or "")
                for x in numbers(u.get("transform"))[:1]
            )
            for (high, x), (low, other) in pairwise(heads):
                if low - high < 100:  # half a space apart, and not a whole one
                    seen += 1
                    assert abs(x - other) > CROSS
    assert seen


def test_the_line_after_8va_begins_half_a_space_after_the_letters() -> None:
    seen = 0
    for root in drawn("high-neck"):
        for system in systems((root,)):
            letters = glyph_boxes(root, system, "octave")
            for group in groups(system, "octave"):
                line = next(p for p in group.iter(f"{SVG}path") if p.get("stroke-dasharray"))
                left = numbers(line.get("d"))[0]
                seen += 1
                assert min(left - b.right for b in letters if b.right < left) > 80
    assert seen == 2


def test_the_metronome_mark_is_apart_from_chord_names_and_rolls_on_its_height() -> None:
    """By more than the width of a letter."""
    for case in ("slate-roof-rain", "nettle-hill", "jig"):
        system = next(iter(systems(drawn(case))))
        (mark,) = groups(system, "tempo")
        box = box_of(next(t for t in mark.iter(f"{SVG}text")))
        over = [
            box_of(t)
            for t in system.iter(f"{SVG}text")
            if (t.get("class") or "").split()[:1] in (["chord"], ["roll"])
        ]
        beside = [b for b in over if b.top < box.bottom and box.top < b.bottom]
        assert all(b.left - box.right > 220 for b in beside if b.left > box.left)


def test_under_open_shapes_alone_their_measures_stand_where_fingers_would() -> None:
    (row,) = groups(drawn("brushes")[0], "chord-row")
    (place,) = _of(row, "shape-place", "text")
    neck = max(n for p in row.iter(f"{SVG}path") for n in numbers(p.get("d"))[1:2])
    assert not _of(row, "left-finger", "text")
    assert box_of(place).top - neck < 250
