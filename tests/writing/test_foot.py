"""The typist's words under the music: sentences run on, lines that stand alone stay alone."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import rollstave
from rollstave.writing.sheet.foot import paragraphs
from tests import sheets, tunes

SAMPLES = Path(__file__).parents[2] / "samples"


def test_sentences_are_joined_and_headed_by_their_section() -> None:
    (tune,) = rollstave.read(SAMPLES / "nettle-hill.txt")
    assert paragraphs(tune.score) == [
        "Sing it once before you play it.",
        "Up the neck: The thumb frets the short string at 7, counted along the long neck, and once "
        "at 10. This strain is ten measures long, not eight. Count it.",
    ]


def test_a_legend_of_signs_that_the_sheet_draws_otherwise_is_not_printed() -> None:
    # The sheet draws notes that ring on with an arc; brackets on it are something else.
    tab = """Title: Reed Pier
Tuning: gDGBD
Time: 2/4

{line}
Let it breathe.

D|-0---(2)---|
B|-----------|
G|---0-----0-|
D|-----------|
g|-----------|
"""
    for line, printed in (
        ("(2) = let ring", False),
        ("(2) = ghost note", False),  # on the sheet it has square brackets
        ("h = hammer-on, (2) = let ring", True),  # says more, so it stays
        ("Notes in parentheses are hardly played at all.", False),
        ("Frets in round brackets mean let it ring", False),
        ("Notes in parentheses are for the second player.", True),
    ):
        (tune,) = rollstave.read(tab.format(line=line))
        assert (line in paragraphs(tune.score)) == printed, line
        assert "Let it breathe." in " ".join(paragraphs(tune.score))


def test_what_else_a_line_says_of_brackets_stays() -> None:
    text = (
        "Title: Reed Pier\nTuning: gDGBD\nTime: 2/4\n\n"
        "Play it softly. Notes in parentheses are hardly played at all. Let it breathe.\n\n"
        "D|-0---(2)---|\nB|-----------|\nG|---0-----0-|\nD|-----------|\ng|-----------|\n"
    )
    (tune,) = rollstave.read(text)
    assert paragraphs(tune.score) == ["Play it softly. Let it breathe."]


def _remarks(case: str) -> str:
    """What stands in italics at the foot, in one line."""
    texts = (
        text
        for root in sheets.roots(case)
        for group in root.iter("{http://www.w3.org/2000/svg}g")
        if group.get("class") == "remarks"
        for text in group.itertext()
    )
    return " ".join(" ".join(texts).split())


@pytest.mark.parametrize("case", [p.stem for p in tunes.STRESS])
def test_the_foot_tells_only_measures_in_which_the_letter_is_typed(case: str) -> None:
    """A player looks for the letter there; what is typed over a measure is printed over it."""
    words = _remarks(case)
    found = re.findall(r"under the (\S+) of m\. ([\d–, and]+)", words)
    typed = {(c.text, m.number) for m in tunes.case(case).measures for c in m.chords}
    for name, numbers in found:
        for first, last in re.findall(r"(\d+)(?:–(\d+))?", numbers):
            for number in range(int(first), int(last or first) + 1):
                assert (name.replace("♯", "#").replace("♭", "b"), number) in typed, words


def test_letters_without_a_shape_are_told_by_their_measures_few_or_many() -> None:
    """Thornhedge Corner strikes B in another place in measures 5 to 7, under the letter of 4."""
    assert _remarks("five-sharps").endswith(
        "No shape goes with all that is played under E and F♯7, and under the B of m. 1, "
        "and under the B of m. 4 later on."  # in m. 4 itself the shape of the row is held
    )
    assert re.search(
        r"under the G of m\. [\d, ]+ and \d+ later on, and under the C of m\.",
        _remarks("sixty-four"),
    )
