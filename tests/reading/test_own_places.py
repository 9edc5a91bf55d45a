"""Segno and coda by signs that the tab's own words explain; the order is worked by hand.

That people explain signs so is common practice, no source.
"""

from __future__ import annotations

import pytest

import rollstave
from rollstave.deciding.playback import play_order

HEAD = "Title: Larkspur Lane\nTuning: open G\nTime: 4/4\n\n"


def _rows(measures: int) -> str:
    long = "-0---2---0---2---|"
    return "\n".join([f"{label}|{long * measures}" for label in "DBGD"]) + (
        "\ng|" + "---0---0---0-----|" * measures
    )


def _read(text: str) -> rollstave.Tune:
    (tune,) = rollstave.read(HEAD + text)
    return tune


@pytest.mark.parametrize(
    ("words", "segno", "coda"),
    [
        ("$ is where you come back to, @ is where you leave for the end", "$", "@"),
        ("@ = go back here    & marks the place to skip from", "@", "&"),
    ],
)
def test_own_signs_of_places(words: str, segno: str, coda: str) -> None:
    """The sign over measure 2, the leaving over measure 3, back after measure 4."""
    over = " " * 21 + segno + " " * 18 + coda
    tune = _read(
        f"{words}\n\n{over}\n{_rows(4)}\n\nback to {segno}\n\n{coda} the end:\n{_rows(2)}\n"
    )
    measures = tune.score.measures
    assert [m.segno for m in measures] == [False, True, False, False, False, False]
    assert measures[4].section == "the end"
    assert measures[4].coda
    assert play_order(measures)[-2:] == (4, 5)
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]


def test_a_coda_with_a_name_is_its_part() -> None:
    tune = _read(
        f"{_rows(2)}\n\nTo Coda\n\n{_rows(2)}\n\nD.C. al Coda\n\n(+) Out we go:\n{_rows(1)}\n"
    )
    assert [m.section for m in tune.score.measures if m.section] == ["Out we go"]
    assert play_order(tune.score.measures) == (0, 1, 2, 3, 0, 1, 4)


@pytest.mark.parametrize("signs", ["   >   >", "  $      @", "    ?"])
def test_signs_over_rows_that_mean_nothing_known_are_not_passed_over(signs: str) -> None:
    tune = _read(f"{signs}\n{_rows(2)}\n")
    assert [p.code for p in tune.problems if p.severity is rollstave.Severity.WARNING] == [
        "kept-as-words"
    ]


@pytest.mark.parametrize("line", ["* * *", "-----", "~~~~~", ". . .", ">>>>>", "_________"])
def test_lines_that_divide_stay_so(line: str) -> None:
    tune = _read(f"{_rows(2)}\n\n{line}\n{_rows(2)}\n")
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]
