"""What does not fit is said at its line. The texts are invented."""

from __future__ import annotations

import pytest

import rollstave

ROWS = """\
D|----0-------0---|----2-------2---|
B|--0-------0-----|--1-------1-----|
G|0-------0-------|0-------2-------|
D|----------------|----------------|
g|------0-------0-|------0-------0-|
"""
HEAD = "Ferry Bell\nTuning: gDGBD\nTime: 4/4\n\n"


def _warnings(text: str) -> list[tuple[str, int]]:
    (tune,) = rollstave.read(HEAD + text)
    return [
        (p.code, p.place.line if p.place else 0)
        for p in tune.problems
        if p.severity is rollstave.Severity.WARNING
    ]


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ("| G | C | D |", "stray"),  # three measures where there are two
        ("1  2  3", "stray"),
        ("G  C", "stray"),
    ],
)
def test_words_that_look_like_more_are_doubted(words: str, code: str) -> None:
    assert _warnings(f"{words}\n\nA word or two.\n\n{ROWS}") == [(code, 5)]


@pytest.mark.parametrize(
    "words", ["Play it softly, please.", "AABB", "The thumb keeps to its strings.", "(1962)"]
)
def test_words_are_words(words: str) -> None:
    assert _warnings(f"{words}\n\n{ROWS}") == []
