"""Hand-outs on pages: headed exercises, words, shapes and charts, and the same as text and page.

What stands where is read from the SVG with lxml, and from the PDF with pypdf.
"""

from __future__ import annotations

import io
import json
import re
from collections import Counter
from functools import cache

import pypdf
import pytest
from lxml import etree, html
from msgspec.structs import replace

import rollstave
from rollstave import (
    PAPERS,
    Chart,
    ChartBar,
    Exercise,
    Handout,
    NamedShape,
    Part,
    Score,
    Shapes,
    SheetOptions,
    TabError,
    Words,
)
from tests import amount, tunes

SVG = "{http://www.w3.org/2000/svg}"
XLINK = "{http://www.w3.org/1999/xlink}"
MORE_PAPERS = [("a4", "large"), ("a5", "normal"), ("letter", "large")]
NAMES = ("First of five", "Thumb & index", "G to C", "The long one", "Last of 5 < 6")


def score_of(row: str = "0-2-0-2-0-2-0-2-", measures: int = 2, tuning: str = "gDGBD") -> Score:
    rest = "-" * len(row)
    lines = [f"Tuning: {tuning}", "Time: 4/4", ""]
    lines += [f"{name}|" + f"{row if name == 'D' else rest}|" * measures for name in "DBG"]
    lines += [f"{name}|" + f"{rest}|" * measures for name in "Dg"]
    (tune,) = rollstave.read("\n".join(lines) + "\n")
    return tune.score


def handout(*blocks: object, title: str = "Five in a row") -> Handout:
    part = Part(name="To be played", blocks=tuple(blocks))  # type: ignore[arg-type]
    return Handout(title=title, score=score_of(), parts=(part,))


def five() -> Handout:
    counts = (2, 2, 4, 8, 4)
    exercises = [
        Exercise(name=name, score=score_of(measures=count), why=f"Why {name}.")
        for name, count in zip(NAMES, counts, strict=True)
    ]
    return handout(*exercises)


@cache
def written(form: str) -> tuple[bytes, ...]:
    """The five exercises in a format, written once."""
    return tuple(rollstave.write(five(), form))


def pages_of(made: Handout, options: SheetOptions | None = None) -> list[etree._Element]:
    return [etree.fromstring(page) for page in rollstave.write(made, "svg", options)]


def placed(page: etree._Element) -> list[tuple[float, float, str]]:
    """Headings and lines of music with the heights that they are drawn from, from the top: y, x,
    and the words, or ``music``."""
    found = []
    for group in page.iter(f"{SVG}g"):
        if group.get("class") == "exercise-name":
            first = group[0]
            words = " ".join(t.text or "" for t in group)
            found.append((float(first.get("y", "")), float(first.get("x", "")), words))
        if group.get("class") == "music":
            x, y = re.findall(r"-?[\d.]+", group.get("transform", ""))
            inside = [float(t.get("y", "")) for t in group.iter(f"{SVG}text")]
            found.append((float(y) + min(inside), float(x), "music"))
    return sorted(found)


def test_five_short_exercises_are_one_page_with_five_headings() -> None:
    short = [replace(block, score=score_of()) for block in five().exercises]
    (page,) = pages_of(handout(*short))
    found = placed(page)
    names = [words for _, _, words in found if words != "music"]
    assert sorted(names) == sorted(NAMES)
    assert sum(words == "music" for _, _, words in found) == 5
    # A heading stands over its own music: the next thing under it in its column is music.
    for y, x, words in found:
        if words != "music":
            under = [w for other, left, w in found if other > y and abs(left - x) < 1]
            assert under[0] == "music", words


def test_what_a_page_uses_is_on_it() -> None:
    """A ``use`` whose element is not in its document draws nothing (SVG 2, 5.5, from memory)."""
    for page in written("svg"):
        root = etree.fromstring(page)
        there = {f"#{element.get('id')}" for element in root.iter() if element.get("id")}
        uses = [use.get(f"{XLINK}href") or use.get("href") for use in root.iter(f"{SVG}use")]
        assert len(uses) > 10  # clefs, numbers of meters and heads
        assert set(uses) <= there


def test_two_short_exercises_stand_side_by_side_on_one_height() -> None:
    page = etree.fromstring(written("svg")[0])
    music = [(y, x) for y, x, words in placed(page) if words == "music"]
    tops = [y for y, _ in music]
    assert tops[0] == tops[1] < tops[2]
    assert music[0][1] < music[1][1]


