"""Grace notes as they are typed. The braces are the project's own sign: no source."""

from __future__ import annotations

import pytest

import rollstave
from rollstave.grid.typed import Link

ROWS = """Title: Reed Pier
Tuning: open G
Time: 4/4
{head}
D|-0-------0-------0-----|
B|-----0-------0---------|
G|{g}|
D|-----------------------|
g|-----------------------|
   1   2   3   4   &
"""


def read(row: str, head: str = "") -> rollstave.Tune:
    (tune,) = rollstave.read(ROWS.format(g=row, head=head))
    return tune


def typed(tune: rollstave.Tune) -> list[list[tuple[int, int, Link | None]]]:
    events = (e for m in tune.score.measures for e in m.events)
    return [[(n.string, n.fret, n.leads) for g in e.grace for n in g] for e in events]


@pytest.mark.parametrize(
    ("row", "at", "expected"),
    [
        ("------{2}3-------------", 4, [(3, 2, None)]),
        ("-----{2}h3-------------", 4, [(3, 2, Link.HAMMER_ON)]),
        ("-----{2}/3-------------", 4, [(3, 2, Link.SLIDE)]),
        ("-----{2}-h-3-----------", 5, [(3, 2, Link.HAMMER_ON)]),
        ("----{3}p{2}h3----------", 5, [(3, 3, Link.PULL_OFF), (3, 2, Link.HAMMER_ON)]),
        ("-----{12}9-------------", 4, [(3, 12, None)]),
    ],
)
def test_before_a_note_of_their_string(
    row: str, at: int, expected: list[tuple[int, int, Link | None]]
) -> None:
    found = [small for small in typed(read(row)) if small]
    assert found == [expected], at


def test_before_a_note_of_another_string() -> None:
    # The note on string 1 in column 9 is the next that is struck.
    assert typed(read("-----{2}---------------"))[2] == [(3, 2, None)]


def test_the_place_is_that_of_the_fret() -> None:
    (small,) = (
        n
        for m in read("------{2}3-------------").score.measures
        for e in m.events
        for g in e.grace
        for n in g
    )
    assert (small.place.line, small.place.column) == (7, 10)


def test_one_with_no_note_after_it_is_reported() -> None:
    tune = read("-------------------{2}-")
    problem = next(p for p in tune.problems if p.code == "grace")
    assert problem.place is not None
    assert (problem.place.line, problem.place.column) == (7, 23)
    assert not any(typed(tune))


def test_a_fret_that_the_neck_lacks_is_an_error() -> None:
    with pytest.raises(rollstave.TabError) as caught:
        read("-----{99}0-------------")
    assert any(p.code == "fret" for p in caught.value.problems)


def test_a_legend_may_give_round_brackets_that_meaning() -> None:
    tune = read("------(2)3-------------", head="(2) = grace note")
    assert [small for small in typed(tune) if small] == [[(3, 2, None)]]
    assert not any(n.ghost for m in tune.score.measures for e in m.events for n in e.notes)
    assert "legend" in {p.code for p in tune.problems}
    plain = read("------(2)3-------------")
    assert not any(typed(plain))
