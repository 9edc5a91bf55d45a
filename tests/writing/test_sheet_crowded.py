"""Sheets of tabs in which much stands close together: words, brackets and signs keep apart.

The tabs are invented. Widths of words come from the font files by fontTools (see
test_sheet_geometry); the rules are those of music engraving (common practice, no source).
"""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import pytest
from lxml import etree

import rollstave
from rollstave.notating.notation import notate
from rollstave.writing.options import SheetOptions, View
from tests import tunes
from tests.writing.test_sheet_geometry import (
    FRETS,
    SVG,
    Box,
    box_of,
    offset,
    overlapping,
    systems,
    texts,
)

HREF = "{http://www.w3.org/1999/xlink}href"
HEAD = "Title: Crowded Landing\nTuning: gDGBD\nKey: G\nTime: 4/4\n\n"
EMPTY = "|-----------------|-----------------|"
SUNG = HEAD + (
    "D|-0---0---2---0---|-4---0---4---0---|\n"
    f"B{EMPTY}\nG{EMPTY}\nD{EMPTY}\ng{EMPTY}\n"
    "   Straw-  ber-  ry  wa-   ters         \n\n"
    "D|-0-0-0-2-0-0-2-2-|-4---0---4---0---|\n"
    f"B{EMPTY}\nG{EMPTY}\nD{EMPTY}\ng{EMPTY}\n"
    "   fer-       ry     lark- spurs        \n"
)
BELLS = (
    HEAD
    + """
D|-<12>-<7>--<5>--x---|-(2)-0~-12~-12*-|-t12--T-0-----|
B|-<12>-<7>--<5>--x---|-(1)-1~-------x-|--------------|
G|-<12>-<7>--<5>--x---|-----0~---------|--------------|
D|----------------x---|----------------|--------------|
g|----------------x---|-------------0--|----------0---|
"""
)
WAVES = (
    HEAD
    + """
D|-15^--17^--12--0-|-12~-14~-12~-10~-9~--7~--5~--0--|
B|-----------------|--------------------------------|
G|-12~--10~--------|--------------------------------|
D|-----------------|--------------------------------|
g|-------------0---|--------------------------------|
"""
)
GHOSTS = (
    HEAD
    + """
D|-0---2---0------2-|-(2)---0---2---12-|-(12)--0---------2-|-(2)-(2)-----0---|
B|---1---1---1----1-|-(1)-----1-----13-|-(13)----1-------1-|-(1)-(1)---------|
G|-------------0----|-----2------------|-----0-------0-----|-----------------|
D|------------------|------------------|-------------------|-----------------|
g|------------------|---------0--------|---------0---------|---------0---0---|
"""
)


def sheet(tab: str, **options: object) -> tuple[etree._Element, ...]:
    (tune,) = rollstave.read(tab)
    pages = rollstave.write(tune, "svg", SheetOptions(**options))  # type: ignore[arg-type]
    return tuple(etree.fromstring(page) for page in pages)


def placed(element: etree._Element) -> tuple[float, float]:
    """Where an element without a group of its own stands: x and y with all shifts over it."""
    dx, dy = offset(element)
    return float(element.get("x", "0")) + dx, float(element.get("y", "0")) + dy


@pytest.mark.parametrize("view", [View.BOTH, View.TAB])
@pytest.mark.parametrize("large", [False, True])
def test_hyphens_stand_in_the_middle_between_syllables(view: View, large: bool) -> None:
    seen = 0
    for system in systems(sheet(SUNG, view=view, large=large)):
        words = sorted(
            (box_of(t) for t in system.iter(f"{SVG}text") if t.get("class") == "lyric"),
            key=lambda box: box.left,
        )
        bars = [
            (placed(r)[0], placed(r)[0] + float(r.get("width", "0")))
            for r in system.iter(f"{SVG}rect")
        ]
        assert not [w.words for w in words if "-" in w.words]
        for before, after in pairwise(words):
            between = [b for b in bars if before.right < b[1] and b[0] < after.left]
            assert bool(between) == (before.words in {"Straw", "ber", "wa", "fer", "lark"})
            if between:
                seen += 1
                left, right = min(b[0] for b in between), max(b[1] for b in between)
                # The ink of a letter may begin a little beside its place: a tenth of a space.
                assert abs((left - before.right) - (after.left - right)) < 40
                assert left - before.right > 20
    assert seen == 5


