"""Titles with words around them, and facts behind one. Common practice, no source."""

from __future__ import annotations

import pytest

import rollstave

ROWS = """

D|--0---0-|--0---0-|
B|0-------|0-------|
G|----0---|----2---|
D|--------|--------|
g|---0---0|---0---0|
"""


def _score(head: str) -> rollstave.Score:
    (tune,) = rollstave.read(head + ROWS)
    return tune.score


@pytest.mark.parametrize(
    ("line", "title"),
    [
        ("Tune: Alder Evening. GDAD. Three beats to the bar.", "Alder Evening"),
        ("~*~ Pan on the Sill ~*~  for banjo, 4/4", "Pan on the Sill"),
        ("Sheet for: Candle Dance", "Candle Dance"),
        ("Name of piece: Ten Dry Coats", "Ten Dry Coats"),
        ("Title of the tune: Ten Dry Coats", "Ten Dry Coats"),
        ("JIG: Plums for the Reeve", "Plums for the Reeve"),
        ('Thumb work for the evening class, handout F: "Frost on the Weir"', "Frost on the Weir"),
        ("Widow Pell's Air. Copied in the kitchen by lamplight, gDGBD.", "Widow Pell's Air"),
        ("The Cooper's Lantern, jig for banjo (open G), 6/8", "The Cooper's Lantern"),
        ("PAN ON THE SHELF  /  double C gCGCD  /  4/4", "PAN ON THE SHELF"),
        (
            "Sister Una's Harbour Light  -  notebook 5, page 71, written down from the second tape",
            "Sister Una's Harbour Light",
        ),
        ("Tune: Alder Morning. gDGBD. Three beats to the bar.", "Alder Morning"),
        # Names that only look as if they said more.
        ("Mr. Pell's Waltz", "Mr. Pell's Waltz"),
        ("Fly Away, Little Wren", "Fly Away, Little Wren"),
        ("Title: Away. Farewell", "Away. Farewell"),
    ],
)
def test_the_name_without_the_words_around_it(line: str, title: str) -> None:
    assert _score(line).title == title


def test_facts_behind_a_named_title_are_taken() -> None:
    score = _score("Tune: Alder Morning. gCGCD. Three beats to the bar.")
    assert (score.setup.tuning.written, str(score.meter)) == ("gCGCD", "3/4")


def test_words_before_a_title_are_kept() -> None:
    assert "JIG" in _score("JIG: Plums for the Reeve").notes
