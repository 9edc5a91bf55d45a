"""What a music editor would mark on a sheet: where signs stand, measured.

Rules are of Gould, Behind Bars (2011), from memory, unless one says otherwise; signs are named by
their code points in SMuFL 1.4. Lengths are hundredths of a millimetre; a space of the staff is 180,
one of the tab 315.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any

import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.svgLib.path import parse_path
from lxml import etree

import rollstave
from rollstave.score.records import Score
from rollstave.writing.fonts import text_width
from rollstave.writing.options import SheetOptions, View
from tests import tunes
from tests.writing import everything

SVG = "{http://www.w3.org/2000/svg}"
HREF = "{http://www.w3.org/1999/xlink}href"
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def drawn(score: Score, **options: Any) -> etree._Element:
    """The first page of a score's sheet."""
    return etree.fromstring(rollstave.write(score, "svg", options=SheetOptions(**options))[0])


def of(root: etree._Element, kind: str, tag: str = "g") -> list[etree._Element]:
    return [e for e in root.iter(f"{SVG}{tag}") if kind in (e.get("class") or "").split()]


def numbers(element: etree._Element) -> list[float]:
    words = element.get("transform") or element.get("d") or element.get("points") or ""
    return [float(n) for n in _NUMBER.findall(words)]


def glyphs(root: etree._Element, name: str) -> Iterator[tuple[float, float, float]]:
    """Where a music sign stands, and its size."""
    for use in root.iter(f"{SVG}use"):
        if use.get(HREF, "").endswith(name):
            x, y, scale, *_ = numbers(use)
            yield x, y, scale


# Rhythm of a tab alone ----------------------------------------------------------------------


def _stems(group: etree._Element) -> list[Sequence[float]]:
    """x, lower and upper end of every stem."""
    return [numbers(path) for g in of(group, "stem") for path in g.iterfind(f"{SVG}path")]


def test_a_tab_alone_has_the_number_of_every_tuplet_over_the_middle_of_its_stems() -> None:
    groups = of(drawn(tunes.case("triplets"), view=View.TAB), "tuplet")
    assert len(groups) == 4
    for group in groups:
        ((x, y, scale),) = glyphs(group, "E883")
        stems = _stems(group)
        left, right = min(s[0] for s in stems), max(s[0] for s in stems)
        # The digit is about 0.42 em wide in the music font, 1000 units at scale 1.
        assert abs(x + 210 * scale - (left + right) / 2) < 60
        assert y < min(min(s[1], s[3]) for s in stems) - 20


def test_the_brackets_of_a_tab_alone_span_their_stems() -> None:
    groups = of(drawn(tunes.case("triplets"), view=View.TAB), "tuplet")
    bracketed = [g for g in groups if of(g, "tupletBracket")]
    assert len(bracketed) == 3
    for group in bracketed:
        stems = [s[0] for s in _stems(group)]
        ends = [x for line in group.iter(f"{SVG}polyline") for x in numbers(line)[::2]]
        assert min(ends) == pytest.approx(min(stems) - 60, abs=2)
        assert max(ends) == pytest.approx(max(stems) + 60, abs=2)


def test_a_tuplet_has_its_number_once_where_there_is_a_staff() -> None:
    root = drawn(tunes.case("triplets"))
    assert len(list(glyphs(root, "E883"))) == 4


def test_a_tab_alone_has_rests_dots_and_ties() -> None:
    root = drawn(everything.score(), view=View.TAB)
    both = drawn(everything.score())
    # The rest of an eighth and of a measure; three dotted notes; two tied frets.
    assert (len(of(root, "rest")), len(of(root, "mRest"))) == (1, 1)
    assert len(of(root, "tie", "path")) == len(of(both, "tie", "path")) == 2
    dots = [e for g in of(root, "tabDurSym") for e in g.iter(f"{SVG}ellipse")]
    assert len(dots) == 3


# Signs for any number of lines --------------------------------------------------------------

STRINGED = (
    ("mountain dulcimer", "DAD"),
    ("ukulele", "GCEA"),
    ("banjo", "gDGBD"),
    ("guitar", "EADGBE"),
)


