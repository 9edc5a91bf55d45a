"""What stands beside the rows of a tab and in its words: charts, bars in rows of chords, numbers of
measures, a tempo and a capo in a sentence.

That a chord is typed behind a bar of its own row, and a chart on two lines, is common practice, no
source.
"""

from __future__ import annotations

import pytest

import rollstave

HEAD = "Tuning: gDGBD\nTime: 4/4\n\n"
SYSTEM = """D|----2---2---2---|----0-------0---|
B|0-------0-------|1---1-----------|
G|--2-----------2-|------------0---|
D|----------------|0---------------|
g|----------------|--0---0---0---0-|
"""


def read(text: str) -> rollstave.Tune:
    (tune,) = rollstave.read(text)
    return tune


def chords(tune: rollstave.Tune) -> list[list[tuple[str, str]]]:
    """Onset and name of the chords of each measure."""
    return [[(str(c.onset), c.text) for c in m.chords] for m in tune.score.measures]


def test_a_chart_goes_on_over_empty_lines() -> None:
    chart = "| G | D |\n\n\n| C | G |\n\n"
    tune = read(HEAD + chart + SYSTEM + "\n" + SYSTEM)
    assert [names[0][1] for names in chords(tune)] == ["G", "D", "C", "G"]


@pytest.mark.parametrize(
    "row",
    [
        "   | G             | Em    D",
        "  | G             | Em     D",
        "  |G              |Em      D",
    ],
)
def test_a_chord_behind_a_bar_of_its_row_stands_at_the_beginning(row: str) -> None:
    first, second = chords(read(f"{HEAD}{row}\n{SYSTEM}"))
    assert first == [("0", "G")]
    assert second[0] == ("0", "Em")
    assert second[1][1] == "D"


@pytest.mark.parametrize("form", ["({})", "[{}]", "{}."])
def test_a_number_over_each_system_is_no_ending(form: str) -> None:
    tune = read(HEAD + "".join(f"  {form.format(1 + 2 * n)}\n{SYSTEM}\n" for n in range(3)))
    assert [m.ending for m in tune.grid.measures] == [None] * 6
    assert "ending" not in " ".join(p.message for p in tune.problems)


def test_a_letter_that_means_nothing_may_be_a_rest_by_the_legend() -> None:
    tune = read(
        HEAD + "z: rest\n\n" + SYSTEM.replace("g|------", "g|------z", 1).replace("z-", "z", 1)
    )
    assert "z" not in " ".join(p.message for p in tune.problems if p.code == "unread")
    assert tune.grid.measures[0].rests


@pytest.mark.parametrize(
    "words",
    [
        "It wants a tempo of 112, no more, and a capo at II so that it suits the fiddle.",
        "Keep the speed at 112. The capo goes on: capo on fret II, please.",
    ],
)
def test_tempo_and_capo_in_a_sentence(words: str) -> None:
    tune = read(HEAD + words + "\n\n" + SYSTEM)
    assert tune.score.tempo == 112 or tune.score.sounding_tempo == 112
    assert tune.score.setup.capo == 2


def test_a_capo_is_the_number_that_its_words_begin_with() -> None:
    tune = read(HEAD + "Capo: II, and the metronome at 84\n\n" + SYSTEM)
    assert tune.score.setup.capo == 2
