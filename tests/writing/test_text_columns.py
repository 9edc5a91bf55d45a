"""Text tab by columns: what is struck together begins in one column, whatever is typed with it.

Common practice, no source: the first digits of a chord stand one under the other.
"""

from __future__ import annotations

import re
from typing import Any

import pytest
from msgspec.structs import replace

import rollstave
from rollstave.grid.typed import Link
from rollstave.pitch import spell
from rollstave.problems import Place
from rollstave.score.records import GraceNote, Score
from tests import tunes
from tests.writing import everything


def _rows(score: Score) -> list[str]:
    text = rollstave.write(score, "text")[0].decode()
    return [line for line in text.splitlines() if re.match(r"[A-Ga-g]#?\|", line)]


def _columns(row: str) -> list[int]:
    return [m.start() for m in re.finditer(r"(?<![\d{])\d+(?!\})", row)]


def test_frets_of_a_chord_begin_in_one_column() -> None:
    rows = _rows(tunes.score([[(2, [(1, 12), (2, 1), (3, 10)]), (2, [(2, 3)])]]))
    first = {_columns(rows[string - 1])[0] for string in (1, 2, 3)}
    assert len(first) == 1


def test_headings_are_written_as_the_readme_shows_them() -> None:
    text = rollstave.write(everything.score(), "text")[0].decode()
    assert text.split("\n\n")[0].splitlines() == [
        "Title: All the Ferry's Bells",
        "Composer: Larkspur Ferry school",
        "Source: the bell book, page 3",
        "Tuning: gDGBD",
        "Key: G major",
        "Time: 4/4",
        "Tempo: 96",
    ]


def _with_graces(groups: list[list[tuple[int, int, Link | None]]]) -> Score:
    score = tunes.score([[(2, [(1, 0), (2, 0)]), (2, [(3, 0)])]])
    (measure,) = score.measures
    event = measure.events[0]
    grace = tuple(
        tuple(
            GraceNote(
                string=string,
                fret=fret,
                pitch=spell(score.setup.midi(string, fret), score.key.fifths),
                place=Place(1, 1),
                leads=leads,
            )
            for string, fret, leads in group
        )
        for group in groups
    )
    events = (replace(event, grace=grace), *measure.events[1:])
    return replace(score, measures=(replace(measure, events=events),))


def test_grace_notes_of_one_group_begin_in_one_column() -> None:
    # The longer text of string 1 moves nothing: both begin together, and so do their notes.
    score = _with_graces([[(1, 12, Link.PULL_OFF), (2, 1, None)]])
    upper, lower = _rows(score)[:2]
    assert upper.index("{12}p") == lower.index("{1}")
    assert upper.index("{12}p0") + len("{12}p") == _columns(lower)[0]
    (again,) = rollstave.read(rollstave.write(score, "text")[0])
    (event, *_) = again.score.measures[0].events
    assert [[(n.string, n.fret, n.leads) for n in group] for group in event.grace] == [
        [(1, 12, Link.PULL_OFF), (2, 1, None)]
    ]


def test_grace_notes_in_a_row_keep_their_order() -> None:
    score = _with_graces([[(2, 3, None)], [(1, 4, Link.PULL_OFF)]])
    upper, lower = _rows(score)[:2]
    assert lower.index("{3}") < upper.index("{4}p0")
    (again,) = rollstave.read(rollstave.write(score, "text")[0])
    (event, *_) = again.score.measures[0].events
    assert [[(n.string, n.fret) for n in group] for group in event.grace] == [[(2, 3)], [(1, 4)]]


@pytest.mark.parametrize("field", [{"vibrato": True}, {"bend": 2}, {"let_ring": True}])
def test_a_brush_is_written_beside_what_else_a_note_has(field: dict[str, Any]) -> None:
    """Both come back from the text: neither takes the other's place."""
    score = tunes.score([[(2, [(1, 2), (2, 1)]), (2, [(3, 0)])]])
    (measure,) = score.measures
    event = measure.events[0]
    notes = tuple(replace(note, **field) for note in event.notes)
    events = (replace(event, notes=notes, brush=True), *measure.events[1:])
    made = replace(score, measures=(replace(measure, events=events),))
    (again,) = rollstave.read(rollstave.write(made, "text")[0])
    (event, *_) = again.score.measures[0].events
    assert event.brush
    for note in event.notes:
        assert {name: getattr(note, name) for name in field} == field
