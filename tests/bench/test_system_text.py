"""Room that is put between notes changes where they stand, and no note."""

from __future__ import annotations

import pytest

import rollstave
from rollstave.bench.system_text import SystemText

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
