"""Figures: what they show, how their options are read, and that nothing is engraved twice."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pypdf
import pytest
from lxml import etree, html

import rollstave
from rollstave.figures import (
    FIGURE_WORDS,
    FigureMaker,
    FigureOptions,
    FigurePage,
    problems_html,
    read_words,
)
from rollstave.writing.fonts import font_folder
from tests.plugins.tabs import ROLL, WRONG

SVG = "{http://www.w3.org/2000/svg}"
NETTLE = Path(__file__).parents[2] / "samples" / "nettle-hill.txt"


def _measures(svg: str) -> int:
    root = etree.fromstring(svg.encode())
    return sum(1 for g in root.iter(f"{SVG}g") if g.get("class") == "measure")


def test_words_are_read() -> None:
    words = read_words("view=tab large caption=\"Part A, 'slowly'\" measures=1-4")
    assert words == {
        "view": "tab",
        "large": "yes",
        "caption": "Part A, 'slowly'",
        "measures": "1-4",
    }


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        ("width=120", {"width": 120.0}),
        ("width=12cm", {"width": 120.0}),
        # An inch is 25.4 mm (international yard and pound agreement, 1959).
        ("width=4in", {"width": 101.6}),
        ("measures=5", {"measures": (5, 5)}),
        ("measures=5-", {"measures": (5, None)}),
        ("view=staff rolls", {"view": rollstave.View.STAFF, "rolls": True}),
        ("tuning=no", {"tuning": False}),
    ],
)
def test_values(line: str, expected: dict[str, object]) -> None:
    options = FigureOptions().read(line)
    assert {name: getattr(options, name) for name in expected} == expected


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("colour=red", f"there is no option 'colour'; there are: {', '.join(FIGURE_WORDS)}"),
        ("view=upside", "both, tab, staff"),
        ("measures=4-1", "comes before the first"),
        ("width=3", "40 to 1000 millimetres"),
        ("width=1e999", "millimetres"),
        ("large=perhaps", "yes or no"),
        ("ids=1st", "a letter"),
        ('caption="open', "option=value"),
        ("tune=0", "from 1"),
    ],
)
def test_wrong_words_are_said(line: str, said: str) -> None:
    with pytest.raises(rollstave.TabError, match=re.escape(said)):
        FigureOptions().read(line)


def test_every_word_is_a_field() -> None:
    assert set(FIGURE_WORDS) == set(FigureOptions.__struct_fields__)


@pytest.mark.parametrize("view", ["both", "tab", "staff"])
@pytest.mark.parametrize(("words", "count"), [("", 18), ("measures=1-4", 4), ("measures=18", 1)])
def test_measures_are_all_drawn(view: str, words: str, count: int) -> None:
    """As many measures as the tab has bars (counted by hand in the sample: 18)."""
    figure = FigureMaker().make(NETTLE, FigureOptions().read(f"view={view} {words}"))
    assert _measures(figure.svg) == count


# Squeezed, so that the rhythm is not sure, and with a chord whose shape is known.
SQUEEZED = """Title: Squeezed
Tuning: gDGBD
Time: 4/4

  G
