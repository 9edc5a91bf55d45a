"""Rows, labels, signs and onsets as people type them: several ways to type each kind.

What is typed is invented, and what it means is common practice, no source. Wherever it can be,
a way of typing is compared with the plain tab that says the same.
"""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

import rollstave

HEAD = "Title: Gull Street\nTuning: gDGBD\nTime: 4/4\n\n"
ROWS = """D|-----0-------0---|-0---2---3---2---|
B|---0-------0-----|---0-------0-----|
G|-0-------0-------|-----------------|
D|-----------------|-----------------|
g|-------0-------0-|-----0---------0-|"""
PLAIN = f"{HEAD}{ROWS}\n"


def music(text: str) -> list[list[tuple[str, frozenset[tuple[int, str]]]]]:
    """Onset, strings and frets of all that is struck, measure by measure."""
    return [
        [
            (str(e.onset), frozenset((n.string, n.fret_text) for n in e.notes))
            for e in measure.events
            if e.notes
        ]
        for tune in rollstave.read(text)
        for measure in tune.score.measures
    ]


def said(text: str) -> list[tuple[str, int]]:
    """The code and the line of each warning."""
    return [
        (p.code, p.place.line if p.place else 0)
        for tune in rollstave.read(text)
        for p in tune.problems
        if p.severity is not rollstave.Severity.NOTICE
    ]


def relabelled(*labels: str) -> str:
    rows = [row[1:] for row in ROWS.split("\n")]
    return HEAD + "\n".join(f"{a}{b}" for a, b in zip(labels, rows, strict=True)) + "\n"


def on_rows(change: Callable[[str], str]) -> str:
    return HEAD + "\n".join(change(row) for row in ROWS.split("\n")) + "\n"


LABELS = {
    "st1": ("st1 ", "st2 ", "st3 ", "st4 ", "st5 "),
    "s1": ("s1", "s2", "s3", "s4", "s5"),
    "1st string": ("1st string ", "2nd string ", "3rd string ", "4th string ", "5th string "),
    "first": ("first ", "second", "third ", "fourth", "fifth "),
    "as they sound": ("first", "secnd", "third", "forth", "fifth"),
    "one": ("one  ", "two  ", "three", "four ", "five "),
    "high and low": ("high D ", "B      ", "G      ", "low D  ", "5th g  "),
    "where they lie": ("top  ", "next ", "mid  ", "low  ", "thumb"),
}


@pytest.mark.parametrize("name", LABELS)
def test_labels_in_words_are_labels(name: str) -> None:
    text = relabelled(*LABELS[name])
    assert music(text) == music(PLAIN)
    assert not said(text)


def test_labels_in_words_may_count_up_from_the_bottom() -> None:
    rows = [row[1:] for row in ROWS.split("\n")][::-1]
    names = ("fifth ", "fourth", "third ", "second", "first ")
    text = HEAD + "\n".join(a + b for a, b in zip(names, rows, strict=True)) + "\n"
    assert music(text) == music(PLAIN)


def _glued(row: str) -> str:
    return row[0] + row[2:].replace("|-", "|")[1:]


@pytest.mark.parametrize(
    ("typed", "string", "fret"),
    [("0-------0", 3, "0"), ("2-------0", 3, "2"), ("12------0", 3, "12"), ("7h9-----0", 3, "7")],
)
def test_a_figure_right_after_a_label_is_a_fret(typed: str, string: int, fret: str) -> None:
    text = on_rows(_glued).replace("G0-------0", f"G{typed}")
    assert (string, fret) in music(text)[0][0][1]
    assert len(music(text)[0]) >= 8
    assert not said(text)


def test_figures_after_all_labels_are_octaves() -> None:
    text = HEAD + re.sub(r"^(.)\|", r"\g<1>4", ROWS, flags=re.MULTILINE) + "\n"
    assert music(text) == music(PLAIN)


@pytest.mark.parametrize("bare", ["D|", "D |", "D||", "D:", "D|  |", "D|-"])
def test_a_bare_label_is_a_silent_string(bare: str) -> None:
    text = PLAIN.replace("\nD|-----------------|-----------------|\n", f"\n{bare}\n")
    assert bare in text
    assert music(text) == music(PLAIN)
    assert not said(text)


def _letters(text: str, letter: str) -> str:
    head, rows = text.split("\n\n")
    return f"{head}\n\n{rows.replace('0', letter)}"