@pytest.mark.parametrize("view", [View.BOTH, View.TAB])
def test_a_hyphen_at_the_end_of_a_line_stays_in_it(view: View) -> None:
    line = "D" + "|-0-0-0-2-0-0-2-2-" * 4 + "|\n"
    line += "".join(f"{label}{'|-----------------' * 4}|\n" for label in "BGDg")
    tab = HEAD + line + " " * 71 + "fer-\n\n" + line + "   ry\n"
    first, _ = systems(sheet(tab, view=view))
    bars = [placed(r)[0] + float(r.get("width", "0")) for r in first.iter(f"{SVG}rect")]
    lines = next(g for g in first.iter(f"{SVG}g") if g.get("class") == "marks lines")
    ends = [float(x) for p in lines for x in re.findall(r"H(-?\d+)", str(p.get("d")))]
    assert max(bars) < max(ends) + offset(lines[0])[0]


@pytest.mark.parametrize(
    ("typed", "set_"),
    [("F#m7b5/C#", "F♯m7♭5/C♯"), ("E7#9", "E7♯9"), ("Bb7b9", "B♭7♭9"), ("Ebm", "E♭m")],
)
def test_altered_degrees_have_true_signs(typed: str, set_: str) -> None:
    tab = HEAD + f"   {typed}\nD|-0---0---2---0---|\nB{EMPTY[:19]}\nG{EMPTY[:19]}\n"
    tab += f"D{EMPTY[:19]}\ng{EMPTY[:19]}\n"
    found = [box.words for root in sheet(tab) for box in texts(root)]
    assert set_ in found
    assert typed not in found


def test_a_tap_has_the_letter_that_the_key_explains() -> None:
    (root,) = sheet(BELLS)
    drawn = {"".join(t.itertext()) for t in root.iter(f"{SVG}text") if t.get("class") == "link"}
    key = [t for t in root.iter(f"{SVG}text") if t.get("class") in ("key-sign", "key-words")]
    said = {
        "".join(words.itertext()): "".join(sign.itertext())
        for sign, words in pairwise(key)
        if words.get("class") == "key-words" and sign.get("class") == "key-sign"
    }
    assert drawn == {said["tap"]}
    assert said["tap"] != said["thumb"]


@pytest.mark.parametrize("view", [View.BOTH, View.TAB])
def test_letters_of_links_stand_beside_bar_lines(view: View) -> None:
    for root in sheet(BELLS, view=view):
        bars = [
            Box("", "", *_span(path))
            for group in root.iter(f"{SVG}g")
            if group.get("class") == "barLine"
            for path in group.iter(f"{SVG}path")
        ]
        letters = [box_of(t) for t in root.iter(f"{SVG}text") if t.get("class") == "link"]
        assert bars
        assert letters
        assert not [(a, b) for a in letters for b in bars if a.touches(b)]


def _span(path: etree._Element) -> tuple[float, float, float, float]:
    """The ground of an upright line: its width is that of its stroke."""
    x, top, _, bottom = (float(v) for v in re.findall(r"-?[\d.]+", str(path.get("d"))))
    dx, dy = offset(path)
    half = float(path.get("stroke-width", "0")) / 2
    return x + dx - half, min(top, bottom) + dy, x + dx + half, max(top, bottom) + dy


@pytest.mark.parametrize("view", [View.BOTH, View.TAB])
def test_frets_in_brackets_keep_apart(view: View) -> None:
    for tab in (BELLS, GHOSTS):
        for system in systems(sheet(tab, view=view)):
            digits = [box_of(t) for t in system.iter(f"{SVG}text") if t.get("class") in FRETS]
            assert any("‹" in d.words or "(" in d.words for d in digits)
            # About half a figure: less of the line than that does not show between brackets.
            wide = [replace(d, left=d.left - 50, right=d.right + 50) for d in digits]
            assert not list(overlapping(wide))