@pytest.mark.parametrize(
    ("paper", "size"),
    [("a4", "normal"), ("a5", "large"), ("letter", "normal"), *amount.some([], MORE_PAPERS)],
)
def test_nothing_reaches_over_the_edge_of_a_page(paper: str, size: str) -> None:
    shapes = Shapes(tuple(NamedShape(n, (2, 1, 0, 2, 0)) for n in "ABCDEFG"), ("one\ntwo",) * 7)
    bars = tuple(ChartBar(n, ("C", "G7"), "string 4, fret 2") for n in range(1, 17))
    long = Words("A sentence that is long enough to be broken into lines. " * 8)
    blocks = (*five().parts[0].blocks, shapes, Chart(bars, "Chart"), long, *five().parts[0].blocks)
    options = SheetOptions(paper=PAPERS[paper], size=size)
    for page in pages_of(handout(*blocks), options):
        _, _, width, height = map(float, page.get("viewBox", "").split())
        for text in page.iter(f"{SVG}text"):
            around = [g.get("transform", "") for g in text.iterancestors(f"{SVG}g")]
            if any("scale" in moved for moved in around):
                continue  # a shape is drawn in lengths of its own
            y = float(text.get("y", "0"))
            y += sum(float(re.findall(r"-?[\d.]+", t)[1]) for t in around if "translate" in t)
            assert 0 < y < height
        right = [float(t.get("x", "0")) for t in page.iter(f"{SVG}text") if not t.get("class")]
        assert all(x < width for x in right)


def test_a_heading_is_never_left_behind_on_a_page() -> None:
    blocks = [b for _ in range(9) for b in (Words("About it."), *five().parts[0].blocks)]
    pages = pages_of(handout(*blocks))
    assert len(pages) > 2
    for page in pages:
        assert placed(page)[-1][2] == "music"


def test_the_pdf_says_everything_in_order() -> None:
    reader = pypdf.PdfReader(io.BytesIO(written("pdf")[0]))
    assert reader.metadata is not None
    assert reader.metadata.title == "Five in a row"
    words = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
    assert "To be played" in words
    for name in NAMES:
        assert f"Why {name}." in words
    width, height = (float(n) for n in reader.pages[0].mediabox[2:])
    assert (round(width), round(height)) == (595, 842)  # A4 in points, ISO 216


def test_text_is_read_again_with_its_headings() -> None:
    (again,) = rollstave.read(written("text")[0].decode())
    names = [m.section for m in again.score.measures if m.section]
    assert names == [f"Exercise {n}: {name}" for n, name in enumerate(NAMES, start=1)]
    assert len(again.score.measures) == 20


def test_the_page_plays_each_by_its_name() -> None:
    page = html.fromstring(written("html")[0])
    data = json.loads(page.get_element_by_id("score").text or "")
    assert [one["name"] for one in data["stretches"]] == list(NAMES)
    starts = [(one["first"], one["last"]) for one in data["stretches"]]
    assert starts == [(0, 1), (2, 3), (4, 7), (8, 15), (16, 19)]
    for one in data["stretches"]:
        played = data["order"][one["begins"] : one["ends"] + 1]
        assert set(played) == set(range(one["first"], one["last"] + 1))
    (shown,) = page.find_class("engraving")
    buttons = [b.text for b in shown.iter("button")]
    assert buttons == list(NAMES)
    grounds = [int(r.get("data-measure")) for r in shown.iter() if r.get("data-measure")]
    assert grounds == list(range(20))


def test_a_repeat_stays_inside_its_exercise() -> None:
    one = score_of()
    measures = (
        replace(one.measures[0], left=rollstave.Bar.REPEAT_START),
        replace(one.measures[1], right=rollstave.Bar.REPEAT_END),
    )
    looped = replace(one, measures=measures)
    jump = replace(one, measures=(one.measures[0], replace(one.measures[1], jump="D.C.")))
    made = handout(*(Exercise(name, s) for name, s in zip("abc", (looped, jump, one), strict=True)))
    page = html.fromstring(rollstave.write(made, "html")[0])
    data = json.loads(page.get_element_by_id("score").text or "")
    assert data["order"] == [0, 1, 0, 1, 2, 3, 2, 3, 4, 5]


def test_an_exercise_in_another_time_says_so() -> None:
    waltz = replace(score_of("0-2-0-2-0-2-"), meter=rollstave.Meter(3, 4))
    measures = tuple(replace(m, length=rollstave.Meter(3, 4).length) for m in waltz.measures)
    made = handout(
        Exercise("Four", score_of()),
        Exercise("Three", replace(waltz, measures=measures)),
        Exercise("Four again", score_of()),
    )
    text = rollstave.write(made, "text")[0].decode()
    (again,) = rollstave.read(text)
    assert [str(meter) for meter in again.score.meters] == ["4/4"] * 2 + ["3/4"] * 2 + ["4/4"] * 2