D|-0-2-0-|-2---0-|-0-0-2-|
B|-1---1-|---1-3-|---1---|
G|---2---|-2-----|-2---0-|
D|-------|-------|-------|
g|-0---0-|-0-0---|-0-----|
"""


@pytest.mark.parametrize(
    ("source", "word", "drawn", "count"),
    [
        (SQUEEZED, "unsure", "unsure-sign", 3),  # one for each measure
        (SQUEEZED, "shapes", "chord-shape", 1),
        (ROLL, "rolls", "roll", 2),
    ],
)
def test_what_a_word_asks_for_is_drawn_and_else_not(
    source: str, word: str, drawn: str, count: int
) -> None:
    def found(words: str) -> int:
        figure = FigureMaker().make(source, FigureOptions().read(words))
        return len(etree.fromstring(figure.svg.encode()).xpath(f"//*[@class='{drawn}']"))

    assert [found(word), found(f"{word}=no"), found("")] == [count, 0, 0]


@pytest.mark.parametrize("width", [60, 90, 130, 186])
def test_a_figure_keeps_to_its_width(width: int) -> None:
    figure = FigureMaker().make(NETTLE, FigureOptions().read(f"width={width}"))
    assert 0 < figure.width <= width + 0.1
    assert _measures(figure.svg) == 18


def test_measures_that_do_not_exist() -> None:
    with pytest.raises(rollstave.TabError, match="measures 1 to 18"):
        FigureMaker().make(NETTLE, FigureOptions().read("measures=17-30"))


def test_several_tunes_are_asked_about() -> None:
    two = ROLL + "\n\n" + ROLL.replace("Ferry Roll", "Second Roll")
    with pytest.raises(rollstave.TabError, match="2 tunes"):
        FigureMaker().make(two)
    assert FigureMaker().make(two, FigureOptions().read("tune=2")).title == "Second Roll"


def test_an_excerpt_is_the_same_music() -> None:
    """The digits of measures 9 to 12 of the whole, and those of the excerpt."""
    (tune,) = rollstave.read(NETTLE)
    numbers = range(9, 13)
    typed = [
        str(note.fret)
        for measure in tune.score.measures
        if measure.number in numbers
        for event in measure.events
        for note in event.notes
    ]
    figure = FigureMaker().make(NETTLE, FigureOptions().read("view=tab measures=9-12"))
    root = etree.fromstring(figure.svg.encode())
    drawn = [
        "".join(g.itertext()) for g in root.iter(f"{SVG}g") if g.get("class", "").startswith("note")
    ]
    assert sorted(drawn) == sorted(typed)


def test_tuning_is_told_where_it_is_not_standard() -> None:
    maker = FigureMaker()
    assert any("sawmill" in note for note in maker.make(NETTLE).notes)
    assert not any("Tuning" in note for note in maker.make(ROLL).notes)
    shown = maker.make(ROLL, FigureOptions().read("tuning"))
    assert any("gDGBD" in note for note in shown.notes)


def test_shapes_come_with_the_caution() -> None:
    notes = FigureMaker().make(NETTLE, FigureOptions().read("shapes")).notes
    assert "stretch" in " ".join(notes)


def test_nothing_is_engraved_twice(tmp_path: Path) -> None:
    first = FigureMaker(tmp_path)
    one = first.make(ROLL)
    first.make(ROLL, FigureOptions().read('caption="Another" ids=other typed=none'))
    assert first.engraved == 1
    second = FigureMaker(tmp_path)
    assert second.make(ROLL) == one
    assert second.engraved == 0
    second.make(ROLL, FigureOptions().read("view=tab"))
    second.make(ROLL.replace("Ferry", "Fairy"))
    assert second.engraved == 2


def test_damaged_files_in_the_folder_are_made_again(tmp_path: Path) -> None:
    one = FigureMaker(tmp_path).make(ROLL)
    (kept,) = tmp_path.glob("*.json")
    for damage in (b"", b"[]", b"{}", b'{"key": "other"}', b"\xff"):
        kept.write_bytes(damage)
        maker = FigureMaker(tmp_path)
        assert maker.make(ROLL) == one
        assert maker.engraved == 1


def test_a_tune_and_its_file_show_the_same() -> None:
    (tune,) = rollstave.read(ROLL)
    of_tune, of_text = FigureMaker().make(tune), FigureMaker().make(ROLL)
    assert of_tune.svg_with_ids("x-") == of_text.svg_with_ids("x-")


def test_pdf_has_the_size_of_the_figure() -> None:
    """A point is 1/72 inch (PDF 2.0, ISO 32000-2, 8.3.2.3)."""
    maker = FigureMaker()
    figure = maker.make(ROLL)
    reader = pypdf.PdfReader(io.BytesIO(maker.pdf(figure)))
    assert len(reader.pages) == 1
    box = reader.pages[0].mediabox
    assert float(box.width) / 72 * 25.4 == pytest.approx(figure.width, abs=0.1)
    assert float(box.height) / 72 * 25.4 == pytest.approx(figure.height, abs=0.1)
    fonts = reader.pages[0]["/Resources"]["/Font"]
    assert all("Rollstave" in font.get_object()["/BaseFont"] for font in fonts.values())


def test_ids_are_given_once_and_every_use_finds_its_glyph() -> None:
    maker, page = FigureMaker(), FigurePage()
    parts = [page.figure(maker.make(ROLL)) for _ in range(3)]
    root = html.fromstring(f"<div>{''.join(parts)}</div>")
    ids = root.xpath("//@id")
    assert len(ids) == len(set(ids))
    uses = [u.lstrip("#") for u in root.xpath("//use/@*[contains(name(), 'href')]")]
    assert uses
    assert set(uses) <= set(ids)


def test_a_caption_may_stand_in_place_of_the_figures_own() -> None:
    figure = FigureMaker().make(ROLL, FigureOptions(caption="its own"))
    for given, said in ((None, "its own"), ("<em>another</em>", "another")):
        root = html.fromstring(f"<div>{FigurePage().figure(figure, given)}</div>")
        assert root.xpath("string(//figcaption)").startswith(said)


def test_fonts_are_on_a_page_once() -> None:
    maker, page = FigureMaker(), FigurePage()
    body = page.figure(maker.make(ROLL)) + page.figure(maker.make(NETTLE))
    assert "@font-face" not in body
    style = page.style()
    # Each weight and slope of the face once, as many as the files of the package.
    assert style.count("@font-face") == len(list(font_folder().glob("*.woff2")))
    assert FigurePage().style() == ""


def test_typed_text_is_escaped() -> None:
    evil = '"><script>alert(1)</script>&'
    text = ROLL.replace("Ferry Roll", evil) + f"\n{evil}\n"
    options = FigureOptions(caption=evil)
    made = FigurePage().figure(FigureMaker().make(text, options))
    made += problems_html((), evil)
    root = html.fromstring(f"<div>{made}</div>")
    assert not root.xpath("//script")
    assert evil in root.xpath("string(//figcaption)")
    assert evil in root.xpath("string(//details/pre)")
    # The reader takes tags out of what stands on a heading; what is left is escaped as well.
    assert root.xpath("//svg/@aria-label")[0].startswith('">alert(1)&: staff')


@pytest.mark.parametrize("typed", ["folded", "hidden", "shown"])
def test_typed_text_is_kept(typed: str) -> None:
    made = FigurePage().figure(FigureMaker().make(ROLL, FigureOptions(typed=typed)))
    root = html.fromstring(made)
    assert root.xpath("string(//pre)") == ROLL.strip("\n")


def test_a_wrong_tab_says_its_place() -> None:
    with pytest.raises(rollstave.TabError) as caught:
        FigureMaker().make(WRONG)
    places = [(p.place.line, p.place.column) for p in caught.value.problems if p.place]
    assert (8, 9) in places
