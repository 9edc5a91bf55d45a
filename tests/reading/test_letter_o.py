"""The letter o for an open string, beside bars; and bars that rows begin with.

Common practice, no source: the dots of a repeat stand in two rows at least.
"""

from __future__ import annotations

import pytest

import rollstave

SQUEEZED = """Tuning: gDGCD
Time: 2/2

--|--------|--o-----|--------|
--|--------|----o---|--------|
o2|--o-3-2-|o-----o-|----o-2-|
--|o-------|--------|o-2-----|
--|---o---o|---o---o|---o---o|
"""


def test_an_open_string_beside_a_bar_is_no_dot() -> None:
    (tune,) = rollstave.read(SQUEEZED)
    struck = [[(n.string, n.fret) for e in m.events for n in e.notes] for m in tune.score.measures]
    assert struck[0] == [(3, 0), (3, 2)]
    assert struck[1] == [(4, 0), (3, 0), (5, 0), (3, 3), (3, 2), (5, 0)]
    assert struck[2] == [(3, 0), (1, 0), (5, 0), (2, 0), (3, 0), (5, 0)]


def test_bars_that_rows_begin_with_are_no_front() -> None:
    blanks = """A jig from Larkspur Ferry, banjo, gDGBD, 6/8

|                0 |          0       |
|       0     0    | 0 h2             |
|          0       |       0          |
| 0                |                  |
|                  |                0 |

| 3     2  0       |          0       |
|                2 | 0     0     0    |
|                  |    0           0 |
|                  |                  |
|                  |                  |
"""
    (tune,) = rollstave.read(blanks)
    assert tune.score.setup.instrument.name == "five-string banjo"
    assert len(tune.score.measures) == 4


THUMB = """A waltz in ordinary G  ( g D G B D ), three to the bar, 3/4

|--------0---|0-----------|2---0-------|
|----0-------|------------|--------0---|
|0-----------|------------|------------|
|------------|------------|------------|
             |        0   |            |
"""


def test_a_thumb_row_whose_blanks_begin_before_its_bar() -> None:
    (tune,) = rollstave.read(THUMB)
    assert tune.score.setup.instrument.name == "five-string banjo"
    struck = [[(n.string, n.fret) for e in m.events for n in e.notes] for m in tune.score.measures]
    assert struck == [[(3, 0), (2, 0), (1, 0)], [(1, 0), (5, 0)], [(1, 2), (1, 0), (2, 0)]]


def test_the_letters_of_a_tuning_say_how_many_strings_there_are() -> None:
    text = THUMB.replace("             |        0   |            |\n", "")
    with pytest.raises(rollstave.TabError, match="five-string banjo has 5 strings"):
        rollstave.read(text)


def test_a_row_that_begins_with_the_letter() -> None:
    # Rows without labels, as they stand indented under a sentence.
    rows = ["------o-", "--o-----", "o-------", "--------", "----o---"]
    text = "The Otter\nTuning: gDGBD\n\n" + "".join(f"    {r} | {r}\n" for r in rows)
    (tune,) = rollstave.read(text)
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]
    found = [[n.string for e in m.events for n in e.notes] for m in tune.score.measures]
    assert found == [[3, 2, 5, 1]] * 2
