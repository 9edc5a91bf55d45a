"""Remarks that point up at a measure stay with it. Common practice, no source."""

from __future__ import annotations

import pytest

import rollstave

ROW = ("----0-------0---", "--0-------0-----", "0-------0-------", "-" * 16, "------0-------0-")
ROWS = "\n".join("|" + f"{row}|" * 3 for row in ROW) + "\n"
HEAD = "Title: Ferry Bell\nTuning: gDGBD\nTime: 4/4\n\n"


def _notes(text: str) -> tuple[str, ...]:
    (tune,) = rollstave.read(text)
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]
    assert not any(e.lyric for m in tune.score.measures for e in m.events)
    return tune.score.notes


@pytest.mark.parametrize("arrow", ["^", "^ ", "↑ ", "^-- "])
def test_a_remark_names_the_measure_it_points_at(arrow: str) -> None:
    under = f"{' ' * 22}{arrow}brush here, softly\n"
    assert _notes(HEAD + ROWS + under + "\n" + ROWS) == ("measure 2: brush here, softly",)
    # In a further system the numbers go on.
    assert _notes(HEAD + ROWS + "\n" + ROWS + under) == ("measure 5: brush here, softly",)


def test_two_remarks_on_several_lines() -> None:
    under = (
        f"{' ' * 3}^ two brushes,{' ' * 20}^ hold the F\n"
        f"{' ' * 5}do not drag{' ' * 22}with your ring\n"
        f"{' ' * 38}finger\n"
    )
    assert _notes(HEAD + ROWS + under) == (
        "measure 1: two brushes, do not drag",
        "measure 3: hold the F with your ring finger",
    )


def test_a_remark_is_written_and_read_again() -> None:
    (tune,) = rollstave.read(HEAD + ROWS + f"{' ' * 22}^ brush here\n\n" + ROWS)
    (text,) = rollstave.write(tune, "text")
    assert _notes(text.decode()) == ("measure 2: brush here",)


def test_arrows_of_the_hand_are_no_remarks() -> None:
    chord = ("0---------------",) * 4 + ("-" * 16,)
    rows = "\n".join(f"|{row}|{row}|" for row in chord) + "\n"
    (tune,) = rollstave.read(HEAD + rows + " ^                ^\n")
    assert all(m.events[0].brush for m in tune.score.measures)
    assert not tune.score.notes
