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


def test_a_damaged_row_is_not_sung() -> None:
    damaged = "             CodaG|----0-------0---|"
    with pytest.raises(rollstave.TabError) as told:
        rollstave.read(TAB.format(damaged=damaged))
    assert any(p.place and p.place.line in (3, 7) for p in told.value.problems)


def test_what_is_read_of_a_damaged_row_is_told() -> None:
    (tune,) = rollstave.read(TAB.format(damaged="   Fine  |--0-----0---|"))
    assert {p.code for p in tune.problems if p.place and p.place.line == 7} >= {"bars-differ"}
