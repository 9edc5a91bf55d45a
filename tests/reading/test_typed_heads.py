"""Heads that people typed without sight of the program: what is the name, and which facts stand
bare among others. The truth is what each typist said is meant (``tests/benchmarks/heads``)."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import rollstave
from tests.benchmarks.heads.__main__ import typed

ROWS = """D|-2---0---|-2---0---|
B|---0---0-|---0---0-|
G|---------|---------|
D|---------|---------|
g|---------|---------|
"""


def read(text: str) -> rollstave.Tune:
    (tune,) = rollstave.read(text)
    return tune


@pytest.mark.parametrize(
    ("head", "title"),
    [
        ("Half a Sandwich ///// gDGBD ///// 97 bpm", "Half a Sandwich"),
        ("p.14 -- Two-Dollar Umbrella -- banjo G tuning", "Two-Dollar Umbrella"),
        ("Apples Down, for the banjo. Jessie, I forget what tuning.", "Apples Down"),
        ("Red Barn Music Lessons\n\nHattie Drove the Wagon\n4/4", "Hattie Drove the Wagon"),
        ("we always called it Grandfather Moss. I put it on banjo.", "Grandfather Moss"),
        ("Set 5\nMrs Ottway's Trousers\nbanjo, open G", "Mrs Ottway's Trousers"),
    ],
)
def test_the_name_among_other_words(head: str, title: str) -> None:
    assert read(f"{head}\n\n{ROWS}").score.title == title


def test_a_name_may_stand_under_the_tab() -> None:
    tune = read(f"banjo tuning: gDGBD\n\n{ROWS}\n(Saint Agnes Pump, from Tom Yarrow)\n")
    assert tune.score.title == "Saint Agnes Pump"


def test_a_sentence_keeps_the_name_that_it_tells() -> None:
    said = "Somebody at the picnic wanted Eddie's in the Well Again, and I promised, so."
    score = read(f"{said}\n\n{ROWS}").score
    assert score.title == "Eddie's in the Well Again"
    assert said in score.notes


def test_what_is_less_sure_is_told() -> None:
    (head,) = (
        json.loads(line)
        for line in _lines()
        if '"title": "Goodbye, Pantry"' in line  # a pupil's name stands over it
    )
    tune = read(typed(head))
    said = [p for p in tune.problems if p.code == "title-line"]
    assert [p.severity for p in said] == [rollstave.Severity.WARNING]


def _lines() -> list[str]:
    folder = Path(__file__).parents[1] / "benchmarks" / "heads"
    return [line for path in sorted(folder.glob("*.jsonl")) for line in path.open(encoding="utf-8")]


@pytest.mark.parametrize(
    ("line", "key", "beats"),
    [
        ("drop C, key of C, 3/4, 108", "C major", 108),
        ("banjo, gDGBD, D, 4/4, 138", "D major", 138),
        ("open G / key of G / 4/4 / 126", "G major", 126),
        ("gDGBD, 4/4, 104 to the quarter, Em", "E minor", 104),
    ],
)
def test_facts_that_stand_bare_among_others(line: str, key: str, beats: int) -> None:
    score = read(f"Ferry Bell\n{line}\n\n{ROWS}").score
    assert (str(score.key), score.tempo) == (key, beats)


@pytest.mark.parametrize("line", ["Play A, B, then A and stop.", "see page 104, and ask", "p. 84"])
def test_letters_and_numbers_that_are_no_facts(line: str) -> None:
    tune = read(f"Ferry Bell\nTuning: gDGBD\n\n{ROWS}\n{line}\n")
    assert tune.score.tempo is None
    assert not [p for p in tune.problems if "key" in p.message or "tempo" in p.message]


def test_a_date_is_no_time() -> None:
    tune = read(f"Ferry Bell   2/11\ngDGBD, 4/4\n\n{ROWS}")
    assert str(tune.score.meter) == "4/4"
    assert not [p for p in tune.problems if p.code == "time"]


@pytest.mark.parametrize(
    "line",
    ["Musik: Bruno Kalz", "(Musik: Bruno Kalz)", "Words & music: Bruno Kalz", "comp. Bruno Kalz"],
)
def test_who_made_a_tune(line: str) -> None:
    assert read(f"Ferry Bell\n{line}\n\n{ROWS}").score.composer == "Bruno Kalz"


def test_dashes_under_a_title_are_no_tab_of_another_instrument() -> None:
    rows = "\n".join(f"{x}|-2---0---|-2---0---|" for x in "EBGDAE")
    score = read(f"Ferry Bell\n----------\nInstrument: guitar\n\n{rows}\n").score
    assert (score.title, len(score.setup.tuning.pitches)) == ("Ferry Bell", 6)


def test_numbered_names_are_tunes_that_share_what_stands_over_them() -> None:
    """Two people typed such handouts, and meant two tunes."""
    head = "Two for the thumb\nBoth: banjo, gDGBD, 2/2, quarter = 60\n\n"
    tunes = rollstave.read(f"{head}1) Pump Handle\n\n{ROWS}\n2) Bucket Down\n\n{ROWS}")
    assert [t.score.title for t in tunes] == ["Pump Handle", "Bucket Down"]
    assert [str(t.score.meter) for t in tunes] == ["2/2", "2/2"]


@pytest.mark.parametrize("words", ["bars 1 to 2 twice, then 3 and 4", "measures 1-2 two times"])
def test_measures_that_words_repeat_by_their_numbers(words: str) -> None:
    score = read(f"Ferry Bell\ngDGBD, 4/4\n{words}\n\n{ROWS}\n{ROWS}").score
    assert [m.right.value for m in score.measures][1] == "repeat end"


@pytest.mark.parametrize(
    ("line", "written"),
    [("mandolin, from the top: E A D G", "GDAE"), ("guitar, tuned E B G D A E", "EADGBE")],
)
def test_letters_from_string_one_on_are_turned_round(line: str, written: str) -> None:
    labels = written[::-1]
    rows = "\n".join("|-2---0---|-2---0---|" for _ in labels)
    assert read(f"Ferry Bell\n{line}\n\n{rows}\n").score.setup.tuning.written == written


def test_a_person_behind_facts_made_the_tune() -> None:
    score = read(f"Ferry Bell\n----------\nkey G, 4/4        tune: Orla Quist\n\n{ROWS}").score
    assert (score.title, score.composer) == ("Ferry Bell", "Orla Quist")


def test_instruments_may_be_many() -> None:
    rows = "\n".join("|-2---0---|-2---0---|" for _ in range(4))
    score = read(f"Ferry Bell\nfiddles, D major, G D A E\n\n{rows}\n").score
    assert score.setup.instrument.name == "fiddle"


def test_blanks_between_other_bars_are_rows() -> None:
    rows = ROWS.replace("|", "!").replace("-", " ")
    score = read(f"Ferry Bell\ngDGBD, 4/4. Two columns = one eighth.\n\n{rows}").score
    assert [len(m.events) for m in score.measures] == [4, 4]


def test_a_part_may_be_round_twice() -> None:
    score = read(f"Ferry Bell\ngDGBD, 2/4\n\nA part, round twice\n{ROWS}\nB part\n{ROWS}").score
    assert score.measures[1].right.value == "repeat end"


def test_words_between_two_halves_may_speak_of_the_first() -> None:
    words = "Play these two bars twice. Then comes the other half, only once:"
    score = read(f"Ferry Bell\ngDGBD, 2/4\n\n{ROWS}\n{words}\n\n{ROWS}").score
    assert [m.right.value for m in score.measures][1] == "repeat end"
    assert score.measures[2].left.value != "repeat start"


def test_a_title_under_the_tab_names_it_with_its_rows_apart() -> None:
    rows = "\n\n".join("EADG"[::-1][i] + "|-2---0---|-2---0---|" for i in range(4))
    text = f"bass line for saturday\n\n{rows}\n\ntitle: Last Stop\nthe whole line four times\n"
    score = read(text).score
    assert (score.title, score.setup.instrument.name) == ("Last Stop", "bass")
    assert score.measures[1].right.value == "repeat end"


def test_an_instrument_with_its_usual_letters() -> None:
    rows = "\n".join("|-2---0---|-2---0---|" for _ in range(4))
    tune = read(f"Title: Ferry Bell\nInstrument: mandolin GDAE\n\n{rows}\n")
    assert tune.score.setup.instrument.name == "mandolin"
    assert not [p for p in tune.problems if p.code == "instrument"]


def test_numbers_in_brackets_number_tunes() -> None:
    first, second = f"(1) Dash Dot Dash\ngDGBD, 2/4\n\n{ROWS}", f"(2) Little Kettle\n3/4\n\n{ROWS}"
    text = f"two short ones\n\n{first}\n{second}"
    assert [t.score.title for t in rollstave.read(text)] == ["Dash Dot Dash", "Little Kettle"]


@pytest.mark.parametrize("said", ["54 b.p.m.", "54 B.P.M.", "54 bpm"])
def test_beats_a_minute_with_points(said: str) -> None:
    score = read(f"The Escapement.   2/4.   Tuning gDGBD.   Key G.   {said}\n\n{ROWS}").score
    assert score.tempo == 54


def test_a_row_that_words_count_is_played_so_often() -> None:
    words = "i think the second line is played twice, he kept on"
    score = read(f"Ferry Bell\ngDGBD, 2/4\n\n{ROWS}\n{ROWS}\n{words}\n").score
    assert score.measures[2].left.value == "repeat start"
    assert score.measures[3].right.value == "repeat end"
