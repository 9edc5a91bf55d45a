"""Numbers over measures that are no endings: note values, counts, and what nobody can know.

Note values by number are those of 1/4 and 1/8 notes; an ending is played in the pass of its number
(common practice, no source).
"""

from __future__ import annotations

from fractions import Fraction

import pytest

import rollstave

Q = Fraction(1)


def _tune(text: str) -> rollstave.Tune:
    (tune,) = rollstave.read(text)
    return tune


def _onsets(tune: rollstave.Tune) -> list[list[Fraction]]:
    return [[e.onset for e in m.events] for m in tune.score.measures]


def _endings(tune: rollstave.Tune) -> list[str | None]:
    return [m.ending for m in tune.grid.measures]


VALUES = (
    "  4.  8 4   2   4   8 8 8 8 4\n"
    "D|-2---3-5-|-0---2-|-0-2-3-5-7-|\n"
    "B|---------|-------|-----------|\n"
    "G|---------|-------|-----------|\n"
    "D|---------|-------|-----------|\n"
    "g|---------|-------|-----------|\n"
)


@pytest.mark.parametrize(
    "over", ["Time: 3/4\n", "numbers above: 2 half, 4 quarter, 8 eighth\n", ""]
)
def test_note_values_by_number(over: str) -> None:
    values = "   4.  8 4   2   4   8 8 8 8 4\n" + VALUES.split("\n", 1)[1]
    tune = _tune(f"Title: Slack Water\n{over}\n{values}")
    assert _endings(tune) == [None, None, None]
    assert _onsets(tune) == [
        [0, 3 * Q / 2, 2],
        [0, 2],
        [0, Q / 2, 1, 3 * Q / 2, 2],
    ]
    assert [m.length for m in tune.score.measures] == [3, 3, 3]


def test_counts_with_dots_are_no_endings() -> None:
    rows = "".join(f"{name}|0---0---0---0---|\n" for name in "DBGDg")
    tune = _tune(f"Title: Slack Water\nTime: 4/4\n\n  1 . . . 2 . . . 3 . . . 4 . . .\n{rows}")
    assert _endings(tune) == [None]
    assert _onsets(tune) == [[0, 1, 2, 3]]


def test_numbers_that_can_be_nothing_are_said() -> None:
    rows = "".join(f"{name}|0---0---0---0---|0---0---0---0---|\n" for name in "DBGDg")
    tune = _tune(f"Title: Slack Water\nTime: 4/4\n\n  7.              9.\n{rows}")
    assert _endings(tune) == [None, None]
    (said,) = [p for p in tune.problems if p.code == "stray"]
    assert said.place is not None
    assert said.place.line == 4
    assert "7 9" in said.message


@pytest.mark.parametrize("typed", ["1.", "[1"])
def test_endings_stay_what_they_are(typed: str) -> None:
    rows = "".join(f"{name}|:0---0---|0---0--:|0---0---|\n" for name in "DBGDg")
    over = " " * 12 + typed.ljust(9) + typed.replace("1", "2")
    tune = _tune(f"Title: Slack Water\nTime: 2/4\n\n{over}\n{rows}")
    assert _endings(tune) == [None, "1", "2"]