@pytest.mark.parametrize("letter", ["o", "O"])
def test_the_letter_o_is_an_open_string_also_beside_bars_and_signs(letter: str) -> None:
    close = on_rows(lambda row: row.replace("|-", "|").replace("3---2", "3p0-2"))
    assert music(_letters(close, letter)) == music(close)
    glued = on_rows(_glued)
    assert music(_letters(glued, letter)) == music(glued)


def test_a_letter_o_by_a_bar_in_one_row_opens_no_repeat() -> None:
    text = PLAIN.replace("B|---0", "B|o--0")
    (tune,) = rollstave.read(text)
    assert tune.score.measures[0].left is not rollstave.Bar.REPEAT_START
    assert tune.problems


@pytest.mark.parametrize("letters", ["dbgdG", "dBGDG", "DBGDG", "DbGdG", "dbgdg"])
def test_the_case_of_labels_turns_no_tab_upside_down(letters: str) -> None:
    text = relabelled(*letters)
    assert music(text) == music(PLAIN)


def test_labels_of_a_tuning_of_ones_own_stand_as_it_is_declared() -> None:
    text = relabelled(*"eCGfB").replace("gDGBD", "bFGCE")
    assert music(text) == music(relabelled(*"ECGFb").replace("gDGBD", "bFGCE"))


def _turned(words: str) -> str:
    rows = [row[1:] for row in ROWS.split("\n")][::-1]
    return HEAD.rstrip("\n") + f"\n{words}\n\n" + "\n".join(rows) + "\n"


@pytest.mark.parametrize(
    "words",
    [
        "5th string is the TOP line",
        "The top line is the 5th string.",
        "NB the thumb string is on top",
        "The low row is string 1",
        "1st string is the bottom line",
        "All my tabs are typed upside down.",
    ],
)
def test_words_say_which_line_is_on_top(words: str) -> None:
    text = _turned(words)
    assert music(text) == music(PLAIN)
    assert not said(text)


@pytest.mark.parametrize(
    "words", ["1st string on top.", "Hit the 1st string on top of the beat.", "5th string below"]
)
def test_words_that_say_nothing_of_it_turn_nothing_over(words: str) -> None:
    text = _turned(words).split("\n\n")[0] + "\n\n" + re.sub(r"^.", "", ROWS, flags=re.M) + "\n"
    assert music(text) == music(PLAIN)


def measure_two(row: str, old: str = "D|-----0-------0---|-0---2---3---2---|") -> str:
    """The plain tab with another second measure in its top row."""
    assert old in PLAIN
    return PLAIN.replace(old, f"{old[:20]}{row}|")


@pytest.mark.parametrize(
    "row",
    [
        "-0---2---(3)-2---",  # it begins where the 3 stands
        "-0---2--(3)--2---",  # its digit stands there
        "(0)--2---3---2---",
        "-0---2--<3>--2---",
        "/0---2---3---2---",
    ],
)
def test_a_mark_before_a_fret_stands_where_the_other_rows_say(row: str) -> None:
    assert [o for o, _ in music(measure_two(row))[1]] == [o for o, _ in music(PLAIN)[1]]


@pytest.mark.parametrize("typed", ["<12>-----", "(12)-----", "<7>------"])
def test_a_chord_in_brackets_at_the_beginning_of_a_measure_begins_there(typed: str) -> None:
    close = on_rows(lambda row: row.replace("|-", "|"))
    rows = close.split("\n\n")[1].rstrip("\n").split("\n")
    chord = "\n".join(f"{row}{typed if row[0] in 'DBG' else '-' * 9}-------|" for row in rows)
    assert [o for o, _ in music(f"{HEAD}{chord}\n")[2]] == ["0"]


@pytest.mark.parametrize("late", ["--------x--------", "----------x------"])
def test_a_note_a_column_beside_a_brush_is_struck_with_it_and_that_is_said(late: str) -> None:
    brush = ["D|---------x-------|", f"B|{late}|", "G|---------x-------|", "D|-----------------|"]
    first = [row[:20] for row in ROWS.split("\n")]
    rows = "\n".join(a + b[2:] for a, b in zip(first, [*brush, brush[-1]], strict=True))
    text = f"{HEAD}{rows}\n"
    assert [sorted(n for n, _ in notes) for _, notes in music(text)[1]] == [[1, 2, 3]]
    assert said(text) == [("column-beside", 6)]


