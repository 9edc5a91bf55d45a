"""Figures that are kept in a folder, and the typed text beside a figure."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from lxml import etree, html

from rollstave.figures.html import FigurePage, typed_html
from rollstave.figures.make import FigureMaker
from rollstave.figures.options import FigureOptions
from tests.tunes import SAMPLES

FERRY = next(p for p in SAMPLES if p.stem == "ferry-landing")


def test_a_folder_that_is_not_there_yet_is_made(tmp_path: Path) -> None:
    folder = tmp_path / "deep" / "inside"
    first = FigureMaker(folder)
    made = first.make(FERRY, FigureOptions().read("measures=1-2"))
    assert first.engraved == 1
    assert any(p.is_file() for p in folder.rglob("*"))
    # The next program finds it there; another wish is another figure.
    again = FigureMaker(folder)
    assert again.make(FERRY, FigureOptions().read("measures=1-2")).svg == made.svg
    assert again.engraved == 0
    again.make(FERRY, FigureOptions().read("measures=1-3"))
    assert again.engraved == 1


@pytest.mark.parametrize(
    ("typed", "path", "name"),
    [
        ("shown", "pre", "rollstave-typed"),
        ("hidden", "pre", "rollstave-hidden"),
        ("folded", "details/pre", "rollstave-typed"),
    ],
)
def test_the_typed_text_beside_a_figure(typed: str, path: str, name: str) -> None:
    figure = FigureMaker().make(FERRY, FigureOptions().read(f"measures=1-2 typed={typed}"))
    found = html.fragment_fromstring(typed_html(figure), create_parent="div")
    (block,) = found.findall(path)
    assert block.get("class") == name
    assert "Title: Ferry Landing" in block.text_content()


def test_no_typed_text_where_none_is_wanted() -> None:
    figure = FigureMaker().make(FERRY, FigureOptions().read("measures=1-2 typed=none"))
    assert typed_html(figure) == ""


def _drawn_faces(svg: str) -> set[tuple[str, str]]:
    """Weight and style of each text of a drawing, with what it takes from what it stands in."""
    found = set()
    for text in etree.fromstring(svg.encode()).iter("{*}text", "{*}tspan"):
        weights, styles = (
            text.xpath(f"ancestor-or-self::*/@font-{look}") for look in ("weight", "style")
        )
        found.add((weights[-1] if weights else "400", styles[-1] if styles else "normal"))
    return found


def test_the_page_has_the_faces_that_its_figures_use() -> None:
    """Roman always; italics, semibold and bold only where a figure has them."""
    maker = FigureMaker()
    rest = maker.make(
        "Title: Rest\nTuning: open G\nTime: 4/4\n\nD|-0---0---0---0---|\nB|-----------------|\n"
        "G|-----------------|\nD|-----------------|\ng|-----------------|\n",
        FigureOptions().read("view=tab"),
    )
    # The digits of frets are semibold; bold is what names a section or an ending.
    roman, italic = ("400", "normal"), ("400", "italic")
    semibold, bold = ("600", "normal"), ("700", "normal")
    wanted = [
        (rest, {roman, italic, semibold}),
        (maker.make(FERRY, FigureOptions()), {roman, italic, semibold, bold}),
    ]
    for figure, faces in wanted:
        page = FigurePage()
        page.figure(figure)
        rules = re.findall(r"@font-face\{[^}]*?font-weight:(\d+);font-style:(\w+);", page.style())
        assert len(rules) == len(faces)
        assert set(rules) == faces
        assert _drawn_faces(figure.svg) | {roman} == faces


def test_so_many_figures_are_kept_in_memory(monkeypatch: pytest.MonkeyPatch) -> None:
    """The one that was asked for longest ago makes room for a new one, and only for a new one."""
    monkeypatch.setattr("rollstave.figures.make._KEPT_IN_MEMORY", 2)
    maker = FigureMaker()
    wishes = [FigureOptions().read(f"measures={n}-{n}") for n in (1, 2, 3)]
    for wish in wishes:
        maker.make(FERRY, wish)
    assert maker.engraved == 3
    for wish in (wishes[2], wishes[1]):
        maker.make(FERRY, wish)
    assert maker.engraved == 3, "the last two are there"
    maker.make(FERRY, wishes[0])
    assert maker.engraved == 4, "the first is not"
