"""Tunes of one file that no heading parts, and versions. Common practice, no source."""

from __future__ import annotations

import pytest

import rollstave

ROLL = ("|---0---0|", "|-0---0--|", "|0---0---|", "|--------|", "|--0---0-|")
PLAIN = ("|--------|", "|----0---|", "|0-------|", "|--------|", "|--------|")


def _system(rows: tuple[str, ...] = ROLL) -> str:
    return "\n".join(rows) + "\n"


LETTER = """Dear Tilda,

{words}

Plum on the Sill

{one}
Watch the thumb in bar 1.


Gulls at the Bakery

{two}
"""


def _read(words: str) -> tuple[rollstave.Tune, ...]:
    return rollstave.read(LETTER.format(words=words, one=_system(), two=_system(PLAIN)))


@pytest.mark.parametrize(
    "words",
    [
        "here are the two I promised. gDGBD and 4/4.",
        "Two tunes for you, gDGBD, 4/4.",
        "Two short new tunes. gDGBD and 4/4.",
        "something for Sunday. Both in G tuning, gDGBD, 4/4.",
        "gDGBD, 4/4. Both songs are easy.",
    ],
)
def test_words_that_speak_of_two_tunes(words: str) -> None:
    first, second = _read(words)
    assert first.score.title == "Plum on the Sill"
    assert second.score.title == "Gulls at the Bakery"
    assert [len(t.score.measures) for t in (first, second)] == [1, 1]
    assert str(second.score.meter) == "4/4"
    assert second.score.setup.tuning.written == "gDGBD"


@pytest.mark.parametrize(
    "words",
    [
        "here is one with two parts. gDGBD and 4/4.",
        "gDGBD, 4/4. Play both parts twice.",
        "There are two ways to play it. gDGBD, 4/4.",
        "here are the three I promised. gDGBD and 4/4.",  # there are not so many names
    ],
)
def test_words_that_speak_of_parts(words: str) -> None:
    assert len(_read(words)) == 1


HANDOUT = """LARKSPUR FERRY WORKSHOP, HANDOUT 5
"Plum on the Sill", 4/4, open G (gDGBD)

PLAIN VERSION

  1        2
{one}
{heading}

  {number}        {next}
{two}
"""


def _versions(heading: str, number: int) -> tuple[rollstave.Tune, ...]:
    wide = [_system(tuple(row + row[1:] for row in rows)) for rows in (PLAIN, ROLL)]
    text = HANDOUT.format(one=wide[0], two=wide[1], heading=heading, number=number, next=number + 1)
    return rollstave.read(text)


def test_a_version_that_is_numbered_anew() -> None:
    first, second = _versions("FULL VERSION (with the roll)", 1)
    for tune in (first, second):
        assert tune.score.title == "Plum on the Sill"
        assert str(tune.score.meter) == "4/4"
        assert tune.score.setup.tuning.written == "gDGBD"
        assert len(tune.score.measures) == 2
    assert second.score.measures[0].section == "FULL VERSION (with the roll)"
    assert any(p.code == "title-line" and p.place.line == 13 for p in second.problems)


def test_a_version_whose_numbers_go_on() -> None:
    (tune,) = _versions("FULL VERSION (with the roll)", 3)
    assert len(tune.score.measures) == 4


def test_a_part_that_is_numbered_anew_is_no_tune() -> None:
    (tune,) = _versions("HIGH PART", 1)
    assert len(tune.score.measures) == 4