@pytest.mark.parametrize(
    ("old", "new", "column"),
    [
        ("B|---0-------0-----|", "B|---0--------0-----|", 3),
        ("B|---0-------0-----|", "B|---0------0-----|", 3),
        ("B|---0-------0-----|", "B|---0-------0------|", 3),
        ("B|---0-------0-----|", "B|--0-------0-----|", 3),
        ("g|-------0-------0-|-----0---------0-|", "g|-------0-------0-|-----0----------0-|", 21),
    ],
)
def test_a_dash_too_many_or_too_few_costs_its_measure(old: str, new: str, column: int) -> None:
    text = PLAIN.replace(old, new)
    assert text != PLAIN
    assert music(text) == music(PLAIN)
    (tune,) = rollstave.read(text)
    places = [p.place for p in tune.problems if p.code == "rows-out-of-step"]
    assert [place.column for place in places if place] == [column]


@pytest.mark.parametrize("sign", ["h", "p", "/", "s"])
def test_a_sign_between_two_notes_begins_none_of_them(sign: str) -> None:
    row = f"-0---2-{sign}11-3---2---"
    (tune,) = rollstave.read(measure_two(row))
    columns = tune.grid.measures[1].columns
    (slurred,) = (c for c in columns for s in c.strokes if s.link is not None)
    assert slurred.position == row.index("11")


def test_a_sixteenth_beside_a_brush_of_a_dense_typist_stays() -> None:
    rows = "D|0-2-0-2-00--0-2-|\nB|0-1-0-1-0-1-0-1-|\nG|0---------------|\nD|----------------|"
    text = f"{HEAD}{rows}\ng|----------------|\n"
    assert len(music(text)[0]) == 9


def _pegged(fret: str) -> str:
    return PLAIN.replace("g|-------0-------0-|-----0---", f"g|-------0-------0-|-----{fret}---")


def pitches(text: str) -> list[list[int]]:
    (tune,) = rollstave.read(text)
    return [sorted(n.pitch.midi for n in e.notes) for m in tune.score.measures for e in m.events]


@pytest.mark.parametrize(
    "words",
    [
        "I count the frets of the fifth string from its own peg.",
        "NOTE: the frets of the 5th string are counted\nfrom ITS OWN PEG, so 2 is two above it",
        "(thumb string counted by its own nut)",
    ],
)
def test_words_count_the_short_string_from_its_peg(words: str) -> None:
    own = _pegged("2").replace("Time: 4/4\n", f"Time: 4/4\n\n{words}\n")
    assert pitches(own) == pitches(_pegged("7"))
    assert not said(own)


def test_frets_count_the_short_string_from_its_peg_and_that_is_said() -> None:
    own = PLAIN.replace("g|-------0-------0-|-----0---", "g|-------3-------2-|-----2---")
    neck = PLAIN.replace("g|-------0-------0-|-----0---", "g|-------8-------7-|-----7---")
    assert pitches(own) == pitches(neck)
    assert [code for code, _ in said(own)] == ["own-peg"]


def test_one_fret_too_low_is_asked_about() -> None:
    with pytest.raises(rollstave.TabError, match="did you mean 7"):
        rollstave.read(_pegged("2"))
    denied = "The 5th string is not counted from its own peg."
    with pytest.raises(rollstave.TabError, match="did you mean 7"):
        rollstave.read(_pegged("2").replace("Time: 4/4\n", f"Time: 4/4\n\n{denied}\n"))


@pytest.mark.parametrize("rows", ["one", "all", "two systems"])
def test_a_percent_sign_plays_the_measure_before_again(rows: str) -> None:
    again = "|--------%--------|"
    first = [row[:20] for row in ROWS.split("\n")]
    typed = [
        row + (again[1:] if rows != "one" or index == 2 else "-----------------|")
        for index, row in enumerate(first)
    ]
    text = HEAD + "\n".join(typed) + "\n"
    if rows == "two systems":
        text = HEAD + "\n".join(first) + "\n\n" + "\n".join(row[:2] + again[1:] for row in first)
    one, two = music(text)
    assert one == two == music(PLAIN)[0]
    assert not said(text)


def test_a_percent_sign_with_nothing_before_it_is_said() -> None:
    first = "\n".join(f"{row[:2]}--------%--------|{row[2:]}" for row in ROWS.split("\n"))
    assert ("unread", 5) in said(f"{HEAD}{first}\n")


