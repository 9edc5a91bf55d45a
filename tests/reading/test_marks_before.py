"""Where a note stands that has a mark before its digits: at the mark, where the columns say so.

The rows are typed by hand, a token to each eighth note, so that what each says is known.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

import rollstave

HEAD = "Title: Quay Stones\nTuning: gDGBD\nTime: 4/4\n\n"
NAMES = "DBGDg"


def typed(tokens: list[tuple[int, str]], width: int) -> str:
    """A measure of tokens (string, what is typed), each followed by a dash, on rows that are kept
    equally long: what is wide pushes what comes after it. An empty token is a time held on."""
    rows = ["-"] * 5
    for string, token in tokens:
        for index in range(5):
            own = token if index + 1 == string else ""
            rows[index] += own.ljust(max(len(token), 1) + width, "-")
    return HEAD + "\n".join(f"{n}|{row}|" for n, row in zip(NAMES, rows, strict=True)) + "\n"


def onsets(text: str) -> list[Fraction]:
    (tune,) = rollstave.read(text)
    return [event.onset for event in tune.score.measures[0].events]


@pytest.mark.parametrize(
    "tokens",
    [
        [(1, "12"), (1, ""), (3, "12"), (1, ""), (1, "<12>"), (1, ""), (2, "<12>"), (1, "")],
        [
            (1, "(17)"),
            (2, "(15)"),
            (1, "17"),
            (2, "17"),
            (1, "15"),
            (2, "15"),
            (3, "14"),
            (3, "12"),
        ],
        [(1, "12"), (2, "t14"), (1, "12"), (2, "10"), (1, "t15"), (2, "10"), (1, "12"), (3, "9")],
    ],
)
def test_wide_frets_in_a_row(tokens: list[tuple[int, str]]) -> None:
    """Everything is an eighth note from what comes next, so its onset is its place in the list."""
    expected = [Fraction(n, 2) for n, (_, token) in enumerate(tokens) if token]
    assert onsets(typed(tokens, width=1)) == expected


def test_letter_of_a_tap_is_where_it_stands() -> None:
    text = HEAD + (
        "D|-3-----7-----t12-|\nB|-----3-----3-----|\nG|-----------------|\n"
        "D|---------4-------|\ng|---0-------0-----|\n"
    )
    assert onsets(text) == [Fraction(n, 2) for n in range(7)]


def test_digits_in_the_columns_stay() -> None:
    """Brackets before digits that stand in the columns of the others push nothing."""
    text = HEAD + (
        "D|-------2------(2)|\nB|---0-------0-----|\nG|-0---------------|\n"
        "D|---------4-------|\ng|-----0-------0---|\n"
    )
    assert onsets(text) == [Fraction(n, 2) for n in range(8)]
