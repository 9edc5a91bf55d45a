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
    with pytest.raises(rollstave.TabError) as told:
        rollstave.read(TAB.format(damaged=damaged))
    assert any(p.place and p.place.line in (3, 7) for p in told.value.problems)