def test_words_say_whose_they_are() -> None:
    blocks = (Words("Mine.", teacher=True), Words("Worked out.", inferred=True), Words("Plain."))
    made = handout(*blocks, Exercise("One", score_of()))
    (page,) = pages_of(made)
    style = {
        text.text: (text.get("font-style"), text.get("x"))
        for text in page.iter(f"{SVG}text")
        if text.text in ("Mine.", "Worked out.", "Plain.")
    }
    assert style["Worked out."][0] == "italic"
    assert style["Plain."][0] is None
    assert float(style["Mine."][1] or 0) > float(style["Plain."][1] or 0)
    marked = html.fromstring(rollstave.write(made, "html")[0])
    assert [p.text for p in marked.find_class("engraving")[0].find_class("teacher")] == ["Mine."]


@pytest.mark.parametrize("form", ["svg", "pdf", "html", "text", "midi", "musicxml"])
def test_a_hand_out_without_music_is_refused(form: str) -> None:
    with pytest.raises(TabError, match="this hand-out has no music"):
        rollstave.write(handout(Words("Only words.")), form)


def test_exercises_of_two_tunings_are_refused() -> None:
    other = Exercise("Other", score_of(tuning="gCGBD"))
    with pytest.raises(TabError, match="'Other' is in another tuning or key"):
        rollstave.write(handout(Exercise("One", score_of()), other), "pdf")


def test_an_option_that_a_format_has_not_is_refused() -> None:
    with pytest.raises(TabError, match="the format pdf has no option 'width'"):
        rollstave.write(five(), "pdf", width=3)
    assert rollstave.write(five(), "text", width=60)


def test_the_same_hand_out_has_the_same_bytes() -> None:
    for form in ("svg", "pdf", "html", "text"):
        assert tuple(rollstave.write(five(), form)) == written(form)


@pytest.mark.parametrize("rows", range(4))
def test_a_strain_is_not_parted_from_its_endings(rows: int) -> None:
    """Ferry Landing's second ending is the tenth measure, which begins a line, but no page."""
    (tune,) = rollstave.read(tunes.SAMPLES[1])
    assert tune.score.measures[9].ending == "2"
    whole = Exercise(name="The whole", score=tune.score, per_line=0)
    spacer = Shapes(shapes=(NamedShape("C", (2, 1, 0, 2, 0)),))
    part = Part(name="Tune", blocks=(*(spacer,) * rows, whole))
    pages = pages_of(Handout(title="T", score=tune.score, parts=(part,)))
    begins = []
    for page in pages:
        found = [re.search(r"-m(\d+)$", e.get("id", "")) for e in page.iter("{*}g")]
        begins.append(next(int(match[1]) for match in found if match))
    assert len(begins) > 1
    assert 9 not in begins


@pytest.mark.parametrize("form", ["text", "svg", "html"])
def test_shapes_after_the_last_caption_have_none(form: str) -> None:
    shapes = tuple(NamedShape(n, (2, 1, 0, 2, 0)) for n in "CFG")
    exercise = Exercise(name="One", score=score_of())
    pages = rollstave.write(handout(Shapes(shapes, ("barre it",)), exercise), form)
    said = b"".join(pages).decode()
    assert said.count("barre it") == 1
    assert rollstave.write(handout(Shapes(shapes), exercise), form)


def test_shapes_stand_in_even_rows() -> None:
    """Twelve of them, of which eleven would fit a line: no row has one alone."""
    shapes = tuple(NamedShape("C", (2, 1, 0, 2, fret)) for fret in range(6, 18))
    made = handout(Shapes(shapes=shapes), Exercise(name="One", score=score_of()))
    (page,) = pages_of(made)
    diagrams = [
        g.get("transform", "") for g in page.iter("{*}g") if "scale(1.25)" in g.get("transform", "")
    ]
    rows = Counter(re.search(r",? ?([\d.]+)\)", t)[1] for t in diagrams)  # type: ignore[index]
    assert len(diagrams) == 12
    assert sorted(rows.values()) == [6, 6]


def test_the_page_marks_repeats_and_endings_of_a_chart() -> None:
    bars = (
        ChartBar(1, ("C",), left=True),
        ChartBar(2, ("F", "G7"), "as before", ending="1", right=True),
        ChartBar(3, ("C",), ending="2"),
        ChartBar(4, ("C",), left=True, right=True),
    )
    parts = (*five().parts, Part("Chords", (Chart(bars, "The B part"),)))
    (data,) = rollstave.write(replace(five(), parts=parts), "html")
    page = html.document_fromstring(data.decode())
    cells = page.xpath("//table[@class='chart'][caption='The B part']//td")
    assert [c.get("class") for c in cells] == [
        *("repeat-begins", "repeat-ends", "", "repeat-begins repeat-ends"),
    ]
    assert [c.text_content() for c in cells] == ["C", "1.F G7as before", "2.C", "C"]
    # What a class says is drawn by the style of the page.
    style = "".join(s.text or "" for s in page.iter("style"))
    for cell in cells:
        for name in cell.get("class").split():
            assert f".{name}" in style
