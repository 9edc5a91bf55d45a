"""Counts typed as words over or under the rows. Common practice, no source."""

from __future__ import annotations

from fractions import Fraction

import pytest

import rollstave

ROWS = """D|------------0-----------|------------3-----------|
B|--------1-------1-------|--------1-------1-------|
G|----0-------------------|----2-------------------|
C|0-------------------2---|0-----------------------|
g|------------------------|------------------------|
"""
HEAD = "Title: Slack Water\nTuning: gCGBD\nTime: 3/4\n\n"
COUNTED = " 1   &   2   &   3   &    1   &   2   &   3   &\n".replace(" 1", "  1", 1)


def read(text: str) -> rollstave.Tune:
    (tune,) = rollstave.read(text)
    return tune


def onsets(tune: rollstave.Tune) -> list[list[Fraction]]:
    return [[e.onset for e in m.events if e.notes] for m in tune.score.measures]


@pytest.mark.parametrize(
    "line",
    [
        "  one-and-two-and-threeand  one-and-two-and-threeand ".replace("threeand", "three-& "),
        "  one and two and three &   one and two and three & ",
        "  One and Two and Three     One and Two and Three",
    ],
)
@pytest.mark.parametrize("under", [False, True])
def test_words_count_as_figures_do(line: str, under: bool) -> None:
    chords = "  C                         F\n"
    text = f"{chords}{ROWS}{line}\n" if under else f"{chords}{line}\n{ROWS}"
    tune = read(HEAD + text)
    half = Fraction(1, 2)
    assert onsets(tune)[0] == [0, half, 1, 3 * half, 2, 5 * half]
    assert [m.chords[0].text for m in tune.score.measures] == ["C", "F"]
    assert {m.rhythm.source for m in tune.score.measures} == {
        m.rhythm.source for m in read(f"{HEAD}{ROWS}{COUNTED}").score.measures
    }


def test_one_number_and_words_is_sung() -> None:
    tune = read(f"{HEAD}{ROWS}  one     and     one       and     one     all\n")
    assert [e.lyric for e in tune.score.measures[0].events if e.lyric] != []