@pytest.mark.parametrize("large", [False, True])
def test_waves_of_vibrato_reach_into_no_digit(large: bool) -> None:
    seen = 0
    for root in sheet(WAVES, large=large):
        digits = [box_of(t) for t in root.iter(f"{SVG}text") if t.get("class") in FRETS]
        for path in root.iter(f"{SVG}path"):
            if path.get("class") != "vibrato":
                continue
            data = str(path.get("d"))
            x, y = (float(v) for v in re.findall(r"-?\d+", data)[:2])
            dx, dy = offset(path)
            # Each "q" goes to its end point, up or down half as far as its control point.
            end = x + sum(float(far) for far in re.findall(r"q\d+ -?\d+ (\d+) 0", data))
            assert end >= x + 50
            wave = Box("", "", x + dx, y + dy - 25, end + dx, y + dy + 25)
            assert not [d for d in digits if d.touches(wave)]
            seen += 1
    assert seen == 9


LONG = (
    "The Exceedingly Long and Winding Title of a Tune That Was Made One Autumn for the Pupils of "
    "the Lower Ferry School"
)


@pytest.mark.parametrize("title", ["Short", LONG, LONG + " and All Who Row There", "Ferry" * 40])
@pytest.mark.parametrize("large", [False, True])
def test_long_titles_are_broken_rather_than_small(title: str, large: bool) -> None:
    (root, *_) = sheet(GHOSTS.replace("Crowded Landing", title), large=large)
    _, _, width, _ = (float(v) for v in str(root.get("viewBox")).split())
    lines = [t for t in root.iter(f"{SVG}text") if t.get("class") == "title"]
    assert " ".join("".join(t.itertext()) for t in lines) == title
    sizes = {float(str(t.get("font-size"))) for t in lines}
    body = max(
        float(str(t.get("font-size")))
        for t in root.iter(f"{SVG}text")
        if "".join(t.itertext()).startswith("Tuning")
    )
    assert len(sizes) == 1
    # A heading is plainly larger than the text under it, unless one word fills the line.
    assert min(sizes) >= 1.4 * body or " " not in title
    assert (len(lines) == 1) == (title == "Short" or " " not in title)
    for box in map(box_of, lines):
        assert box.left >= 500
        assert box.right <= width - 500
    assert not list(overlapping(texts(root)))


def test_one_pair_of_brackets_goes_around_the_heads_of_ghosts() -> None:
    # Square, as around their frets: round ones on the tab are those of ties. SMuFL: U+E26A is a
    # round one, U+E0A4 the black head, which is 314 units wide.
    checked = 0
    for root in sheet(GHOSTS):
        for chord in root.iter(f"{SVG}g"):
            if chord.get("class") != "chord":
                continue
            pair = [p for p in chord.iter(f"{SVG}path") if p.get("class") == "ghost"]
            if not pair:
                continue
            uses = list(chord.iter(f"{SVG}use"))
            assert not any(u.get(HREF, "").endswith("E26A") for u in uses)
            heads = [_place(u) for u in uses if u.get(HREF, "").endswith("E0A4")]
            assert (len(pair), len(heads)) == (2, 2)
            spans = []
            for path in pair:
                numbers = [float(n) for n in re.findall(r"-?\d+", path.get("d", ""))]
                xs, ys = numbers[::2], numbers[1::2]
                assert min(ys) <= min(h[1] for h in heads) - 90
                assert max(ys) >= max(h[1] for h in heads) + 90
                spans.append((min(xs), max(xs)))
            (_, inner), (other, _) = sorted(spans)
            assert inner <= min(h[0] for h in heads)
            assert other >= max(h[0] + 314 * h[2] for h in heads)
            checked += 1
    assert checked == 4


HIGH_GHOSTS = (
    HEAD
    + """
D|-0---(14)---0---(12)-|-(15)---12---(14)---0-|
B|---------------------|----------------------|
G|---------------------|----------------------|
D|---------------------|----------------------|
g|---------------------|----------------------|
"""
)


