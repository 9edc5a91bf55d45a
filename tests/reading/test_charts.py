"""Chord charts before a tab give the chords of its measures. Common practice, no source."""

from __future__ import annotations

from fractions import Fraction

import pytest

import rollstave

ROW = ("----0-------0---", "--0-------0-----", "0-------0-------", "-" * 16, "------0-------0-")
ROWS = "\n".join("|" + f"{row}|" * 4 for row in ROW) + "\n"
HEAD = "Ferry Bell\nTuning: gDGBD\nTime: 4/4\n\n"
EACH = [[(0, "G")], [(0, "C")], [(0, "D7")], [(0, "G")]]


def _tune(text: str, codes: tuple[str, ...] = ()) -> rollstave.Tune:
    (tune,) = rollstave.read(HEAD + text)
    warnings = [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]
    assert tuple(p.code for p in warnings) == codes
    return tune


def _chords(tune: rollstave.Tune) -> list[list[tuple[Fraction, str]]]:
    return [[(c.onset, c.text) for c in m.chords if not c.inferred] for m in tune.score.measures]


@pytest.mark.parametrize(
    ("chart", "chords"),
    [
        ("| G | C | D7 | G |", EACH),
        ("Chords:\n| G  | C  |\n| D7 | G  |", EACH),
        ("Chords: G / C / D7 / G", EACH),
        ("|| G | C | D7 | G ||", EACH),
        ("For whoever brings a guitar: | G | C | D7 | G |", EACH),
        ("Guitar chords (simple): | G | C | D7 | G |", EACH),
        ("| G | % | D7 | G |", [[(0, "G")], [(0, "G")], [(0, "D7")], [(0, "G")]]),
        ("| G C | G | D7 | G |", [[(0, "G"), (2, "C")], [(0, "G")], [(0, "D7")], [(0, "G")]]),
        (
            "| G / C / | G / / / | D7 | G |",
            [[(0, "G"), (2, "C")], *[[(0, c)] for c in "G"], [(0, "D7")], [(0, "G")]],
        ),
    ],
)
def test_a_chart_with_as_many_measures(
    chart: str, chords: list[list[tuple[Fraction, str]]]
) -> None:
    tune = _tune(f"{chart}\n\n{ROWS}")
    assert _chords(tune) == chords
    for line in chart.split("\n"):
        assert any(line.strip().endswith(note) for note in tune.score.notes)


def test_a_chart_that_is_the_same_each_time() -> None:
    tune = _tune(f"Chords (the same both times): | G | C | D7 | G |\n\n{ROWS}\n{ROWS}")
    assert _chords(tune) == [*EACH, *EACH]


def test_a_chart_under_the_tab_is_of_all_of_it() -> None:
    tune = _tune(f"{ROWS}\n{ROWS}\nChords for a guitar:\n| G | C | D7 | G |\n| G | C | D7 | G |\n")
    assert _chords(tune) == [*EACH, *EACH]
    assert _chords(_tune(f"{ROWS}\n| G | C | D7 |\n", ("stray",))) == [[]] * 4


def test_charts_of_sections() -> None:
    text = f"[Verse]   chords:  G / C / D7 / G\n\n{ROWS}\nChorus\n\n| C | C | G | G |\n\n{ROWS}"
    tune = _tune(text)
    assert _chords(tune) == [*EACH, *[[(0, c)] for c in "CCGG"]]
    assert [m.section for m in tune.score.measures if m.section] == ["Verse", "Chorus"]


@pytest.mark.parametrize(
    "chart", ["| G | C | D7 |", "| G | C | D7 | G | G |", "| we | G | C | D |"]
)
def test_a_chart_of_another_length_stays_words(chart: str) -> None:
    codes = () if "we" in chart else ("stray",)  # it is said that the measures do not fit
    tune = _tune(f"{chart}\n\n{ROWS}", codes)
    assert _chords(tune) == [[], [], [], []]
    assert chart in tune.score.notes


def test_chords_over_the_rows_are_not_doubled() -> None:
    above = " G" + " " * 16 + "C" + " " * 16 + "D7" + " " * 15 + "G\n"
    assert _chords(_tune(f"| G | C | D7 | G |\n\n{above}{ROWS}")) == EACH
