"""Lines beside and between systems: endings that head a system, names of parts, words that close a
tune, counts that are off as a whole, remarks in brackets; and which instrument a file is for.

That a label pushes counts aside and that an ending is named over its rows is common practice, no
source.
"""

from __future__ import annotations

import pytest

import rollstave

HEAD = "Gull Street\n\nTuning: gDGBD\nTime: 4/4\n\n"
SYSTEM = """D|----2---2---2---|----0-------0---|
B|0-------0-------|1---1-----------|
G|--2-----------2-|------------0---|
D|----------------|0---------------|
g|----------------|--0---0---0---0-|
"""
LAST = """    D|----2-------{0}|
    B|0------------{1}|
    G|--2----------{1}|
    D|-------------{1}|
    g|-------------{0}|
"""


def read(text: str) -> rollstave.Tune:
    (tune,) = rollstave.read(text)
    return tune


@pytest.mark.parametrize("first", ["(1st time)", "FIRST ENDING:", "First ending"])
@pytest.mark.parametrize("between", ["", "\n     G\n", "\n"])
def test_an_ending_heads_rows_that_begin_further_right(first: str, between: str) -> None:
    if "time" in first and between:
        pytest.skip("so it may be a remark")
    second = first.replace("1st", "2nd").replace("FIRST", "SECOND").replace("First", "Second")
    rows = LAST.format("---", "---")
    opened = SYSTEM.replace("D|", "D|:", 1)
    tune = read(f"{HEAD}{opened}\n{first}\n{between}{rows}\n{second}\n{between}{rows}")
    assert [m.ending for m in tune.grid.measures] == [None, None, "1", "2"]


def test_a_plain_name_over_the_first_rows_is_that_of_a_part() -> None:
    tune = read(f"{HEAD}Plain\n     G\n{SYSTEM}\nHigher up\n     G\n{SYSTEM}")
    assert tune.score.measures[0].section == "Plain"


@pytest.mark.parametrize("name", ["Line {}", "LINE {}", "Lane {}"])
def test_a_name_that_could_be_counted_is_none_of_the_counts(name: str) -> None:
    """All of "Line 1" could be said in counting: li, n, e, 1."""
    rows = SYSTEM.replace("-", " ")
    tune = read(f"{HEAD}{name.format(1)}\n{rows}\n{name.format(2)}\n{rows}")
    assert [m.length for m in tune.score.measures] == [4] * 4
    assert not [a for m in tune.grid.measures for a in m.attachments]


@pytest.mark.parametrize("words", ["THE END", "The end.", "-- THE END --"])
def test_what_closes_a_tune_is_no_title_and_no_part(words: str) -> None:
    found = rollstave.read(
        f"{HEAD}{SYSTEM}\n{words}\n\nHeron Lane\n==========\n{HEAD[13:]}{SYSTEM}"
    )
    assert [tune.score.title for tune in found] == ["Gull Street", "Heron Lane"]
    assert words in [note.text for note in found[0].grid.notes]


COUNTED = """        D|---0-0--0-|------2---|
        B|--0---0---|-----1-1--|
        G|-0-----0--|--------0-|
        D|----------|-2h4------|
        g|----0-----|----0-----|
count: 1&2&3&4&   1 &2&3&4&
"""


def test_counts_behind_a_word_are_moved_as_a_whole() -> None:
    tune = read(HEAD + COUNTED)
    plain = read(HEAD + COUNTED.replace("count: 1", "           1"))
    onsets = [[e.onset for e in m.events] for m in tune.score.measures]
    assert onsets == [[e.onset for e in m.events] for m in plain.score.measures]
    assert [float(onset) for onset in onsets[1]] == [0, 0.5, 1, 1.5, 2, 2.5, 3]


def test_words_in_brackets_under_a_system_are_a_remark() -> None:
    tune = read(f"{HEAD}{SYSTEM}          (slide in late)\n")
    assert "(slide in late)" in [note.text for note in tune.grid.notes]
    assert not any(a.kind.name == "LYRICS" for m in tune.grid.measures for a in m.attachments)


UKULELE = """This one is for the ukulele, tuned gCEA, in 2/4.

A|---0---0-|---3---3-|
E|-----1---|-0-------|
{remark}C|-0-0---0-|---0---0-|
g|---------|-----0---|

A|---3---3-|---0-----|
E|---------|---------|
C|---0-0-0-|---0-----|
g|-0-------|-2---2---|
"""


def test_a_remark_between_rows_hides_no_instrument() -> None:
    for text in (
        UKULELE.format(remark="      hold\n"),
        UKULELE.format(remark="").replace("|\n", "|\n\n"),
    ):
        tune = read(text)
        assert tune.score.setup.instrument.name == "ukulele"
        assert len(tune.score.measures) == 4


def test_a_row_may_hold_a_fret_alone() -> None:
    cut = """D|----2---2---2---|
B|0
G|--2
D|0---------------|
g|------0---------|
"""
    tune = read(HEAD + SYSTEM + "\n" + cut)
    struck = [(n.string, n.fret) for n in tune.score.measures[2].events[0].notes]
    assert struck == [(2, 0), (4, 0)]
    assert len(tune.score.measures[2].events) == 6


def test_a_bracket_over_a_triplet_is_no_row() -> None:
    text = HEAD + "  |-3-|\n  G                Em\n" + SYSTEM
    assert len(read(text).score.measures) == 2


def test_chords_stand_under_rows_with_empty_lines_between() -> None:
    spaced = SYSTEM.replace("\n", "\n\n")
    tune = read(f"{HEAD}{spaced}  G                Em\n\n\n\n{spaced}  C                D\n")
    assert [m.chords[0].text for m in tune.score.measures] == ["G", "Em", "C", "D"]


OVER = (
    "[Part A]",
    "   1.              2.",
    "   G               C",
    "   1   &   2   &   1   &   2   &",
)


@pytest.mark.parametrize("count", [1, 2, 3])
def test_endings_chords_and_counts_may_stand_over_each_other(count: int) -> None:
    """Each line over a system means the same with any others between it and the rows."""
    cells = {"D": "-0---2---0---2-"}
    bars = ((label, cells.get(label, "-" * 15)) for label in "DBGdg")
    rows = "".join(f"{label}|{bar}|{bar}|\n" for label, bar in bars)
    over = "\n".join((*OVER[:1], *OVER[1 : count + 1]))
    (tune,) = rollstave.read(f"Title: Nettle Hill\nTime: 2/4\nKey: G\n\n{over}\n{rows}")
    measures = tune.score.measures
    assert measures[0].section == "Part A"
    assert [m.ending for m in measures] == ["1", "2"]
    chords = [c.text for m in measures for c in m.chords if not c.inferred]
    assert chords == (["G", "C"] if count > 1 else [])
    assert {p.code for p in tune.problems} <= {"rhythm-unsure", "leading-back", "tuning-assumed"}
