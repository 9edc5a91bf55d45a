"""A row that is damaged is never words to sing: found by changing tabs at random."""

from __future__ import annotations

import pytest

import rollstave
from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.problems import ProblemList
from rollstave.reading.reader import read_grid

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


BLANKS = """Ostler's Dream                                        (open G, 5 string)

  d |    0       0   |    0       0   |    2       2   |    0   0       |
  b |  0       0     |  0       0     |  1       1     |  0     0       |
  g |0               |2               |0               |0               |
  D |        0       |        0       |        2       |                |
  g |      0   |    0 |      0       0 |      0       0 |      0     0   |

  d |    2       2   |o    0       0   |    0           ||-0---------------|-----------------|
  b |  0       0     |o  0       0     |  1             ||-----0-------0---|-------0-----0---|
  g |                |o0       2       |2               |0       2   0   |
  D |2       2       |o                |        4       |                |
  g |      0       0 |o      0       0 |      0       0 |      0         |
"""


def test_rows_of_blanks_under_others_are_not_sung() -> None:
    try:
        (tune,) = rollstave.read(BLANKS)
        sung = [e.lyric for m in tune.score.measures for e in m.events if e.lyric]
        told = {p.place.line for p in tune.problems if p.place}
    except rollstave.TabError as error:
        sung, told = [], {p.place.line for p in error.problems if p.place}
    assert not sung
    assert told & {9, 10, 11, 12, 13}


DOTS = """Time: 4/4

|7---0---5-5-5--|----5---7-------|
|--6---6--7----:|------0-----4---|
|---------------|0-2-------------|
|--------------:|----------------|
|---------------|----------------|

|0---5-----7----|----5---7-------|
|--6-----4-----:|--0---0-----4---|
|----0---2---4--|0-2---5---2---5-|
|--------------:|----------------|
|---------------|----------------|
"""


def test_the_dots_of_a_repeat_in_place_of_a_dash_move_no_note() -> None:
    (tune,) = read_grid(DOTS, FIVE_STRING_BANJO, ProblemList())
    assert [c.position for c in tune.measures[0].columns] == [0, 2, 4, 6, 8, 9, 10, 12]
