"""A slide sign that a long row of dashes follows slides away (common practice, no source)."""

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
