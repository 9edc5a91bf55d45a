"""Values that are set aside. WHO MENDS THE READER MUST NOT READ THIS MODULE.

Its texts are only reported on, as totals.

Words: letters, lessons, remarks, words to sing."""

from __future__ import annotations

from tests.benchmarks.grammar.choices import Table

VALUES = Table()

# Lines before the tab.
VALUES.row(
    "prose before",
    "a greeting",
    ("Hi Maud,", "", "Here is the tune I promised you. The left hand hardly moves."),
    weight=0.7,
)
VALUES.row(
    "prose before",
    "a numbered lesson",
    ("Lesson 4", "", "1. Hum it before you play it.", "2. Then play it as slowly as you can bear."),
    weight=0.4,
)
VALUES.row(
    "prose before",
    "a memory",
    (
        "Old Wick Tansley played this at the landing when I was a girl, and he never",
        "played it the same way twice. I have typed what I remember of it.",
    ),
    weight=0.5,
)

VALUES.row(
    "prose before",
    "a story with numbers",
    ("I learned it in 1974, in 4 weeks, from 2 sisters who kept the toll on the old bridge.",),
    weight=0.3,
)

VALUES.row("prose after", "the end", ("THE END",), weight=0.2)

VALUES.row("remark between systems", "note well", "N.B. do not hurry the next line", weight=0.4)

VALUES.row("remark at a row's end", "with an arrow", "  <- slowly", weight=0.5)
VALUES.row("remark at a row's end", "in brackets", "  (hold the shape)", weight=0.5)

VALUES.row("remark under a measure", "in brackets", "(lean on it)", weight=0.5)

VALUES.row(
    "words to sing",
    "a word a measure",
    ("over", "the", "water", "and", "home", "again"),
    weight=0.5,
)

VALUES.row("remark between rows", "a caret", "      ^ ring finger", weight=0.2)
