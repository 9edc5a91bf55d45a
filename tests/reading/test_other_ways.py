"""Tab that is typed in other ways than rows of dashes: it reads as the same tab in rows.

That people type it so is common practice, no source; the rows beside each are by hand.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

import rollstave
from tests.reading.plain_tab import HEAD, ROWS, music

FIRST = ("..0..", "...0.", "0....", "....0") * 2
SECOND = (".2...", "...1.", "0....", "....2", "..0..", "...1.", "0....", "....2")
BEATS = ("1", "&", "2", "&", "3", "&", "4", "&")


def _down() -> str:
    lines = ["count g  D  G  B  D"]
    for measure in (FIRST, SECOND):
        lines += [
            f"  {beat}   " + "  ".join(cells) for beat, cells in zip(BEATS, measure, strict=True)
        ]
        lines.append("  ------------------")
    return "\n".join(lines) + "\n"


def _pairs() -> str:
    lines = []
    for number, measure in enumerate((FIRST, SECOND), start=1):
        words = []
        for cells in measure:
            at = next(i for i, c in enumerate(cells) if c != ".")
            words.append(f"{5 - at}/{cells[at]}")
        lines.append(f"bar {number}: " + " ".join(words))
    return "\n".join(lines) + "\n"


def _cells() -> str:
    moments = [*FIRST, *SECOND]
    lines = ["Bar,1,,,,,,,,2,,,,,,,", "Count," + ",".join([*BEATS, *BEATS])]
    for row, label in enumerate("DBGDg"):
        cells = [moment[4 - row].replace(".", "") for moment in moments]
        lines.append(",".join([label, *cells]))
    return "\n".join(lines) + "\n"


WAYS = {"down the page": _down(), "string and fret": _pairs(), "cells": _cells()}


def test_other_ways_read_as_rows_and_are_told() -> None:
    for typed in WAYS.values():
        head = HEAD.replace(": ", ",") if "," in typed else HEAD
        assert music(head + typed) == music(HEAD + ROWS)
        (tune,) = rollstave.read(head + typed)
        assert "dialect" in {p.code for p in tune.problems}
        assert tune.score.title == "Larkspur Landing"
        assert tune.score.setup.tuning.written == "gDGBD"


def test_what_is_said_first_is_the_fret() -> None:
    turned = "\n".join(
        " ".join("/".join(reversed(pair.split("/"))) for pair in line.partition(": ")[2].split())
        for line in _pairs().splitlines()
    )
    said = HEAD + "fret / string, low to high\n\n" + turned
    assert music(said) == music(HEAD + ROWS)


def test_times_in_prose_and_a_ruled_table_are_no_tab() -> None:
    text = HEAD + "I count 4/4 3/4 6/8 and 2/4 for these.\n\n" + ROWS
    (tune,) = rollstave.read(text)
    assert "dialect" not in {p.code for p in tune.problems}
    assert len(tune.score.measures) == 2


@pytest.mark.parametrize(
    "broken",
    [
        _pairs().replace("3/0", "0/3"),  # there is no such string
        _pairs().replace("bar 2: 4/2", "bar 2: 4/2 and then"),
        "\n".join(f"{n}. " + "x/1 " * 8 for n in range(1, 9)),
        "fret / string\n" + _pairs().replace("3/0", "3/x"),
        ",".join("DBGDg") + "\n" + ",,,,,\n" * 40,
        "g D G B D\n" * 30,
    ],
)
def test_what_is_not_understood_is_refused_and_never_dropped(broken: str) -> None:
    with pytest.raises(rollstave.TabError):
        rollstave.read(HEAD + broken)


def test_points_rests_and_a_short_last_measure() -> None:
    """One person typed so from a phone, without sight of the program: a point, commas, r = rest."""
    typed = "3.0, 2.1, 5.0, 1.0\n1.4, r, 5.0, 1.2\n4.2, 2.1, 5.0, 1.2\nr, r, r, r\n3.0, r\n"
    (tune,) = rollstave.read(f"Goose\nstring.fret, banjo gDGBD, 2/4\n\n{typed}")
    notes = [sum(len(e.notes) for e in m.events) for m in tune.score.measures]
    assert notes == [4, 3, 4, 0, 1]


def test_a_table_may_have_cells_of_bars_and_of_counts() -> None:
    typed = (
        "count;1;&;2;&;|;1;&;2;&;|\n"
        "string 1;;;0;;|;;;2;;|\nstring 2;;0;;;|;1;;;;|\nstring 3;0;;;;|;;;;0;|\n"
        "string 4;;;;;|;;;;;|\nstring 5;;;;0;|;;0;;;|\n"
    )
    (tune,) = rollstave.read(f"Title;Goose\nTuning;gDGBD\nTime;2/4\n\n{typed}")
    played = [[(e.onset, e.notes[0].string) for e in m.events] for m in tune.score.measures]
    half = Fraction(1, 2)
    assert played == [
        [(0, 3), (half, 2), (1, 1), (3 * half, 5)],
        [(0, 2), (half, 5), (1, 1), (3 * half, 3)],
    ]


def test_a_sign_before_a_fret_down_the_page_moves_no_note() -> None:
    rows = "\n".join(
        f"row {n}  {'   '.join(cells)}"
        for n, cells in enumerate((".0...", "..2..", "..4..", "0...."), 1)
    ).replace("4   .   .", "/4  .   .")
    typed = f"       5   4   3   2   1\n{rows}\n======\n{rows}\n"
    (tune,) = rollstave.read(f"Title: Goose\nTuning: gDGBD\nTime: 2/4\n\n{typed}")
    half = Fraction(1, 2)
    for measure in tune.score.measures:
        assert [e.onset for e in measure.events] == [0, half, 1, 3 * half]
        assert measure.events[2].notes[0].link is rollstave.Link.SLIDE
