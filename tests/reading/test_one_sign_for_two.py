"""Rows whose signs may be read two ways, where the other rows or the words say which.

That an open string is typed 0 or o, that a sign before a fret ties it, that a tab may end without
its last bar and that blanks may stand about a bar is common practice, no source.
"""

from __future__ import annotations

import rollstave
from rollstave.grid.typed import Bar

HEAD = "Tuning: gDGBD\nTime: 4/4\n\n"


def struck(text: str) -> list[list[tuple[str, int, int | None]]]:
    """Onset, string and fret of what is struck in each measure."""
    (tune,) = rollstave.read(HEAD + text)
    return [
        [(str(e.onset), n.string, n.fret) for e in m.events for n in e.notes]
        for m in tune.score.measures
    ]


ONE_STRING = """D|----2---2---2---|----0-------0---|
B|0-------0-------|1---1-----------|
G|--2-----------2-|------------0---|
D|----------------|0---------------|
g|------o---o-----|--o---o---o---o-|
"""


def test_the_letter_o_may_stand_on_one_string_alone() -> None:
    plain = ONE_STRING.replace("o", "0")
    assert struck(ONE_STRING) == struck(plain)
    (tune,) = rollstave.read(HEAD + ONE_STRING)
    assert [p.code for p in tune.problems] == ["letter-for-zero"]


def test_a_legend_that_says_what_the_letter_is_decides() -> None:
    (tune,) = rollstave.read(HEAD + "o = harmonic\n\n" + ONE_STRING)
    assert "letter-for-zero" not in {p.code for p in tune.problems}


CUT = """D|----2---2---2---|----0-------0---|0
B|0-------0-------|1---1-----------|--1
G|--2-----------2-|------------0---|----0
D|----------------|0---------------|3
g|----------------|--0---0---0---0-|------0
"""


def test_a_fret_alone_behind_the_last_bar_is_struck() -> None:
    assert struck(CUT)[2] == [
        ("0", 1, 0),
        ("0", 4, 3),
        ("1/2", 2, 1),
        ("1", 3, 0),
        ("3/2", 5, 0),
    ]


def test_a_figure_behind_the_last_bar_of_all_rows_is_none() -> None:
    closed = CUT.replace("|--1\n", "|\n").replace("|----0\n", "|\n").replace("|------0\n", "|\n")
    assert len(struck(closed.replace("|3\n", "|\n").replace("-|0\n", "-|\n"))) == 2


SPACED = """D|----2---2---2--- | ----0-------0---|
B|0-------0------- | 1---1-----------|
G|--2-----------2- | ------------0---|
D|---------------- | 0---------------|
g|---------------- | --0---0---0---0-|
"""


def test_blanks_about_a_bar_are_no_columns() -> None:
    assert struck(SPACED) == struck(SPACED.replace(" | ", "|"))


FRONT = """D|-||-----2---2---2---|----0-------0---||
B|-||:0-------0-------|1---1----------:||
G|-||---2-----------2-|------------0---||
D|-||:----------------|0--------------:||
g|-||-----------------|--0---0---0---0-||
"""


def test_dashes_between_two_bars_at_the_beginning_are_no_measure() -> None:
    (tune,) = rollstave.read(HEAD + FRONT)
    assert len(tune.score.measures) == 2
    assert tune.grid.measures[0].left is Bar.REPEAT_START


SLID = """~ between two numbers = slide

D|----2---2---2---|----0-------0---|
B|0~2-----0-------|1---1-----------|
G|--------------2-|------------0~2-|
D|----------------|0---------------|
g|------0---------|--0---0---0-----|
"""


def test_a_legend_may_say_between_which_notes_its_sign_stands() -> None:
    before = SLID.replace("~ between two numbers", "~ before the number")
    for text in (SLID, before):
        (tune,) = rollstave.read(HEAD + text)
        links = [n.link for m in tune.score.measures for e in m.events for n in e.notes if n.link]
        assert links == [rollstave.Link.SLIDE] * 2


TIED = """{legend}

D|--2-2---|{tied}---0-0-|
B|0-------|--0-----|
G|-2------|---0----|
D|--------|--------|
g|---0-0--|----0---|
"""


def test_a_sign_right_before_a_fret_ties_it_where_the_measure_begins() -> None:
    for legend, sign in (
        ("_ before a number: tied, let it ring on", "_"),
        ("=n means tied over from the note before", "="),
    ):
        (tune,) = rollstave.read(HEAD + TIED.format(legend=legend, tied=sign + "2"))
        first = tune.score.measures[1].events[0]
        assert first.onset == 0
        assert [n.link for n in first.notes] == [rollstave.Link.TIE]


QUOTED = """>Tuning: gDGBD
>Time: 4/4
>
>D|----2-2-|--0-0---|
>B|0-------|-1------|
>G|-2----2-|--------|
>D|--------|0-------|
>g|--0--0--|---0-0--|
>  1&2&3&4& 1&2&3&4&
"""


def test_a_blank_behind_a_quote_mark_belongs_to_the_line_where_rows_have_none() -> None:
    (tune,) = rollstave.read(QUOTED)
    counts = [a.position for m in tune.grid.measures for a in m.attachments]
    assert counts == [*range(8), *range(8)]
    (tune,) = rollstave.read(QUOTED.replace(">", "> "))
    assert [a.position for m in tune.grid.measures for a in m.attachments] == counts
