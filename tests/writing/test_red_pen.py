"""What a music editor would mark on a sheet: where signs stand, measured.

Rules are of Gould, Behind Bars (2011), from memory, unless one says otherwise; signs are named by
their code points in SMuFL 1.4. Lengths are hundredths of a millimetre; a space of the staff is 180,
one of the tab 315.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import combinations, pairwise
from pathlib import Path
from typing import Any

import music21
import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.svgLib.path import parse_path
from lxml import etree
from msgspec.structs import replace

import rollstave
from rollstave.grid.typed import Bar
from rollstave.notating.closing import closing_bar
from rollstave.score.records import Event, Measure, Note, Score
from rollstave.writing.fonts import Style, text_width
from rollstave.writing.options import SheetOptions, View
from tests import sheets, tunes
from tests.writing import everything

SVG = "{http://www.w3.org/2000/svg}"
HREF = "{http://www.w3.org/1999/xlink}href"
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def drawn(score: Score, **options: Any) -> etree._Element:
    """A score's sheet on one long page."""
    sheet = SheetOptions(paper=everything.LONG, **options)
    return etree.fromstring(rollstave.write(score, "svg", options=sheet)[0])


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


def test_a_tab_alone_has_the_number_of_every_tuplet_under_the_middle_of_its_stems() -> None:
    groups = of(drawn(tunes.case("triplets"), view=View.TAB), "tuplet")
    assert len(groups) == 4
    for group in groups:
        ((x, y, scale),) = glyphs(group, "E883")
        stems = _stems(group)
        left, right = min(s[0] for s in stems), max(s[0] for s in stems)
        # The digit is about 0.42 em wide in the music font, 1000 units at scale 1.
        assert abs(x + 210 * scale - (left + right) / 2) < 60
        # Its top is less than 0.34 em over its base line.
        assert y - 340 * scale > max(max(s[1], s[3]) for s in stems) + 20


def test_the_brackets_of_a_tab_alone_span_their_stems() -> None:
    groups = of(drawn(tunes.case("triplets"), view=View.TAB), "tuplet")
    bracketed = [g for g in groups if of(g, "tupletBracket")]
    assert len(bracketed) == 3
    for group in bracketed:
        stems = [s[0] for s in _stems(group)]
        ends = [x for line in group.iter(f"{SVG}polyline") for x in numbers(line)[::2]]
        assert min(ends) == pytest.approx(min(stems) - 60, abs=2)
        assert max(ends) == pytest.approx(max(stems) + 60, abs=2)


@pytest.mark.parametrize("view", [View.BOTH, View.TAB])
def test_the_rhythm_of_the_tab_has_the_numbers_of_tuplets(view: View) -> None:
    """Four triplets, with a number on either staff. On the tab it stands right under its stems, not
    farther off than the stems are long; on the staff it stays clear of that of the tab."""
    root = drawn(tunes.case("triplets"), view=view)
    assert len(list(glyphs(root, "E883"))) == 4 * (1 + (view is View.BOTH))
    on_tab = [g for g in of(root, "tuplet") if any(_stems_of_tab(g))]
    assert len(on_tab) == 4
    for group in on_tab:
        (sign,) = (u for g in of(group, "tupletNum") for u in g.iter(f"{SVG}use"))
        x, y = numbers(sign)[:2]
        stems = _stems_of_tab(group)
        end = max(bottom for _, _, bottom in stems)
        assert min(x for x, _, _ in stems) - 60 < x < max(x for x, _, _ in stems)
        long = end - min(top for _, top, _ in stems)
        assert 0 < y - end < 1.2 * long


def _stems_of_tab(group: etree._Element) -> list[tuple[float, float, float]]:
    found = []
    for stem in of(group, "stem"):
        holder = stem.getparent()
        if holder is not None and holder.get("class") == "tabDurSym":
            for path in stem.iterfind(f"{SVG}path"):
                x, y1, _, y2 = numbers(path)
                found.append((x, min(y1, y2), max(y1, y2)))
    return found


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
        half = text_width(words, 328, Style.SEMIBOLD) / 2
        by_line.setdefault(y, []).append((x - half, x + half))
    for places in by_line.values():
        for (_, right), (left, _) in pairwise(places):
            assert left - right > 60


# Bends --------------------------------------------------------------------------------------

E = Fraction(1, 2)
# Eighths, a chord, sixteenths and the lowest line; (string, fret), bent where the fret is odd.
BENT: tuple[Sequence[tunes.Timed], ...] = (
    [(E, [(1, fret)]) for fret in (3, 0, 7, 2, 0, 5, 0, 2)],
    [(1, [(2, 3), (4, 1)]), (E, [(3, 5)]), (E, [(4, 0)]), (E / 2, [(2, 9)]), (E / 2, [(1, 0)])],
)


def _bent() -> Score:
    score = tunes.score(BENT)
    measures = tuple(
        replace(m, events=tuple(replace(e, notes=_odd_bent(e)) for e in m.events))
        for m in score.measures
    )
    assert sum(n.bend is not None for m in measures for n in notes_of(m)) == 7
    return replace(score, measures=measures)


