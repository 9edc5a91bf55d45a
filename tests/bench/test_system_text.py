"""Room that is put between notes changes where they stand, and no note."""

from __future__ import annotations

import pytest

import rollstave
from rollstave.bench.system_text import SystemText
from rollstave.score.links import links_of

LABELLED = """\
Title: Ferry Bell
Tuning: gDGBD
Time: 4/4

   G           C
D|-12----0-2h3-|-10p9--0-----|
B|----13-------|------12-----|
G|-0-----0-----|-(0)-----11--|
D|-------------|-------------|
g|---0-------0-|------0----0-|
"""
# No labels, and nothing before the first note.
BARE = """\
Title: Ferry Bell
Tuning: gDGBD
Time: 4/4

12----0-2h3---|-10-9--0----|
-13-----------|-----12-----|
10------0-----|-0-------11-|
--------------|------------|
----0-------0-|--0-------0-|
"""


def strokes(text: str) -> list[list[list[tuple[int, int | None]]]]:
    (tune,) = rollstave.read(text)
    return [
        [[(s.string, s.fret) for s in column.strokes] for column in measure.columns]
        for measure in tune.grid.measures
    ]


@pytest.mark.parametrize("text", [LABELLED, BARE], ids=["labelled", "bare"])
@pytest.mark.parametrize("count", [1, 3])
def test_room_before_any_note_leaves_all_notes(text: str, count: int) -> None:
    (tune,) = rollstave.read(text)
    before = strokes(text)
    for measure in tune.grid.measures:
        for column in (*measure.columns, None):
            wider = SystemText(text, tune.grid, measure).widened([(column, count)])
            assert strokes(wider) == before, wider
            rows = wider.splitlines()[measure.first_line - 1 : measure.last_line]
            assert len({len(row) for row in rows}) == 1, wider


def test_room_before_a_note_under_a_hammer_on_keeps_the_order() -> None:
    """The note of the other row is struck between the two frets, and is so when it has room."""
    text = BARE.replace("12----0-2h3---", "2h3---0-2h3---").replace("-13---", "-0----")
    text = text.replace("10------0", "0-------0")
    (tune,) = rollstave.read(text)
    measure = tune.grid.measures[0]
    assert [[s.fret for s in c.strokes] for c in measure.columns[:3]] == [[2, 0], [0], [3]]
    wider = SystemText(text, tune.grid, measure).widened([(measure.columns[1], 2)])
    assert strokes(wider) == strokes(text)
    (again,) = rollstave.read(wider)
    assert len(links_of(again.score.measures)) == len(links_of(tune.score.measures)) == 2


@pytest.mark.parametrize("sign", ["5~~", "5b7"])
def test_room_is_put_into_no_sign(sign: str) -> None:
    """What stands behind a fret stays there, where another row has a note under it."""
    text = BARE.replace("12----0-", f"{sign}---0-").replace("-13---", "-0----")
    text = text.replace("10------0", "0-------0")
    (tune,) = rollstave.read(text)
    measure = tune.grid.measures[0]
    wider = SystemText(text, tune.grid, measure).widened([(measure.columns[1], 2)])
    assert wider.splitlines()[4].startswith(f"{sign}-----0-")
    assert wider.splitlines()[5].startswith("---0---")
    assert strokes(wider) == strokes(text)
