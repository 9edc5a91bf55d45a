"""A small l typed for the figure 1, and signs told in a list of them.

Common practice, no source: typewriters without a key for the figure 1 had a small l for it.
"""

from __future__ import annotations

import pytest

import rollstave

ROWS = """D|-0-------l0------|
B|---l---0-------l--|
G|-------------0----|
D|-------0hl--------|
g|-----0------------|
"""


def frets(text: str) -> list[tuple[int, int]]:
    score = rollstave.read(text)[0].score
    return [(n.string, n.fret) for m in score.measures for e in m.events for n in e.notes]


@pytest.mark.parametrize("change", [("|", "|"), ("|", "!"), ("-", ".")])
def test_a_small_l_is_a_one(change: tuple[str, str]) -> None:
    rows = ROWS.replace(*change)
    assert frets(f"Tuning: gDGBD\n\n{rows}") == frets(f"Tuning: gDGBD\n\n{rows.replace('l', '1')}")
    told = rollstave.read(f"Tuning: gDGBD\n\n{rows}")[0].problems
    assert [p.place.line for p in told if p.code == "letter-for-one" and p.place] == [3]


def test_a_small_l_is_no_one_where_ones_are_typed() -> None:
    text = f"Tuning: gDGBD\n\n{ROWS.replace('l0', '10')}"
    assert "letter-for-one" not in {p.code for p in rollstave.read(text)[0].problems}


def test_a_small_l_is_the_sign_that_the_legend_says() -> None:
    rows = ROWS.replace("l0", "20").replace("--l", "2l3").replace("hl", "l2")
    text = f"Tuning: gDGBD\nl = slide\n\n{rows}"
    tune = rollstave.read(text)[0]
    assert "letter-for-one" not in {p.code for p in tune.problems}


TIED = """D|-0-------(0)-----|
B|---2---0----------|
G|-------------0----|
D|------------------|
g|-----0------------|
"""


@pytest.mark.parametrize(
    "legend",
    [
        "x dead note; (n) still sounding, do not pluck; h hammer",
        "^ hammer    (n) echo, held over, not struck again",
        "codes: (n) still ringing from before",
    ],
)
def test_brackets_told_among_other_signs(legend: str) -> None:
    """Which sign means what a legend says, in whatever row of it (common practice, no source)."""
    score = rollstave.read(f"Tuning: gDGBD\n{legend}\n\n{TIED}")[0].score
    last = [n for m in score.measures for e in m.events for n in e.notes if n.string == 1][-1]
    assert last.link is rollstave.Link.TIE


@pytest.mark.parametrize(
    ("legend", "sign", "link"),
    [
        ("the s is a slide and h is hammer", "s", "SLIDE"),
        ("^ ist ein Hammer-on", "^", "HAMMER_ON"),
        ("the h is a hammer and s is a slide", "h", "HAMMER_ON"),
    ],
)
def test_the_meaning_that_stands_next_to_a_sign(legend: str, sign: str, link: str) -> None:
    rows = TIED.replace("(0)", "---").replace("2---", f"2{sign}3-", 1)
    score = rollstave.read(f"Tuning: gDGBD\n{legend}\n\n{rows}")[0].score
    notes = [n for m in score.measures for e in m.events for n in e.notes if n.string == 2]
    assert notes[1].link is getattr(rollstave.Link, link)


def test_a_sign_on_the_second_line_of_a_list() -> None:
    legend = "My signs:  ^ bring the finger down (hammer)\n           v pluck it off (pull)"
    rows = TIED.replace("(0)", "---").replace("2---", "2v0-", 1)
    score = rollstave.read(f"Tuning: gDGBD\n{legend}\n\n{rows}")[0].score
    notes = [n for m in score.measures for e in m.events for n in e.notes if n.string == 2]
    assert [n.vibrato for n in notes[:2]] == [False, False]
    assert notes[1].link is rollstave.Link.PULL_OFF
