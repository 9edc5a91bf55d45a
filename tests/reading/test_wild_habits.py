"""More of what people really typed, each habit beside the plain tab that it stands for.

The habits are common practice of mail, web pages and word processors, no source. What they mean is
given by how they are made here.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction

import pytest

import rollstave
from rollstave.deciding.playback import play_order
from rollstave.grid.typed import Link
from rollstave.score.records import Note
from tests.reading.test_wild import PLAIN, ROW, on_bodies, on_rows


def score_of(text: str) -> rollstave.Score:
    (tune,) = rollstave.read(text)
    return tune.score


def struck(score: rollstave.Score) -> list[list[tuple[Fraction, int, int | None, Link | None]]]:
    return [
        [(e.onset, n.string, n.fret, n.link) for e in m.events for n in e.notes]
        for m in score.measures
    ]


def systems(text: str) -> tuple[str, list[list[str]]]:
    head, *typed = text.strip("\n").split("\n\n")
    return head, [block.split("\n") for block in typed]


def broken_with_labels(text: str) -> str:
    """Each system in two pieces at column 30; the second has its labels and a bar after them."""
    head, blocks = systems(text)
    pieces = []
    for rows in blocks:
        pieces.append("\n".join(row[:30] for row in rows))
        pieces.append("\n".join(f"{row[0]}|{row[30:]}" for row in rows))
    return "\n\n".join([head, *pieces]) + "\n"


def numbered_rows(form: str) -> Callable[[str], str]:
    def change(text: str) -> str:
        head, blocks = systems(text)
        rows = [[form.format(n) + row for n, row in enumerate(b, 1)] for b in blocks]
        return "\n\n".join([head, *("\n".join(b) for b in rows)]) + "\n"

    return change


def on_fifth(old: str, new: str) -> Callable[[str], str]:
    return on_rows(lambda row: row.replace(old, new) if row[0] == "g" else row)


HABITS: dict[str, Callable[[str], str]] = {
    "a dash between label and bar": on_rows(lambda row: row[0] + "-" + row[1:]),
    "two dashes between label and bar": on_rows(lambda row: row[0] + "--" + row[1:]),
    "initials before quoted lines": lambda t: re.sub("^", "MQ> ", t, flags=re.MULTILINE),
    "colons before quoted lines": lambda t: re.sub("^", ": ", t, flags=re.MULTILINE),
    "numbers and dashes before rows": numbered_rows("{}- "),
    "bars as character references, no tag": on_rows(lambda row: row.replace("|", "&#124;")),
    "dashes as character references, no tag": on_rows(lambda row: row.replace("-", "&mdash;")),
    "rows end at their last note": on_rows(lambda row: row[:-1].rstrip("-")),
    "systems broken with labels": broken_with_labels,
    "rows of tildes": on_bodies("-", "~"),
    "rows of middle dots": on_bodies("-", "·"),
    "the fifth string in equals signs": on_fifth("-", "="),
}


@pytest.mark.parametrize("name", HABITS)
def test_a_habit_reads_as_the_plain_tab(name: str) -> None:
    text = HABITS[name](PLAIN)
    (tune,) = rollstave.read(text)
    assert struck(tune.score) == struck(score_of(PLAIN))
    assert not [p for p in tune.problems if p.severity is not rollstave.Severity.NOTICE]


def test_lines_with_initials_lose_them_and_an_answer_between_stays() -> None:
    text = re.sub("^", "MQ> ", PLAIN, flags=re.MULTILINE)
    text = text.replace("MQ> Time: 4/4\n", "MQ> Time: 4/4\nThanks for this one!\n")
    score = score_of(text)
    assert score.title == "Gull Street"
    assert score.notes == ("Thanks for this one!",)


# Tempo ---------------------------------------------------------------------------------------

# Quarter notes a minute in 6/8, whose beat is a dotted quarter: by arithmetic.
TEMPOS = {
    "=96": 144,
    "= 96": 144,
    "tempo=96": 144,
    "M.M. 96": 144,
    "MM=96": 144,
    "~96 bpm": 144,
    "Tempo ca. 96": 144,
    "q=96": 96,
    "1/4=96": 96,
    "♩ = 96": 96,
    "q. = 96": 144,
    "e=180": 90,
    "Tempo: half note = 60": 120,
    "dotted quarter note = 80": 120,
    "M.M. dotted quarter = 70": 105,
    "Lively (♩=112)": 112,
}


@pytest.mark.parametrize("typed", TEMPOS)
def test_a_tempo_in_many_habits(typed: str) -> None:
    """``=96`` and ``q=96`` are no codes of mail either (``=96`` is a dash in Windows' own set)."""
    (tune,) = rollstave.read(PLAIN.replace("Time: 4/4", f"Time: 6/8\n{typed}"))
    assert tune.score.tempo == TEMPOS[typed]
    assert not [p for p in tune.problems if p.code in ("tempo", "mail-coding", "heading-twice")]


def test_a_coded_blank_alone_is_an_empty_line_and_that_is_said() -> None:
    text = PLAIN.replace("Time: 4/4\n", "Time: 4/4\n=20\n")
    (tune,) = rollstave.read(text)
    assert tune.score.tempo is None
    assert not tune.score.notes
    (said,) = [p for p in tune.problems if p.code == "mail-coding"]
    assert said.place == rollstave.Place(4, 1)


def test_a_second_tempo_is_pointed_at() -> None:
    text = PLAIN.replace("Time: 4/4\n", "Time: 4/4\n=120\nKey of G\n=20\n")
    (tune,) = rollstave.read(text)
    assert tune.score.tempo == 120
    assert [p.place.line for p in tune.problems if p.code == "heading-twice" and p.place] == [6]


# Signs ---------------------------------------------------------------------------------------


def notes_of(row: str, words: str = "") -> list[Note]:
    rows = "\n".join(f"{s}|{row if s == 'G' else '-' * len(row)}|" for s in "DBGDg")
    score = score_of(f"Title: Gull Street\nTuning: open G\nTime: 4/4\n{words}\n{rows}\n")
    return [n for m in score.measures for e in m.events for n in e.notes]


def test_a_bend_and_its_release_in_two_letters() -> None:
    first, second = notes_of("-7br7----------------")
    assert (first.fret, first.bend) == (7, 2)
    assert (second.fret, second.link) == (7, Link.TIE)


def test_a_brush_before_its_note_is_still_one() -> None:
    """``br`` not between two frets is the sign of a brush."""
    first, second = notes_of("-7-----br5-----------")
    assert (first.bend, second.bend, second.link) == (None, None, None)


def test_a_star_is_what_the_legend_says() -> None:
    assert notes_of("-2*------------------")[0].harmonic
    (note,) = notes_of("-2*------------------", "* = choke\n")
    assert (note.harmonic, note.bend) == (False, 2)


def test_a_legend_in_one_line_without_equals_signs() -> None:
    words = "Key to signs: ^ slide up, v pull-off, (x) ghost note\n"
    notes = notes_of("-2^4-----4v2-------", words)
    assert [n.link for n in notes] == [None, Link.SLIDE, None, Link.PULL_OFF]


# Tunes, sections, words ------------------------------------------------------------------------


def blocks(text: str) -> tuple[str, str, str]:
    head, one, two = text.split("\n\n")
    return head, one, two


def test_titles_in_capitals_begin_tunes() -> None:
    _, one, two = blocks(PLAIN)
    text = f"GULL STREET\n\nA:\n{one}\n\nB:\n{two}\n\nOTTER WEIR\n\nPart A\n{one}\n\nPart B\n{two}"
    tunes = rollstave.read(text)
    assert [t.score.title for t in tunes] == ["GULL STREET", "OTTER WEIR"]
    sections = [[m.section for m in t.score.measures if m.section] for t in tunes]
    assert sections == [["A", "B"], ["Part A", "Part B"]]


def test_the_name_of_a_verse_stays_with_its_words() -> None:
    head, one, two = blocks(PLAIN)
    words = "Verse 1:\nThe gulls they fly along the street\n\nVerse 2:\nThe ferry leaves at nine\n"
    score = score_of(f"{head}\n\n{one}\n\n{words}\n{two}")
    assert score.notes == tuple(line for line in words.split("\n") if line)
    assert not any(m.section for m in score.measures)


def test_a_section_without_measures_is_kept_as_words() -> None:
    head, one, two = blocks(PLAIN)
    score = score_of(f"{head}\n\n[Intro]\n\nA part\n{one}\n\nB part\n{two}")
    assert [m.section for m in score.measures if m.section] == ["A part", "B part"]
    assert score.notes == ("[Intro]",)


@pytest.mark.parametrize(
    "name", ["A (play twice)", "A part x2", "A part (x2)", "Part A 2x", "A twice", "A: (2 times)"]
)
def test_a_section_that_says_how_often_it_is_played(name: str) -> None:
    head, one, two = blocks(PLAIN)
    score = score_of(f"{head}\n\n{name}\n{one}\n\nB\n{two}")
    assert play_order(score.measures) == (0, 1, 0, 1, 2, 3)
    assert score.measures[0].section in ("A", "A part", "Part A")


@pytest.mark.parametrize("words", ["Repeat", "(repeat)", "repeat this part"])
def test_a_part_that_is_repeated_in_a_word(words: str) -> None:
    head, one, two = blocks(PLAIN)
    score = score_of(f"{head}\n\nA part\n{one}\n{words}\n\nB part\n{two}")
    assert play_order(score.measures) == (0, 1, 0, 1, 2, 3)


@pytest.mark.parametrize("words", ["then back to A", "Go back to A", "and repeat A"])
def test_back_to_a_part(words: str) -> None:
    head, one, two = blocks(PLAIN)
    score = score_of(f"{head}\n\nA part\n{one}\n\nB part\n{two}\n{words}")
    assert struck(score)[4:] == struck(score)[:2]


@pytest.mark.parametrize("words", ["Form: AABA", "ABAB", "AABBCC"])
def test_the_order_of_parts_is_kept_and_pointed_at(words: str) -> None:
    head, one, two = blocks(PLAIN)
    (tune,) = rollstave.read(f"{head}\n{words}\n\nA part\n{one}\n\nB part\n{two}")
    assert words in tune.score.notes
    (said,) = [p for p in tune.problems if p.code == "order"]
    assert said.place is not None
    assert said.place.line == len(head.split("\n")) + 1


@pytest.mark.parametrize("words", ["ADAD", "A", "AAA", "AACC", "CABB", "ABC"])
def test_other_letters_are_no_order_of_parts(words: str) -> None:
    head, one, two = blocks(PLAIN)
    (tune,) = rollstave.read(f"{head}\n{words}\n\nA part\n{one}\n\nB part\n{two}")
    assert not [p for p in tune.problems if p.code == "order"]


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("DCGDg", "gDGCD"), ("D C G D g", "gDGCD"), ("DBGDG", "gDGBD"), ("gEADE", "gEADE")],
)
def test_a_tuning_typed_from_string_1_on(typed: str, meant: str) -> None:
    """A small letter stands for the short string wherever it is; DBGDG is no tuning, and the other
    way round it is open G."""
    text = ROW.sub(lambda m: m[0][1:], PLAIN).replace("open G", typed)
    (tune,) = rollstave.read(text)
    assert tune.score.setup.tuning.written == meant
    (found,) = [f for f in tune.findings if f.subject == "tuning"]
    assert ("from string 1" in found.reason) == (typed != meant)
