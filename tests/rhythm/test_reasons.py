"""What is told of a measure's rhythm: each reason where it is so, and only there.

The tests choose how wide the columns are, what is typed twice and what is short; what must be told
follows from that.
"""

from __future__ import annotations

import pytest

import rollstave

Strokes = list[tuple[int, int, int]]  # eighth, string, fret
TUNE: Strokes = [(0, 3, 0), (2, 2, 1), (3, 1, 0), (6, 2, 0)]
OTHER: Strokes = [(0, 1, 2), (1, 1, 0), (4, 2, 1), (6, 3, 2), (7, 3, 0)]
# T I M T I M T M, and eight notes that are no roll with a name.
FORWARD: Strokes = [(i, string, 0) for i, string in enumerate((3, 2, 1, 5, 2, 1, 5, 1))]
NAMELESS: Strokes = [(i, string, 0) for i, string in enumerate((3, 2, 1, 5, 3, 2, 1, 5))]


def told(*measures: Strokes, columns: int = 2, below: str = "") -> list[tuple[str, ...]]:
    """The reasons for measures in 4/4 with so many columns for an eighth."""
    rows = {string: f"{'DBGDg'[string - 1]}|" for string in range(1, 6)}
    for measure in measures:
        cells = {string: ["-"] * (8 * columns + 1) for string in rows}
        for eighth, string, fret in measure:
            cells[string][1 + eighth * columns] = str(fret)
        rows = {string: f"{row}{''.join(cells[string])}|" for string, row in rows.items()}
    system = "\n".join(rows.values())
    (tune,) = rollstave.read(f"Time: 4/4\nTuning: gDGBD\nKey: G\n\n{system}\n{below}")
    return [measure.rhythm.reasons for measure in tune.score.measures]


@pytest.mark.parametrize("columns", [1, 2, 3, 4])
def test_the_width_that_was_typed_is_told(columns: int) -> None:
    fit = f"columns fit, {columns} per eighth note"
    assert told(TUNE, OTHER, TUNE, OTHER[1:], columns=columns) == [
        (fit,),
        (fit,),
        (fit, "same as measure 1"),
        (fit,),
    ]


def test_a_roll_has_its_name_and_eight_even_notes_their_number() -> None:
    fit = "columns fit, 2 per eighth note"
    assert told(FORWARD, TUNE, NAMELESS) == [
        (fit, "forward roll"),
        (fit,),
        (fit, "8 even notes fill the measure"),
    ]


def test_where_the_columns_say_nothing_what_is_usual_is_told() -> None:
    squeezed = """
D|-0-2-0-|-2---0-|-0-0-2-|
B|-1---1-|---1-3-|---1---|
G|---2---|-2-----|-2---0-|
D|-------|-------|-------|
g|-0---0-|-0-0---|-0-----|
"""
    (tune,) = rollstave.read(f"Time: 4/4\nTuning: gDGBD\nKey: G\n{squeezed}")
    usual = "usual for so many notes in this meter, on these strings"
    assert [m.rhythm.reasons[:1] for m in tune.score.measures] == [(usual,)] * 3


def test_an_empty_measure_says_so() -> None:
    assert told(TUNE, [], OTHER)[1] == ("nothing is struck",)


def test_counts_say_so_and_not_the_columns() -> None:
    below = "   1   2 &     4\n"  # under a tune of which the columns say the same
    first, second = told(TUNE, OTHER, below=below)
    assert first == ("the counts say so",)
    assert second == ("columns fit, 2 per eighth note",)