@pytest.mark.parametrize("ruler", ["|------|--------|", "|:-----|-------:|", "|---|---|"])
def test_the_line_under_the_head_of_a_table_is_no_row(ruler: str) -> None:
    table = f"| name | from     |\n{ruler}\n| Mara | the weir |\n\n"
    assert music(f"{table}{PLAIN}") == music(PLAIN)


@pytest.mark.parametrize(("run", "frets"), [("024", "024"), ("420", "420"), ("757", "757")])
def test_three_figures_side_by_side_are_three_notes_and_that_is_said(run: str, frets: str) -> None:
    text = measure_two(f"-{run}-3---2---3---"[:17])
    top = [fret for _, notes in music(text)[1] for string, fret in sorted(notes) if string == 1]
    assert "".join(top).startswith(frets)
    assert ("two-notes", 5) in said(text)


LONG = [row + row[2:] * 2 for row in ROWS.split("\n")]


@pytest.mark.parametrize("width", [108, 92, 76, 74, 72, 70, 60, 56, 50, 40])
@pytest.mark.parametrize("before", ["", "> ", ">> > "])
def test_rows_wrapped_by_mail_are_joined_and_that_is_said_once(width: int, before: str) -> None:
    whole = HEAD + "\n".join(LONG) + "\n"
    pieces = [row[at : at + width] for row in LONG for at in range(0, len(row), width)]
    text = "".join(f"{before}{line}\n" for line in (*HEAD.rstrip("\n").split("\n"), "", *pieces))
    assert music(text) == music(whole)
    (tune,) = rollstave.read(text)
    assert [p.code for p in tune.problems] == ["wrapped"]


def test_rows_of_two_systems_with_no_line_between_are_not_taken_for_wrapped() -> None:
    text = f"{HEAD}{ROWS}\n{ROWS}\n"
    assert music(text) == music(PLAIN) * 2


def test_a_wrapped_last_row_may_be_cut_short() -> None:
    pieces = [row[at : at + 72] for row in LONG for at in (0, 72)]
    text = HEAD + "\n".join([*pieces[:-1], pieces[-1][:30]]) + "\n"
    assert music(text)[:5] == music(HEAD + "\n".join(LONG) + "\n")[:5]


def test_blanks_that_part_the_beats_take_no_time() -> None:
    # Common practice, no source: beats set apart for the eye, in all rows at once.
    rows = ("0-- 0-2 3-2 | --- 2-- 0--", *["--- --- --- | --- --- ---"] * 4)
    text = "Title: Skerry\nTime: 9/8\n\n" + "".join(f"| {row} |\n" for row in rows)
    (tune,) = rollstave.read(text)
    found = [[2 * e.onset for e in m.events if e.notes] for m in tune.score.measures]
    assert found == [[0, 3, 5, 6, 8], [3, 6]]


def test_chords_struck_in_columns_side_by_side() -> None:
    # Common practice, no source: an open string twice (00) shows that 33 beside it is no fret.
    rows = ("3-33-333|1-------", "0-00-000|1-------", "0-00-000|2-------", "0-00-000|0-------")
    text = "Title: Skerry\nInstrument: ukulele\nTime: 4/4\n\n"
    (tune,) = rollstave.read(text + "".join(f"|{row}|\n" for row in rows))
    first = [e for e in tune.score.measures[0].events if e.notes]
    assert [2 * e.onset for e in first] == [0, 2, 3, 5, 6, 7]
    assert {tuple(n.fret for n in e.notes) for e in first} == {(3, 0, 0, 0)}


def test_a_blank_after_every_character_is_a_way_to_space_a_tab() -> None:
    # Common practice, no source. In the second measure 0h2 closes a gap, and the next stays.
    rows = ("0 . 0 . 0 . | 0h2 . . 0 .", *[". . . . . . | . . . . . ."] * 4)
    text = "Title: Skerry\nTime: 3/4\n\n" + "".join(f"| {row} |\n" for row in rows)
    (tune,) = rollstave.read(text)
    first = [e.onset for e in tune.score.measures[0].events if e.notes]
    assert first == [0, 1, 2]
    assert len({m.width for m in tune.grid.measures}) == 1  # nothing is taken out of one alone


