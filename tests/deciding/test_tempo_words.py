"""Tempos that name their note value in words. By arithmetic: a half note lasts two quarters."""

from __future__ import annotations

from fractions import Fraction

import pytest

import rollstave
from rollstave.deciding.tempo import parse_tempo

ROWS = "\n".join(f"{label}|-0---7---|" for label in "DBGDg")


@pytest.mark.parametrize(
    ("words", "quarters"),
    [
        ("80 half notes a minute", 160),
        ("half note 60", 120),
        ("quarter notes 90", 90),
        ("dotted quarter = 96", 144),
        ("96", 96),
    ],
)
def test_a_note_value_in_words(words: str, quarters: int) -> None:
    assert parse_tempo(words, None) == Fraction(quarters)


def test_a_sentence_names_a_tempo() -> None:
    text = f"Ferry Bell\n\nGo easy, about 80 half notes a minute.\nTime: 2/2\n\n{ROWS}\n"
    (tune,) = rollstave.read(text)
    assert tune.score.tempo == 160