def _odd_bent(event: Event) -> tuple[Note, ...]:
    return tuple(replace(n, bend=2 if (n.fret or 0) % 2 else None) for n in event.notes)


def notes_of(measure: Measure) -> list[Note]:
    return [note for event in measure.events for note in event.notes]


@pytest.mark.parametrize("view", [View.BOTH, View.TAB])
def test_a_bend_rises_above_the_tab_with_its_size(view: View) -> None:
    # Common practice, no source: no number of a bend stands on the lines, where frets are.
    root = drawn(_bent(), view=view)
    top = _tab_lines(root)[0]
    words = [t for t in root.iter(f"{SVG}text") if t.get("class") == "bend"]
    # Two strings that are bent at once by as much have a bracket with one arrow and one size.
    assert [t.text for t in words] == ["full"] * 6
    assert all(float(t.get("y", 0)) < top - 100 for t in words)
    on_tab = next(g for g in root.iter(f"{SVG}g") if g.get("class") == "marks ornaments")
    tips = [p for p in of(on_tab, "bend", "path") if p.get("fill") == "currentColor"]
    assert len(tips) == 6
    assert all(numbers(p)[1] < top - 100 for p in tips)


def test_the_sizes_of_bends_overlap_nothing() -> None:
    root = drawn(_bent())
    boxes = []
    for t in root.iter(f"{SVG}text"):
        if t.get("class") in ("bend", "fret"):
            size, x, y = (float(t.get(key, 0)) for key in ("font-size", "x", "y"))
            half = text_width(t.text or "", size) / 2
            boxes.append((x - half, y - 0.7 * size, x + half, y))
    for one, other in combinations(boxes, 2):
        assert not (
            one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
        )
    for stem in of(root, "stem"):
        for x, y1, _, y2 in [numbers(p) for p in stem.iterfind(f"{SVG}path")]:
            for left, top, right, bottom in boxes:
                crosses = left < x < right and top < max(y1, y2) and min(y1, y2) < bottom
                assert not crosses


def test_the_staff_shows_bends() -> None:
    for view, sizes in ((View.BOTH, 6), (View.STAFF, 6)):
        root = drawn(_bent(), view=view)
        layer = next(g for g in root.iter(f"{SVG}g") if g.get("class") == "marks bends")
        assert len(of(layer, "bend", "path")) == 2 * 6
        assert sum(t.get("class") == "bend" for t in root.iter(f"{SVG}text")) == sizes


# What closes --------------------------------------------------------------------------------


def _closing(fine: int | None, jump: int) -> list[str]:
    measures = list(tunes.score([[(4, [(1, 0)])]] * 4).measures)
    measures[3] = replace(measures[3], right=Bar.FINAL)
    if fine is not None:
        measures[fine] = replace(measures[fine], fine=True)
    measures[jump] = replace(measures[jump], jump="D.C. al Fine")
    score = replace(tunes.score([[(4, [(1, 0)])]] * 4), measures=tuple(measures))
    bars = of(drawn(score, view=View.STAFF), "barLine")
    # A thick stroke is 90 wide, thin ones are 27.
    widths = [[round(float(p.get("stroke-width", 0))) for p in bar] for bar in bars]
    names = {(27,): "single", (27, 27): "double", (27, 90): "final"}
    return [names[tuple(w)] for w in widths]


def test_fine_closes_with_the_final_bar_and_a_way_back_with_a_double_one() -> None:
    assert _closing(fine=1, jump=3) == ["single", "final", "single", "double"]
    assert _closing(fine=0, jump=2) == ["final", "single", "double", "final"]


def test_a_tune_without_fine_ends_with_the_final_bar() -> None:
    assert _closing(fine=None, jump=3) == ["single", "single", "single", "final"]


def _hooks(score: Score) -> list[int]:
    """Upright strokes of each bracket of an ending."""
    paths = of(drawn(score), "ending", "path")
    return [(p.get("d") or "").count("V") for p in paths]


def test_the_last_ending_is_open_where_the_music_goes_on() -> None:
    score = everything.score()
    assert _hooks(score) == [2, 1]
    measures = list(score.measures[:7])
    measures[6] = replace(measures[6], right=Bar.FINAL)
    assert _hooks(replace(score, measures=tuple(measures))) == [2, 2]


# Verses -------------------------------------------------------------------------------------

VERSES = """Title: Oars
Time: 4/4

D|-0---0---2---0---|-------------0---|
B|-----------------|-1---1---1-------|
G|-----------------|-----------------|
D|-----------------|-----------------|
g|-----------------|-----------------|
   Row the har-bour  mas-ter home to
   Lift the lan-tern  high and turn
"""
FIRST = ["Row", "the", "har-", "bour", "mas-", "ter", "home", "to"]
SECOND = ["Lift", "the", "lan-", "tern", "high", "and", "turn"]


def _sung(score: Score, verse: int) -> list[str]:
    events = (e for m in score.measures for e in m.events)
    return [text for event in events for number, text in event.sung if number == verse]


