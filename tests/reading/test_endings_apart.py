"""Endings on lines of their own, over an empty line or in words. Common practice, no source."""

from __future__ import annotations

import pytest

import rollstave
from rollstave.deciding.playback import play_order

ROW = ("----0-------0---", "--0-------0-----", "0-------0-------", "-" * 16, "------0-------0-")
ROWS = "\n".join("|" + f"{row}|" * 2 for row in ROW) + "\n"
ONE = "\n".join(f"|{row}|" for row in ROW) + "\n"
BACK = ONE.replace("|\n", ":|\n")
HEAD = "Title: Ferry Bell\nTuning: gDGBD\nTime: 4/4\n\n"


def _measures(text: str) -> tuple[rollstave.Measure, ...]:
    (tune,) = rollstave.read(HEAD + text)
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]
    return tune.score.measures


@pytest.mark.parametrize(
    ("first", "last", "endings", "order"),
    [
        ("First time:", "Second time:", ("1", "2"), (0, 1, 2, 0, 1, 3)),
        (
            "the first time:",
            "and the second time it ends like this:",
            ("1", "2"),
            (0, 1, 2, 0, 1, 3),
        ),
        ("1st ending:", "2nd ending:", ("1", "2"), (0, 1, 2, 0, 1, 3)),
        (
            "First, second and third time it goes on like this:",
            "and the fourth time:",
            ("1,2,3", "4"),
            (0, 1, 2, 0, 1, 2, 0, 1, 2, 0, 1, 3),
        ),
        ("The first two times:", "Last time:", ("1,2", "3"), (0, 1, 2, 0, 1, 2, 0, 1, 3)),
        ("bar 3, first time:", "bar 3, the last time:", ("1", "2"), (0, 1, 2, 0, 1, 3)),
    ],
)
def test_endings_in_words(
    first: str, last: str, endings: tuple[str, str], order: tuple[int, ...]
) -> None:
    measures = _measures(f"{ROWS}\n{first}\n\n{ONE}\n{last}\n\n{ONE}")
    assert tuple(m.ending for m in measures) == (None, None, *endings)
    assert play_order(measures) == order


def test_words_right_over_the_rows_need_no_colon() -> None:
    text = f"{ROWS}\nbar three, for the 1st and 2nd time\n{ONE}\nbar three, the 3rd time\n{ONE}"
    measures = _measures(text)
    assert tuple(m.ending for m in measures) == (None, None, "1,2", "3")
    assert play_order(measures) == (0, 1, 2, 0, 1, 2, 0, 1, 3)


@pytest.mark.parametrize(
    ("first", "second"),
    [("first time", "second time"), ("1st time", "2nd time"), ("(first ending)", "(last time)")],
)
def test_words_alone_over_the_rows_lead_back_and_are_kept(first: str, second: str) -> None:
    (tune,) = rollstave.read(f"{HEAD}{ROWS}\n{first}\n{ONE}\n{second}\n{ONE}")
    assert play_order(tune.score.measures) == (0, 1, 2, 0, 1, 3)
    assert {first, second} <= set(tune.score.notes)


@pytest.mark.parametrize("form", ["{}.", "[{}.", "({})", "|{}."])
def test_an_empty_line_between_a_number_and_its_rows(form: str) -> None:
    text = f"{ROWS}\n{form.format(1)}\n\n{BACK}\n{form.format(2)}\n\n{ONE}"
    measures = _measures(text)
    assert tuple(m.ending for m in measures) == (None, None, "1", "2")
    assert play_order(measures) == (0, 1, 2, 0, 1, 3)


@pytest.mark.parametrize(
    "words", ["The first time I heard it:", "First time, long ago, it was slower", "3."]
)
def test_words_that_are_no_endings(words: str) -> None:
    text = f"{ROWS}\n{words}\nit rained.\n\n{ONE}"
    assert not any(m.ending for m in _measures(text))


@pytest.mark.parametrize("name", ["B", "Part B"])
def test_the_name_of_a_part_on_the_line_of_its_endings(name: str) -> None:
    rows = "".join(f"{string} |:0---0---|0---0--:|0---0---|\n" for string in "DBGDg")
    (tune,) = rollstave.read(f"Title: Tar\nTime: 2/4\n\n{name.ljust(12)}1.       2.\n{rows}")
    measures = tune.score.measures
    assert [m.section for m in measures] == [name, None, None]
    assert [m.in_ending for m in measures] == [None, "1", "2"]
    assert not [c for m in measures for c in m.chords if not c.inferred]


@pytest.mark.parametrize("chord", ["A", "E", "G"])
def test_a_chord_beside_the_number_of_an_ending_is_no_count(chord: str) -> None:
    """A and E are letters of counts, too; a figure with a point is a number of an ending."""
    over = f"{f'   {chord}':15}1. {chord}       2."
    rows = (f"{s}|:-0---2---|-0---2---:|-2---2---|" for s in "DBGDg")
    (tune,) = rollstave.read("\n".join(["Title: Tide Gate", "Time: 2/4", "", over, *rows]) + "\n")
    measures = tune.score.measures
    assert [measure.ending for measure in measures] == [None, "1", "2"]
    assert [c.text for m in measures for c in m.chords if not c.inferred] == [chord, chord]
