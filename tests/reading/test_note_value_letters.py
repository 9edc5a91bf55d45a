"""Letters of note values in the typist's own words, and those of rests in brackets.

Common practice, no source: whoever writes letters of note values puts that of a rest in brackets.
The lengths of note values are those of any handbook: two eighth notes are a quarter note.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

import rollstave

ROWS = """D|-0---0---0---|-0------0---|
B|-------------|------------|
G|-------------|---2--------|
D|-------------|------------|
g|-------------|------------|
"""
HEAD = "Title: Kettle Lane\nTuning: gDGBD\nTime: 3/4\n"


def onsets(text: str) -> list[list[Fraction]]:
    tune = rollstave.read(text)[0]
    return [[e.onset for e in m.events if e.notes] for m in tune.score.measures]


@pytest.mark.parametrize("silent", ["(q)", "[q]", "(Q)"])
def test_a_letter_in_brackets_is_a_rest(silent: str) -> None:
    """A rest between two letters moves what follows by as much, wherever the letters stand."""
    rows = (
        "D|-0---0-------|-0------0---|\nB|-------------|------------|\n"
        "G|-------------|---2--------|\nD|-------------|------------|\n"
        "g|-------------|------------|\n"
    )
    read = onsets(f"{HEAD}\n{rows}   q {silent} q         e  e  h\n")
    assert read == [[0, 2], [0, Fraction(1, 2), 1]]


def test_a_note_before_a_rest_ends_there() -> None:
    tune = rollstave.read(
        f"{HEAD}\nD|-0-------0---|\nB|-------------|\nG|-------------|\n"
        "D|-------------|\ng|-------------|\n   q  (q) q\n"
    )[0]
    events = tune.score.measures[0].events
    assert [(e.onset, e.duration, bool(e.notes)) for e in events] == [
        (0, 1, True),
        (1, 1, False),
        (2, 1, True),
    ]


@pytest.mark.parametrize(
    ("legend", "letters"),
    [
        ("o = eighth   c = quarter   p = half", "   c   c   c     o  o    p"),
        ("v: Viertel, a: Achtel, l: Halbe", "   v   v   v     a  a    l"),
        ("n is a quarter\nc is an eighth\nb is a half", "   n   n   n     c  c    b"),
    ],
)
def test_the_tabs_own_letters_of_note_values(legend: str, letters: str) -> None:
    text = f"{HEAD}{legend}\n\n{ROWS}{letters}\n"
    assert onsets(text) == [[0, 1, 2], [0, Fraction(1, 2), 1]]
    said = [p for t in rollstave.read(text) for p in t.problems if p.code == "legend"]
    assert [p.place.line for p in said if p.place] == [4]


def test_a_letter_of_its_own_for_a_dot() -> None:
    rows = (
        "D|-0---0-------|-0------0---|\nB|-------------|------------|\n"
        "G|---------2---|------------|\nD|-------------|------------|\n"
        "g|-------------|------------|\n"
    )
    legend = "h half  q quarter  e eighth,  d behind it = dotted."
    read = onsets(f"{HEAD}{legend}\n\n  qd  e   q     q      h\n{rows}")
    assert read == [[0, Fraction(3, 2), 2], [0, 1]]


def test_words_of_a_sentence_are_no_legend_of_note_values() -> None:
    """``a quarter to three`` and one letter more leave the letters under rows as they are."""
    text = f"{HEAD}We met at a quarter to three; T is thumb.\n\n{ROWS}   T   T   T     T  T    T\n"
    score = rollstave.read(text)[0].score
    assert not [p for p in rollstave.read(text)[0].problems if p.code == "legend"]
    assert {n.finger for m in score.measures for e in m.events for n in e.notes if n.finger}
