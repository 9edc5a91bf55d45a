"""A slide sign that a long row of dashes follows slides away, and one that follows a long row of
dashes slides in; a sign beside each of two notes joins them (common practice, no source)."""

from __future__ import annotations

import pytest

import rollstave
from rollstave.grid.typed import Link, SlideEdge

TAB = "Title: Weir Lane\nTuning: gDGBD\nTime: 4/4\n\nD|{row}|\n" + "".join(
    f"{name}|{'-' * 17}|\n" for name in "BGDg"
)


def first_two(row: str) -> tuple[rollstave.Note, rollstave.Note, tuple[str, ...]]:
    (tune,) = rollstave.read(TAB.format(row=row))
    notes = [n for m in tune.score.measures for e in m.events for n in e.notes]
    return notes[0], notes[1], tuple(p.code for p in tune.problems)


@pytest.mark.parametrize("row", ["-2/4-------------", "-2/--4-----------", "-2/-----4--------"])
def test_near(row: str) -> None:
    first, second, codes = first_two(row)
    assert second.link is Link.SLIDE
    assert first.slide_to is None
    assert "far-slide" not in codes


def test_far() -> None:
    first, second, codes = first_two("-2/-----------4--")
    assert second.link is None
    assert first.slide_to is SlideEdge.UP
    assert "far-slide" in codes


@pytest.mark.parametrize("row", ["-2-/4------------", "-2---/4----------", "-2--------/-4----"])
def test_sign_near_the_second_note(row: str) -> None:
    _, second, codes = first_two(row)
    assert second.link is Link.SLIDE
    assert second.slide_from is None
    assert "far-slide" not in codes


@pytest.mark.parametrize(
    ("sign", "way"), [("/", SlideEdge.UP), ("\\", SlideEdge.DOWN), ("s", SlideEdge.UP)]
)
def test_sign_far_behind_a_note_slides_in(sign: str, way: SlideEdge) -> None:
    first, second, codes = first_two(f"-2---------{sign}7----")
    assert second.link is None
    assert second.slide_from is way
    assert first.slide_to is None
    assert "far-slide" in codes


@pytest.mark.parametrize("row", ["-0/2-------------", "-0--/7-----------", "-0s2------------"])
def test_what_is_typed_beside_an_open_string_is_kept(row: str) -> None:
    """No finger is on an open string that could slide, which ``check`` says."""
    _, second, codes = first_two(row)
    assert second.link is Link.SLIDE
    assert "far-slide" not in codes


@pytest.mark.parametrize("row", ["-2/---------/4---", "-0//2------------"])
def test_sign_beside_both_notes(row: str) -> None:
    _, second, codes = first_two(row)
    assert second.link is Link.SLIDE
    assert "far-slide" not in codes


def test_sign_after_a_bar() -> None:
    near, far = "--------------2--|/4---------------", "-2---------------|/4---------------"
    for row, link in ((near, Link.SLIDE), (far, None)):
        text = TAB.format(row=row).replace("-" * 17 + "|\n", "-" * 17 + "|" + "-" * 17 + "|\n")
        (tune,) = rollstave.read(text)
        second = tune.score.measures[1].events[0].notes[0]
        assert second.link is link
        assert (second.slide_from is None) is (link is Link.SLIDE)


@pytest.mark.parametrize("row", ["-2/---------/4---", "-0//2------------", "-2/4-------------"])
def test_written_as_it_is_read(row: str) -> None:
    (tune,) = rollstave.read(TAB.format(row=row))
    (again,) = rollstave.read(rollstave.write(tune, "text")[0].decode())
    links = [
        [n.link for m in t.score.measures for e in m.events for n in e.notes] for t in (tune, again)
    ]
    assert links[0] == links[1] == [None, Link.SLIDE]


def test_written_over_a_bar() -> None:
    row = "-2--------------/|----/4-----------"
    text = TAB.format(row=row).replace("-" * 17 + "|\n", "-" * 17 + "|" + "-" * 17 + "|\n")
    (tune,) = rollstave.read(text)
    (again,) = rollstave.read(rollstave.write(tune, "text")[0].decode())
    for read in (tune, again):
        (note,) = read.score.measures[1].events[-1].notes
        assert note.link is Link.SLIDE
