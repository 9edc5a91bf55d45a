"""Frets typed as letters, a for an open string.

Source: French lute tablature (from memory): a is open, b the first fret, and so on without j.
"""

from __future__ import annotations

import pytest

import rollstave

LETTERED = """The Cooper's Jig
Instrument: guitar
Time: 4/4

e|-a---c---d---c---|-a-------c-------|
B|---b---b---b---b-|---d---d---b---b-|
G|-----------------|-----a-------a---|
D|-----------------|-----------------|
A|-c-------c-------|-c-------d-------|
E|-----------------|-----------------|
"""
FIGURES = str.maketrans("abcdefghik", "0123456789")


def as_figures(text: str) -> str:
    """The same tab with figures, by hand: the label of a row is left as it is."""
    lines = text.splitlines()
    return "\n".join(
        line[:2] + line[2:].translate(FIGURES) if line[1:2] == "|" else line for line in lines
    )


def frets(text: str) -> list[list[tuple[int, int | None]]]:
    (tune,) = rollstave.read(text)
    return [[(n.string, n.fret) for e in m.events for n in e.notes] for m in tune.score.measures]


def test_letters_are_the_frets_that_figures_would_be() -> None:
    assert frets(LETTERED) == frets(as_figures(LETTERED))
    (tune,) = rollstave.read(LETTERED)
    said = [p for p in tune.problems if p.code == "letters-for-frets"]
    assert [(p.place.line, p.place.column) for p in said if p.place] == [(5, 4)]
    assert not [p for p in tune.problems if p.severity is not rollstave.Severity.NOTICE]


@pytest.mark.parametrize(("letter", "fret"), [("f", 5), ("i", 8), ("k", 9), ("l", 10), ("m", 11)])
def test_letters_up_the_neck(letter: str, fret: int) -> None:
    measures = frets(LETTERED.replace("-d---c---|-a", f"-{letter}---c---|-a"))
    assert (1, fret) in measures[0]
    assert len(measures[0]) == len(frets(LETTERED)[0])


def test_with_a_j_it_is_the_ninth() -> None:
    measures = frets(LETTERED.replace("-d---c---|-a", "-j---k---|-a"))
    assert [n for n in measures[0] if n[1] in (9, 10)] == [(1, 9), (1, 10)]


@pytest.mark.parametrize(
    "text",
    [
        LETTERED.replace("A|-c", "A|-3"),  # one figure: the letters are signs
        LETTERED.replace("a", "e").replace("Je", "Ja"),  # no open string
        LETTERED.replace("-d---c-", "-dh--c-"),  # letters that touch
        LETTERED.replace("c-------|\nB", "c------l|\nB"),  # no room for fret 10
    ],
)
def test_what_may_be_else_is_said_loudly(text: str) -> None:
    try:
        (tune,) = rollstave.read(text)
    except rollstave.TabError:
        return
    assert "letters-for-frets" not in {p.code for p in tune.problems}
    assert [p for p in tune.problems if p.severity is rollstave.Severity.WARNING]
