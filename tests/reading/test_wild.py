"""Tab as people really typed it: every dialect of a tune reads as the plain one does.

The dialects are common practice of mail, web pages and word processors, no source. What a dialect
should read as is given by how it is made here: the same strokes in another dress.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from rollstave.grid.typed import GridTune, LineKind, Link
from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.problems import Problem, ProblemList
from rollstave.reading.page.decode import decode
from rollstave.reading.reader import read_grid

SAMPLES = Path(__file__).parents[2] / "samples"

PLAIN = """\
Title: Gull Street
Tuning: open G
Time: 4/4

D|-----0-------0---|-----2-------2---|
B|---0-------1-----|---0-------1-----|
G|-0-------2-----0-|-0-------2h4-----|
D|-----------------|-----------------|
g|-------0-------0-|-------0-------0-|

D|-----5-------5---|-----0-------0---|
B|---3-------3-----|---1-------0-----|
G|-4-------4-----0-|-0-------0-------|
D|-----------------|-----------------|
g|-------0-------0-|-------0---------|
"""


def grid_of(text: str | bytes) -> tuple[GridTune, tuple[Problem, ...]]:
    problems = ProblemList()
    text = decode(text) if isinstance(text, bytes) else text
    (tune,) = read_grid(text, FIVE_STRING_BANJO, problems)
    return tune, problems.sorted()


def strokes(tune: GridTune) -> list[list[tuple[int, list[tuple[int, int | None, Link | None]]]]]:
    """Everything struck, measure by measure: column and (string, fret, link)."""
    return [
        [(c.position, [(s.string, s.fret, s.link) for s in c.strokes]) for c in m.columns]
        for m in tune.measures
    ]


def codes(problems: tuple[Problem, ...]) -> set[str]:
    return {p.code for p in problems}


ROW = re.compile(r"^[A-Ga-g]\|.*$", re.MULTILINE)


def on_rows(change: Callable[[str], str]) -> Callable[[str], str]:
    return lambda text: ROW.sub(lambda m: change(m[0]), text)


def on_bodies(old: str, new: str) -> Callable[[str], str]:
    return on_rows(lambda row: row[:1] + row[1:].translate(str.maketrans(old, new)))


def spaced_out(text: str) -> str:
    """An empty line after every row."""
    return on_rows(lambda row: row + "\n")(text)


def upside_down(text: str) -> str:
    head, *systems = text.split("\n\n")
    turned = ["\n".join(reversed(s.strip("\n").split("\n"))) for s in systems]
    return "\n\n".join([head, *turned]) + "\n"


def wrapped(text: str) -> str:
    """Rows broken at column 30, as a mail program does."""
    return on_rows(lambda row: row[:30] + "\n" + row[30:])(text)


def first_labels_only(text: str) -> str:
    first, rest = text.split("\n\nD|-----5", 1)
    return first + "\n\n" + ROW.sub(lambda m: " " + m[0][1:], "D|-----5" + rest)


DIALECTS: dict[str, Callable[[str], str]] = {
    "em dashes": on_bodies("-", "—"),
    "box drawing": on_bodies("-|", "─│"),
    "broken bars": on_bodies("|", "¦"),
    "equals signs": lambda t: on_bodies("-", "=")(t),
    "underscores": on_bodies("-", "_"),
    "dots": on_bodies("-", "."),
    "spaces": on_bodies("-", " "),
    "bang bars": on_bodies("|", "!"),
    "colon bars": on_bodies("|", ":"),
    "plus bars": on_bodies("|", "+"),
    "mail quotes": lambda t: re.sub("^", "> ", t, flags=re.MULTILINE),
    "double mail quotes": lambda t: re.sub("^", ">> ", t, flags=re.MULTILINE),
    "bullets": on_rows(lambda row: "* " + row),
    "numbered rows": on_rows(lambda row: "1. " + row),
    "pre block": lambda t: f"<html><body><pre>\n{t}</pre></body></html>\n",
    "colon labels": on_rows(lambda row: row[0] + ":" + row[1:]),
    "spaced labels": on_rows(lambda row: row[0] + " " + row[1:]),
    "bracketed labels": on_rows(lambda row: "(" + row[0] + ")" + row[1:]),
    "octave labels": on_rows(lambda row: row[0] + "4" + row[1:]),
    "no labels": on_rows(lambda row: row[1:]),
    "labels once": first_labels_only,
    "indented": on_rows(lambda row: "    " + row),
    "tab character": on_rows(lambda row: "\t" + row),
    "blank rows between": spaced_out,
    "upside down": upside_down,
    "wrapped lines": wrapped,
    "windows line ends": lambda t: t.replace("\n", "\r\n"),
    "old mac line ends": lambda t: t.replace("\n", "\r"),
    "words at the right": on_rows(lambda row: row + "   (slow here)" if row[0] == "B" else row),
    "capital fifth": on_rows(lambda row: row.replace("g|", "G|")),
    "no-break spaces": lambda t: on_rows(lambda row: "  " + row)(t),
    "quote bars": lambda t: re.sub("^", "| ", t, flags=re.MULTILINE),
    "line numbers": lambda t: "\n".join(f"{n:3}: {row}" for n, row in enumerate(t.split("\n"), 1)),
    "a box around": lambda t: t.replace("\nD|--", "\n┌─────┐\nD|--").replace(
        "|\n\n", "|\n└───┘\n\n"
    ),
    "a sign-off with two dashes": lambda t: t + "\nThanks!\n-- \nMara\n",
    "joiners of no width": on_rows(lambda row: row.replace("|", "|\u200b")),
    "title of a web page": lambda t: t.replace("Title: Gull Street", "# Gull Street"),
    "title between stars": lambda t: t.replace("Title: Gull Street", "*** Gull Street ***"),
    "blanks coded by mail": lambda t: t.replace("Street\n", "Street=20\n").replace("|\n", "|=20\n"),
    "one blank coded by mail": lambda t: t.replace("Street\n", "Street=20\n"),
    "long lines cut by mail": lambda t: on_rows(lambda row: row[:30] + "=\n" + row[30:])(
        t.replace("Title: ", "Title:=20")
    ).replace("Time: 4/4", "Time:=204/4=20"),
    "dashes coded by mail": lambda t: on_rows(lambda row: row.replace("-", "=E2=80=94"))(t),
    "head of a mail": lambda t: (
        "From: mara@larkspur.example\nTo: the school\nSubject: Re: TAB: Gull Street\n\n" + t
    ),
    "two headings in one": lambda t: t.replace("open G\nTime: 4/4", "open G, 4/4"),
    "fences": lambda t: t.replace("\n\n", "\n\n```tab\n", 1) + "```\n",
    "hammer before the fret": lambda t: t.replace("2h4", "2-4").replace("2-4", "2h4"),
}


@pytest.mark.parametrize("name", DIALECTS)
def test_a_dialect_reads_as_the_plain_tab(name: str) -> None:
    plain, none = grid_of(PLAIN)
    assert not none
    found, problems = grid_of(DIALECTS[name](PLAIN))
    assert strokes(found) == strokes(plain)
    assert not any(p.code in ("unread", "stray", "rows") for p in problems)


@pytest.mark.parametrize(
    "sign", ["2h4", "2-h-4", "2(h)4", "2-h4", "2h-4", "2ho4", "2-ham-4", "2H4"]
)
def test_spellings_of_a_hammer_on(sign: str) -> None:
    pad = "-" * (17 - 9 - len(sign))
    found, problems = grid_of(
        PLAIN.replace(
            "G|-0-------2-----0-|-0-------2h4-----|", f"G|-0-------2-----0-|-0-------{sign}{pad}|"
        )
    )
    last = [s for c in found.measures[1].columns for s in c.strokes if s.string == 3][-1]
    assert (last.fret, last.link) == (4, Link.HAMMER_ON)
    assert "unread" not in codes(problems)


ENCODINGS = ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252", "mac_roman"]


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_encodings(encoding: str) -> None:
    text = PLAIN.replace("-", "—")
    assert strokes(grid_of(text.encode(encoding))[0]) == strokes(grid_of(PLAIN)[0])


def test_lines_drawn_under_dos() -> None:
    text = PLAIN.replace("-", "─").replace("|", "│")
    assert strokes(grid_of(text.encode("cp437"))[0]) == strokes(grid_of(PLAIN)[0])


def test_utf_8_encoded_twice() -> None:
    text = PLAIN.replace("-", "—").encode().decode("cp1252")
    assert strokes(grid_of(text.encode())[0]) == strokes(grid_of(PLAIN)[0])


def test_places_survive_quote_marks_and_markup() -> None:
    """Line and column are those of the typed file: the 5 of measure 3 on string 1."""
    for text in (PLAIN, DIALECTS["double mail quotes"](PLAIN), "<pre>" + PLAIN + "</pre>"):
        found, _ = grid_of(text)
        stroke = next(s for c in found.measures[2].columns for s in c.strokes if s.string == 1)
        line = text.split("\n")[stroke.place.line - 1]
        assert line[stroke.place.column - 1] == "5"


def test_places_survive_wrapped_lines() -> None:
    text = wrapped(PLAIN)
    for measure in grid_of(text)[0].measures:
        for column in measure.columns:
            for stroke in column.strokes:
                line = text.split("\n")[stroke.place.line - 1]
                assert line[stroke.place.column - 1] == str(stroke.fret)


def test_a_row_left_out_is_found_by_the_labels() -> None:
    """String 4 is silent in the second system, and its row is not typed."""
    head, system = PLAIN.rsplit("\n\n", 1)
    rows = [row for row in system.split("\n") if "D|---------------" not in row]
    found, problems = grid_of(head + "\n\n" + "\n".join(rows))
    assert len(rows) == 5  # four rows and the end of the file
    assert strokes(found) == strokes(grid_of(PLAIN)[0])
    assert "row-left-out" in codes(problems)


def test_upside_down_without_labels_is_found_by_the_notes() -> None:
    turned = DIALECTS["no labels"](upside_down(PLAIN))
    found, problems = grid_of(turned)
    assert strokes(found) == strokes(grid_of(PLAIN)[0])
    assert "upside-down" in codes(problems)


def test_a_measure_broken_by_the_line_is_put_together() -> None:
    """Three measures typed over two systems, the middle one in two pieces."""
    cells = {
        "D": ("-----0-------0---", "-----2-------2---", "-----5-------5---"),
        "B": ("---0-------1-----", "---0-------1-----", "---3-------3-----"),
        "G": ("-0-------2-----0-", "-0-------2-------", "-4-------4-----0-"),
        "d": ("-----------------",) * 3,
        "g": ("-------0-------0-",) * 3,
    }
    head = "Title: Two Quays\nTuning: open G\nTime: 4/4\n\n"
    whole = head + "".join(f"|{'|'.join(c)}|\n" for c in cells.values())
    first = "".join(f"|{a}|{b[:9]}\n" for a, b, _ in cells.values())
    second = "".join(f"{b[9:]}|{c}|\n" for _, b, c in cells.values())
    found, problems = grid_of(head + first + "\n" + second)
    assert strokes(found) == strokes(grid_of(whole)[0])
    assert "broken-measure" in codes(problems)


def test_several_tunes_by_titles_without_a_keyword() -> None:
    second = PLAIN.replace("Title: Gull Street", "Otter Weir")
    first = PLAIN.replace("Title: Gull Street", "Gull Street")
    problems = ProblemList()
    tunes = read_grid(first + "\n" + second, FIVE_STRING_BANJO, problems)
    titles = [h.text for t in tunes for h in t.headings if h.key == "title"]
    assert titles == ["Gull Street", "Otter Weir"]
    assert [len(t.measures) for t in tunes] == [4, 4]


def test_a_legend_changes_what_a_sign_means() -> None:
    text = PLAIN.replace("2h4", "2^4") + "\n^ = hammer-on, x = dead string\n"
    found, problems = grid_of(text)
    assert strokes(found) == strokes(grid_of(PLAIN)[0])
    assert "legend" in codes(problems)


@pytest.mark.parametrize("gap", ["", "        "])
def test_a_legend_right_under_a_system_is_not_sung(gap: str) -> None:
    """It is kept as text, so that whoever reads the MusicXML finds it again."""
    text = PLAIN.rstrip().replace("2h4", "2*4") + f"\n{gap}* = muted\n"
    found, problems = grid_of(text)
    assert "legend" in codes(problems)
    assert [n.text for n in found.notes][-1:] == ["* = muted"]
    assert not any(a.kind is LineKind.LYRICS for m in found.measures for a in m.attachments)


def test_brackets_mean_what_the_legend_says() -> None:
    text = PLAIN.replace("-2h4-----|", "-(2)-----|")
    ghost = [s for c in grid_of(text)[0].measures[1].columns for s in c.strokes if s.fret == 2]
    assert ghost[1].ghost
    assert not ghost[1].let_ring
    text += "\n(2) = let ring\n"
    ring = [s for c in grid_of(text)[0].measures[1].columns for s in c.strokes if s.fret == 2]
    assert ring[1].let_ring
    assert not ring[1].ghost


@pytest.mark.parametrize("named", ["(round ones)", "round ones", "( )", "parentheses", "these ()"])
@pytest.mark.parametrize("gap", [" ", " the note\nbefore, which is "])
def test_brackets_mean_what_a_sentence_says(named: str, gap: str) -> None:
    said = f"A number in {named} is{gap}tied over."
    text = PLAIN.replace("-2h4-----|", "-2-(2)---|") + f"\n{said}\n"
    found = [s for c in grid_of(text)[0].measures[1].columns for s in c.strokes if s.fret == 2]
    assert Link.TIE in {s.link for s in found}


def test_two_digits_are_one_fret_in_common_typing() -> None:
    """Common practice: with dashes between the notes of a row, 12 is fret twelve."""
    text = PLAIN.replace("D|-----5-------5---|", "D|-----12------12--|")
    found, problems = grid_of(text)
    assert [s.fret for c in found.measures[2].columns for s in c.strokes if s.string == 1] == [
        12
    ] * 2
    assert not {"two-notes", "close-call"} & codes(problems)


DENSE = """\
Title: Reed Pier
Tuning: open G
Time: 2/4

