"""Page and staff for editors: MusicXML 4.0, ``defaults`` and ``credit``. Millimetres by arithmetic:
A4 is 210 by 297 (ISO 216), and 40 tenths are a staff of 7 mm. music21 reads them too.
"""

from __future__ import annotations

import pytest
from lxml import etree

import rollstave
from rollstave.instruments.abbreviations import abbreviated
from tests import musicxml_schema

TEXT = """\
Title: Long Oar
Composer: Mara Quay
Tabbed by: Hob

A line of words.
And another.

D|-0---2---0---2---|
B|-----------------|
G|-----------------|
D|-----------------|
g|-----------------|
"""


def root() -> etree._Element:
    (tune,) = rollstave.read(TEXT)
    return etree.fromstring(rollstave.write(tune, "musicxml")[0])


def number(element: etree._Element, path: str) -> float:
    return float(element.findtext(path, "nan"))


def test_the_page_is_that_of_the_sheet() -> None:
    assert musicxml_schema.errors(root()) == []
    defaults = root().find("defaults")
    assert defaults is not None
    tenth = number(defaults, "scaling/millimeters") / number(defaults, "scaling/tenths")
    assert number(defaults, "scaling/millimeters") == 7
    assert number(defaults, "page-layout/page-width") * tenth == pytest.approx(210, abs=0.01)
    assert number(defaults, "page-layout/page-height") * tenth == pytest.approx(297, abs=0.01)


def test_words_stand_on_the_page_and_not_on_each_other() -> None:
    page = root().find("defaults/page-layout")
    assert page is not None
    width, height = number(page, "page-width"), number(page, "page-height")
    places = {
        w.text: (float(w.get("default-x", "nan")), float(w.get("default-y", "nan")))
        for w in root().iterfind("credit/credit-words")
    }
    assert places["Long Oar"][0] == pytest.approx(width / 2, abs=0.1)
    assert all(0 < x < width and 0 < y < height for x, y in places.values())
    heights = [y for _, y in places.values()]
    assert len(set(heights)) == len(heights) == 5
    assert heights == sorted(heights, reverse=True)  # in the order in which they are read


def test_the_first_system_leaves_room_for_the_head() -> None:
    lowest = min(
        float(w.get("default-y", "nan"))
        for w in root().iterfind("credit/credit-words")
        if w.get("valign") == "top"
    )
    height = number(root(), "defaults/page-layout/page-height")
    margin = number(root(), "defaults/page-layout/page-margins/top-margin")
    room = number(root(), "part/measure/print/system-layout/top-system-distance")
    assert height - margin - room < lowest - 20  # the words are 11 points high


@pytest.mark.parametrize(
    ("name", "short"),
    [("five-string banjo", "Bjo."), ("guitar", "Gtr."), ("nose flute", "")],
)
def test_abbreviations(name: str, short: str) -> None:
    assert abbreviated(name) == short


def test_music21_reads_page_and_abbreviation() -> None:
    from music21 import converter, layout

    (tune,) = rollstave.read(TEXT)
    score = converter.parseData(rollstave.write(tune, "musicxml")[0], format="musicxml")
    (found,) = score[layout.ScoreLayout]
    assert found.scalingMillimeters / found.scalingTenths == pytest.approx(7 / 40)
    assert {part.partAbbreviation for part in score.parts} == {"Bjo."}


def test_what_is_read_again_is_the_same() -> None:
    (tune,) = rollstave.read(TEXT)
    data = rollstave.write(tune, "musicxml")[0]
    (again,) = rollstave.read(data)
    assert again.score.title == "Long Oar"
    assert again.score.notes == tune.score.notes
    assert again.score.said == tune.score.said