@pytest.mark.parametrize("to", ["", "text", "musicxml"])
def test_two_lines_of_lyrics_are_two_verses(to: str, tmp_path: Path) -> None:
    (tune,) = rollstave.read(VERSES)
    if to:
        path = tmp_path / {"text": "again.txt", "musicxml": "again.musicxml"}[to]
        path.write_bytes(rollstave.write(tune.score, to)[0])
        (tune,) = rollstave.read(path)
    assert (_sung(tune.score, 1), _sung(tune.score, 2)) == (FIRST, SECOND)


def test_music21_finds_both_verses() -> None:
    (tune,) = rollstave.read(VERSES)
    stream = music21.converter.parseData(rollstave.write(tune.score, "musicxml")[0])
    lyrics = [lyric for n in stream.parts[0].recurse().notes for lyric in n.lyrics]
    for verse, typed in ((1, FIRST), (2, SECOND)):
        found = [lyric.text for lyric in lyrics if lyric.number == verse]
        assert found == [text.rstrip("-") for text in typed]


def test_mei_has_both_verses() -> None:
    (tune,) = rollstave.read(VERSES)
    root = etree.fromstring(rollstave.write(tune.score, "mei")[0])
    found = [(v.get("n"), v.findtext("{*}syl")) for v in root.iter("{*}verse")]
    for verse, typed in (("1", FIRST), ("2", SECOND)):
        assert [w for n, w in found if n == verse] == [text.rstrip("-") for text in typed]


@pytest.mark.parametrize("view", list(View))
def test_verses_are_stacked_and_numbered(view: View) -> None:
    (tune,) = rollstave.read(VERSES)
    root = drawn(tune.score, view=view)
    rows: dict[float, list[tuple[float, str]]] = {}
    for t in of(root, "lyric", "text"):
        rows.setdefault(float(t.get("y", 0)), []).append((float(t.get("x", 0)), t.text or ""))
    lines = [[text for _, text in sorted(row)] for _, row in sorted(rows.items())]
    assert lines == [[w.rstrip("-") for w in FIRST], [w.rstrip("-") for w in SECOND]]
    upper, lower = sorted(rows)
    # Neither apart nor into each other: syllables are 300 high with all that hangs from them.
    assert 300 <= lower - upper <= 450
    marks = {
        t.text: (float(t.get("x", 0)), float(t.get("y", 0))) for t in of(root, "verse", "text")
    }
    assert {name: y for name, (_, y) in marks.items()} == {"1.": upper, "2.": lower}
    assert all(x < min(x for x, _ in rows[y]) - 30 for x, y in marks.values())


def test_one_verse_has_no_number() -> None:
    (tune,) = rollstave.read("\n".join(VERSES.splitlines()[:-1]) + "\n")
    assert of(drawn(tune.score), "verse", "text") == []


# Bar lines, brackets and numbers --------------------------------------------------------------


@pytest.mark.parametrize("case", [p.stem for p in (*tunes.SAMPLES, *tunes.STRESS)])
def test_the_lines_of_a_system_end_at_its_last_bar_line(case: str) -> None:
    # The heaviest bar line is 90 units; where it stands in its middle, half of that is beside it.
    for root in sheets.roots(case):
        for system in of(root, "system"):
            ends = [
                numbers(line)[2] for g in of(system, "staff") for line in g.iterfind(f"{SVG}path")
            ]
            bars = [numbers(p)[0] for g in of(system, "barLine") for p in g.iterfind(f"{SVG}path")]
            assert 0 <= max(ends) - max(bars) <= 60


def test_a_part_that_another_follows_ends_with_a_double_bar() -> None:
    # Gould, Behind Bars (2011), from memory. A repeat says it by itself.
    plain = tunes.case("ferry-landing")
    assert plain.measures[0].right is Bar.SINGLE
    parted = [
        replace(m, section="B part" if m.index == 3 else None, left=Bar.NONE, right=Bar.SINGLE)
        for m in plain.measures[:6]
    ]
    assert [closing_bar(parted, m) for m in parted[:5]] == [
        *(Bar.SINGLE, Bar.SINGLE, Bar.DOUBLE, Bar.SINGLE, Bar.SINGLE)
    ]
    parted[3] = replace(parted[3], left=Bar.REPEAT_START)
    assert closing_bar(parted, parted[2]) is Bar.SINGLE


def test_the_numbers_of_tuplets_on_staff_and_tab_are_far_apart() -> None:
    # The one under the staff, the other under the tab, each at its beam: no notes of one voice
    # stand between two that belong together. A beam that has just the notes needs no bracket.
    root = drawn(tunes.case("three-gulls"))
    for system in of(root, "system"):
        lines = sorted(
            {numbers(line)[1] for g in of(system, "staff") for line in g.iterfind(f"{SVG}path")}
        )
        heights = [y for _, y, _ in glyphs(system, "E883")]
        tab = sorted(numbers(line)[1] for line in of(system, "lines")[0])
        upper = [y for y in heights if lines[4] < y < tab[0]]
        assert len(upper) == len(heights) / 2
        assert min(y for y in heights if y not in upper) > tab[-1]
        assert not of(system, "tupletBracket")
