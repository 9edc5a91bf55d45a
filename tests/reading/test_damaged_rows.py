"""A row that is damaged is never words to sing: found by changing tabs at random."""

from __future__ import annotations

import pytest

import rollstave

TAB = """Time: 4/4

D|------2---------|------0---------|
B|--0-------0-----|--1-------1---0-|
G|--------0-----2-|--2-----2-------|
D|----------------|----------------|
{damaged}
"""


@pytest.mark.parametrize(
    "damaged", ["             CodaG|----0-------0---|", "   Fine  |--0-----0---|"]
)
def test_a_damaged_row_is_said_and_not_sung(damaged: str) -> None:
    text = TAB.format(damaged=damaged)
    try:
        (tune,) = rollstave.read(text)
    except rollstave.TabError as error:
        assert any(p.place and p.place.line in (3, 7) for p in error.problems)
        return
    assert not [e.lyric for m in tune.score.measures for e in m.events if e.lyric]
    assert [p for p in tune.problems if p.place and p.place.line == 7]
