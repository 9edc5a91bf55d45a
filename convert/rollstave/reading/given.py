"""Headings that are given for many tabs at once: they hold where a tab does not say otherwise."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from rollstave.grid.typed import GridTune, Heading
from rollstave.problems import Place, ProblemList
from rollstave.reading.page.decode import split_lines
from rollstave.reading.words.headings import REMARK, read_headings
from rollstave.vocabulary import problems as kinds

_OF_ONE_TUNE = ("title",)  # what cannot hold for many


def given_headings(text: str, problems: ProblemList) -> tuple[Heading, ...]:
    """The headings of a text that holds nothing else, the first of each kind. A line that is none,
    or that can hold for one tune only, is a problem."""
    found: dict[str, Heading] = {}
    for line in split_lines(text):
        if line.blank:
            continue
        headings = read_headings(line, head=True) or []
        for heading in headings:
            if heading.key not in (REMARK, *_OF_ONE_TUNE):
                found.setdefault(heading.key, replace(heading, place=Place(1, 1)))
        if not headings or any(h.key in (REMARK, *_OF_ONE_TUNE) for h in headings):
            problems.add(
                kinds.GIVEN,
                f"{line.text.strip()!r} among the headings that are given for all tabs is none "
                "that can hold for many; write for instance Time: 2/4",
            )
    return tuple(found.values())


def with_given(grid: GridTune, given: Sequence[Heading]) -> tuple[GridTune, tuple[Heading, ...]]:
    """A tune with the headings that are given and that it does not have; and which those are."""
    own = {heading.key for heading in grid.headings}
    added = tuple(heading for heading in given if heading.key not in own)
    if not added:
        return grid, ()
    return replace(grid, headings=(*grid.headings, *added)), added
