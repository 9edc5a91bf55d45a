"""Where the same was found several times: the lines, listed as in English prose."""

from __future__ import annotations

import pytest

from rollstave.problems import Place
from rollstave.reporting.once import lines_of


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ([], ""),
        ([4], "line 4"),
        ([4, 4], "line 4"),
        ([4, 9], "lines 4 and 9"),
        ([4, 9, 12], "lines 4, 9 and 12"),
    ],
)
def test_lines_are_listed(lines: list[int], said: str) -> None:
    assert lines_of([*(Place(line, 1) for line in lines), None]) == said


def test_of_very_many_the_rest_is_a_number() -> None:
    said = lines_of(Place(line, 1) for line in range(1, 101))
    listed, _, more = said.removeprefix("lines ").removesuffix(" more").partition(" and ")
    assert listed.startswith("1, 2, 3, ")
    assert len(listed.split(", ")) + int(more) == 100