D|--0---2-|--0---2-|--0---2-|
B|-0---1--|-0---1--|-0---1--|
G|0-00-2-0|0-00{}-0|0-00-2-0|
D|-------0|-------0|-------0|
g|---0----|---0----|---0----|
"""


UP_THE_NECK = """\
Title: Reed Pier
Tuning: open G

D|---2---2|---3---3|-----14-----14|
B|-1---1--|-1---1--|--13-----13---|
G|0---0---|2---2---|12-----12-----|
D|--------|--------|--------------|
g|--0---0-|--0---0-|----0------0--|
"""


def test_a_measure_of_frets_up_the_neck_has_no_lower_ones() -> None:
    """Common practice: where all stopped notes have two digits, each is one fret."""
    found, problems = grid_of(UP_THE_NECK)
    frets = [s.fret for c in found.measures[2].columns for s in c.strokes]
    assert sorted(frets) == sorted([12, 13, 0, 14] * 2)
    assert "two-notes" not in codes(problems)


def test_two_digits_may_be_two_notes_where_notes_stand_in_neighbouring_columns() -> None:
    """The hand is at frets 0 to 2, out of reach of fret 12."""
    found, problems = grid_of(DENSE.format("12"))
    frets = [s.fret for c in found.measures[1].columns for s in c.strokes if s.string == 3]
    assert frets == [0, 0, 0, 1, 2, 0]
    assert "two-notes" in codes(problems)


def test_play_twice_becomes_a_repeat() -> None:
    found, problems = grid_of(PLAIN + "\nPlay 2 times\n")
    assert found.measures[-1].right.value == "repeat end"
    assert "times" in codes(problems)


def test_a_part_again_adds_its_measures() -> None:
    head, one, two = PLAIN.split("\n\n")
    text = f"{head}\n\nA part\n{one}\n\nB part\n{two}\nA part again\n"
    found, problems = grid_of(text)
    plain = strokes(grid_of(PLAIN)[0])
    assert strokes(found) == plain + plain[:2]
    assert "again" in codes(problems)


def test_da_capo_and_fine() -> None:
    head, one, two = PLAIN.split("\n\n")
    found, _ = grid_of(f"{head}\n\n{one}\nFine\n\n{two}\nD.C. al Fine\n")
    assert [m.fine for m in found.measures] == [False, True, False, False]
    assert [m.jump for m in found.measures] == [None, None, None, "D.C. al Fine"]


def test_the_subject_of_a_mail_is_the_title_where_no_other_is() -> None:
    text = PLAIN.replace("Title: Gull Street\n", "")
    head = "Date: Mon, 4 May 1998\nFrom: mara@larkspur.example\nSubject: [banjo] Gull Street\n\n"
    found, _ = grid_of(head + "Here it is.\n\n" + text)
    assert [h.text for h in found.headings if h.key == "title"] == ["Gull Street"]
    assert [n.text for n in found.notes] == ["Here it is."]


def test_places_survive_the_coding_of_mail() -> None:
    """Every fret is at the line and column where it was typed, in lines that mail had cut."""
    for name in ("long lines cut by mail", "dashes coded by mail"):
        text = DIALECTS[name](PLAIN)
        for measure in grid_of(text)[0].measures:
            for column in measure.columns:
                for stroke in column.strokes:
                    line = text.split("\n")[stroke.place.line - 1]
                    assert line[stroke.place.column - 1] == str(stroke.fret)


def test_rows_of_equals_signs_are_not_taken_for_coding() -> None:
    text = on_bodies("-", "=")(PLAIN) + "\nkey=20\n"
    assert strokes(grid_of(text)[0]) == strokes(grid_of(PLAIN)[0])