def _repeated(instrument: str, tuning: str) -> etree._Element:
    rows = "\n".join(f"{name}|:-0---0---0---0--|-0---0---0---0-:|" for name in reversed(tuning))
    (tune,) = rollstave.read(f"Title: Oars\nInstrument: {instrument}\nTime: 4/4\n\n{rows}\n")
    return drawn(tune.score)


def _tab_lines(root: etree._Element) -> list[float]:
    return sorted({numbers(line)[1] for line in of(root, "line", "path")})


@pytest.mark.parametrize(("instrument", "tuning"), STRINGED)
def test_repeats_have_two_dots_of_one_size_around_the_middle(instrument: str, tuning: str) -> None:
    root = _repeated(instrument, tuning)
    lines = _tab_lines(root)
    assert len(lines) == len(tuning)
    middle = (lines[0] + lines[-1]) / 2
    for bar in (b for b in of(root, "barLine") if list(glyphs(b, "E044"))):
        dots = list(glyphs(bar, "E044"))
        assert len(dots) == 4
        assert len({scale for _, _, scale in dots}) == 1
        on_tab = sorted(y for _, y, _ in dots if y > lines[0])
        assert len(on_tab) == 2
        assert sum(on_tab) / 2 == pytest.approx(middle, abs=2)
        # Each in a space: half a space from the next line.
        for y in on_tab:
            assert min(abs(y - line) for line in lines) == pytest.approx(315 / 2, abs=3)
    assert len(list(glyphs(root, "E044"))) == 8


@pytest.mark.parametrize(("instrument", "tuning"), STRINGED)
def test_the_letters_of_the_clef_stand_within_the_lines(instrument: str, tuning: str) -> None:
    root = _repeated(instrument, tuning)
    lines = _tab_lines(root)
    ((_, y, scale),) = glyphs(root, "E06D")
    outline = next(g for g in root.iter(f"{SVG}g") if (g.get("id") or "").endswith("glyph-E06D"))
    shapes = parse_path_box("".join(p.get("d", "") for p in outline))
    assert y - scale * shapes[3] >= lines[0] - 2
    assert y - scale * shapes[1] <= lines[-1] + 2


def parse_path_box(outline: str) -> tuple[float, float, float, float]:
    """Left, bottom, right and top of an outline, by fontTools."""
    pen = BoundsPen(None)
    parse_path(outline, pen)
    assert pen.bounds is not None
    left, bottom, right, top = pen.bounds
    return left, bottom, right, top


# Held notes and ghosts ----------------------------------------------------------------------

HELD = """Title: Oars
Time: 4/4

D|-<12>-----=<12>-----12---=12--|-=12----0-------|
B|------1-----------------------|-----------1----|
G|------------------(0)---------|----------------|
D|-2-------=2-------------------|----------------|
g|------------------------------|----------------|
"""


def _frets(root: etree._Element) -> list[tuple[str, float, float]]:
    """Words, x and y of all frets, from left to right."""
    found = [(t.text or "", float(t.get("x", 0)), float(t.get("y", 0))) for t in _texts(root)]
    return sorted(found, key=lambda f: f[1])


def _texts(root: etree._Element) -> list[etree._Element]:
    return of(root, "fret", "text")


def test_what_is_held_stands_in_parentheses_a_ghost_in_brackets() -> None:
    # Parentheses for held frets: common practice, no source. Brackets for a ghost are ours.
    (tune,) = rollstave.read(HELD)
    words = Counter(words for words, _, _ in _frets(drawn(tune.score)))
    assert (words["‹12›"], words["2"], words["12"], words["[0]"]) == (1, 1, 1, 1)
    assert words["(‹12›)"] >= 1
    assert words["(2)"] >= 1
    assert words["(12)"] >= 2


def test_what_stands_in_parentheses_has_room() -> None:
    (tune,) = rollstave.read(HELD)
    by_line: dict[float, list[tuple[float, float]]] = {}
    for words, x, y in _frets(drawn(tune.score)):
        half = text_width(words, 310) / 2
        by_line.setdefault(y, []).append((x - half, x + half))
    for places in by_line.values():
        for (_, right), (left, _) in pairwise(places):
            assert left - right > 60