@pytest.mark.parametrize("fill", [" ", ".", "_"])
def test_three_rows_in_another_fill_are_those_of_three_strings(fill: str) -> None:
    """Common practice, no source: a dulcimer has three strings; labels and bars show the rows."""
    text = "Dulcimer, tuned DAA\n4/4\n\nA | 3   4   5   3   | 7       5       |\n"
    text += "A | 0       0       | 0       0       |\nD | 0       0       | 0       0       |\n"
    head, gap, rows = text.partition("\n\n")
    (tune,) = rollstave.read(head + gap + rows.replace("   ", fill * 3))
    frets = [[(n.string, n.fret) for e in m.events for n in e.notes] for m in tune.score.measures]
    low = [(2, 0), (3, 0)]
    assert [sorted(bar) for bar in frets] == [
        sorted([(1, 3), (1, 4), (1, 5), (1, 3), *low, *low]),
        sorted([(1, 7), (1, 5), *low, *low]),
    ]


def test_bars_at_beats_and_words_over_them() -> None:
    """Common practice, no source: one stroke for the beat, two for the bar."""
    measure = {"D": "--|0-|--|0-", "B": "0-|--|--|--", "G": "--|--|2-|--", "g": "--|-0|--|-0"}
    rows = [f"{s}||{measure[s]}||{measure[s]}||" for s in "DBG"]
    rows += ["D||--|--|--|--||--|--|--|--||", f"g||{measure['g']}||{measure['g']}||"]
    over = "   G            C\n"
    (tune,) = rollstave.read("Ferry Bell\nTuning: gDGBD\n4/4\n\n" + over + "\n".join(rows) + "\n")
    onsets = [0, 1, 1.5, 2, 3, 3.5]
    assert [[e.onset for e in m.events] for m in tune.score.measures] == [onsets, onsets]
    assert [[c.text for c in m.chords] for m in tune.score.measures] == [["G"], ["C"]]
    assert not [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]


@pytest.mark.parametrize("fill", ["-", "."])
@pytest.mark.parametrize("gap", ["   ", "\t"])
def test_a_row_so_full_that_no_dashes_follow_each_other(fill: str, gap: str) -> None:
    """Common practice, no source: blocks with gaps for bars, the second string on every offbeat."""
    cells = ("----0---", "-1-1-1-1", "0-----0-", "--------", "--0-----")
    measure = zip("DBGDg", cells, strict=True)
    barred = "".join(f"{s}|{m}|{m}|\n" for s, m in measure)
    text = HEAD + barred.replace("|\n", "\n").replace("|", gap).replace("-", fill)
    assert music(text) == music(HEAD + barred)
    (tune,) = rollstave.read(text)
    assert tune.score.notes == ()


def test_one_system_of_neighbouring_columns_makes_no_dense_typist() -> None:
    """Common practice, no source: where all other systems have dashes between the notes, 12 is
    fret twelve in that system, too; where there are no others, the hand at the nut plays 1, 2."""
    apart = "D|------0-----2---|\nB|---0-----1------|\nG|0-----2--0--2--0|\n"
    close = "D|--0---2-|--0---2-|\nB|-0---1--|-0---1--|\nG|0-00-2-0|0-0012-0|\n"
    rest = "D|{0}|\ng|{0}|\n\n"

    def last_measure(*systems: str) -> list[int]:
        rows = [s + rest.format(re.sub(r"[^|\n]", "-", s.split("\n")[0][2:-1])) for s in systems]
        (tune,) = rollstave.read("Title: Reed Pier\nTuning: gDGBD\n\n" + "".join(rows))
        events = tune.score.measures[-1].events
        return [n.fret for e in events for n in e.notes if n.string == 3 and n.fret is not None]

    assert 12 in last_measure(*[apart] * 12, close)
    assert 12 not in last_measure(close, close)


@pytest.mark.parametrize(("third", "frets"), [("-12-0----0", [12, 0, 0]), ("12------0", [1, 2, 0])])
def test_one_fret_of_two_figures_makes_its_measure_wider(third: str, frets: list[int]) -> None:
    """A sixteenth a character: where all measures have nine, one with ten has one note fewer than
    figures. That a wide fret pushes what follows is common practice, no source."""
    plain = ("---0-0--0", "--0---0--", "-2-------", "----5----", "-------0-")
    wide = "-" * len(third)
    rows = [plain] * 6 + [(wide, wide, third, wide, wide)]
    text = "".join(f"{label}|{'|'.join(r[n] for r in rows)}|\n" for n, label in enumerate("DBGDg"))
    (tune,) = rollstave.read(f"Title: Reed Pier\nTuning: gDGBD\nTime: 2/4\n\n{text}")
    last = tune.score.measures[-1]
    assert [n.fret for e in last.events for n in e.notes] == frets