def test_brackets_of_ghosts_keep_clear_of_ledger_lines() -> None:
    """A fifth of a space of the staff at least, stroke included (180 units: our choice)."""
    seen = 0
    for root in sheet(HIGH_GHOSTS):
        ledgers = [
            [float(n) for n in re.findall(r"-?[\d.]+", path.get("d", ""))]
            for group in root.iter(f"{SVG}g")
            if (group.get("class") or "").startswith("ledgerLines")
            for path in group.iter(f"{SVG}path")
        ]
        for path in (p for p in root.iter(f"{SVG}path") if p.get("class") == "ghost"):
            numbers = [float(n) for n in re.findall(r"-?[\d.]+", path.get("d", ""))]
            left, right = min(numbers[::2]), max(numbers[::2])
            upright, top, bottom = numbers[2], min(numbers[1::2]), max(numbers[1::2])
            for x1, y, x2, _ in ledgers:
                if top < y < bottom and x1 < right + 60 and left - 60 < x2:
                    seen += 1
                    assert min(abs(upright - x1), abs(upright - x2)) - 11 >= 36
    assert seen >= 6


def _place(use: etree._Element) -> tuple[float, float, float, float]:
    x, y, wide, tall = (float(v) for v in re.findall(r"-?[\d.]+", str(use.get("transform"))))
    return x, y, wide, tall


CROWDED_CHORDS = [
    ["G", "Em", "Am7", "D7"],
    ["F#m7b5/C#", "B7", "Em7", "A7"],
    ["Cm7b5", "F#m7b5/C#", "Bm7b5/F", "E7#9"],
    ["Am", "D", "G", "G"],
]


def _chord_for_every_beat() -> str:
    tab = HEAD
    for names in CROWDED_CHORDS:
        tab += "    " + "".join(name.ljust(12) for name in names).rstrip() + "\n"
        for string, label in enumerate("DBGDg", 1):
            slots = ("0" if s == string else "-" for s in (3, 2, 1, 5, 3, 2, 1, 5))
            tab += f"{label}|--" + "".join(f"{slot}-----" for slot in slots) + "|\n"
        tab += "\n"
    return tab


@pytest.mark.parametrize("view", list(View))
def test_long_chord_names_stand_in_their_measures(view: View) -> None:
    (root,) = sheet(_chord_for_every_beat(), view=view)
    found: list[str] = []
    for system in systems((root,)):
        names = [t for t in system.iter(f"{SVG}text") if t.get("class") == "chord"]
        assert len({t.get("font-size") for t in names}) == 1
        boxes = [box_of(t) for t in names]
        assert not list(overlapping(boxes))
        bars = sorted(
            {_span(p)[2] for g in system.iter(f"{SVG}g") if g.get("class") == "barLine" for p in g}
        )
        ends = [bars[0]] + [b for a, b in pairwise(bars) if b - a > 1000]
        for number, box in enumerate(boxes):
            # Four names a measure; a name starts in its measure, as its chord does.
            measure = number // 4
            assert box.left < ends[measure], box
            assert not measure or box.left > ends[measure - 1] - 60, box
        found += [box.words for box in boxes]
    plain = [name.replace("♯", "#").replace("♭", "b") for name in found]
    assert plain == [name for names in CROWDED_CHORDS for name in names]


@pytest.mark.parametrize(
    ("case", "wanted"),
    [
        ("slate-roof-rain", "hardly sounded"),
        ("ties", "held, not struck again"),
        ("every-sign", "hardly sounded|held, not struck again"),
    ],
)
def test_the_key_tells_ghosts_from_ties(case: str, wanted: str) -> None:
    score = tunes.case(case)
    ghost = any(n.ghost for m in score.measures for e in m.events for n in e.notes)
    tied = any(h.tie_from for n in notate(score) for s in n.symbols for h in s.heads)
    assert ghost == ("hardly" in wanted)
    assert tied == ("held" in wanted)
    found = [
        "".join(t.itertext())
        for page in rollstave.write(score, "svg")
        for t in etree.fromstring(page).iter(f"{SVG}text")
        if t.get("class") == "key-words"
    ]
    assert [w for w in found if "sounded" in w or "held" in w] == wanted.split("|")
