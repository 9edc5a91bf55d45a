"""What a sentence says of the top line, also where it goes on in the next line.

Common practice, no source.
"""

from __future__ import annotations

import pytest

import rollstave

ROWS = ("-0---2---", "---------", "-----2---", "---------", "---0-----")


@pytest.mark.parametrize(
    ("words", "first"),
    [
        ("The top line is the\nfirst string and the bottom line the fifth.", 1),
        ("The top line is\nthe first string.", 1),
        ("Top row is the first string, the bottom row the short fifth.", 1),
        ("The lines from top to bottom are the first string down to\nthe fifth.", 1),
        ("The lines from bottom to top are the first string to the fifth.", 5),
        ("The bottom line is the first string and the top line the fifth.", 5),
        ("The lines from top to bottom are the fifth string to the first.", 5),
    ],
)
def test_words_on_the_lines(words: str, first: int) -> None:
    rows = ROWS if first == 1 else ROWS[::-1]
    text = f"Title: The Otter\nTuning: gDGBD\n{words}\n\n" + "".join(f"|{r}|\n" for r in rows)
    (tune,) = rollstave.read(text)
    assert any(p.code == "upside-down" for p in tune.problems) == (first == 5)
    struck = [[(n.string, n.fret) for n in e.notes] for e in tune.score.measures[0].events]
    assert struck[0] == [(1, 0)]
    assert struck[1] == [(5, 0)]
