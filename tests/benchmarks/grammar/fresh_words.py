"""Values that are set aside afresh. WHO MENDS THE READER MUST NOT READ THIS MODULE.

Its texts are only reported on, as totals.

Words: letters, lessons, remarks, words to sing."""

from __future__ import annotations

from tests.benchmarks.grammar.choices import Table

VALUES = Table()

# Lines before the tab.
VALUES.row(
    "prose before",
    "what is needed",
    ("You will need:", "a quiet room, a cup of tea, half an hour"),
    weight=0.4,
)
VALUES.row(
    "prose before",
    "a date and a pupil",
    ("Tuesday 9 October, for Tibby (lesson 7)",),
    weight=0.5,
)
VALUES.row(
    "prose before",
    "a right of copy",
    ("(c) 1998 Larkspur Ferry School of Music. Copy it for your friends.",),
    weight=0.3,
)
VALUES.row(
    "prose before",
    "small letters in a hurry",
    ("ok so this is the one from last night, sorry it took so long",),
    weight=0.5,
)
VALUES.row(
    "prose before",
    "capitals",
    ("PLEASE PRACTISE THIS ONE WITH THE TAPE BEFORE NEXT WEEK!",),
    weight=0.3,
)
VALUES.row(
    "prose before",
    "where it was copied",
    ("Copied from my green notebook, page 14 - the ink had run, so forgive the odd wrong note.",),
    weight=0.4,
)
VALUES.row(
    "prose before",
    "on the fingers",
    (
        "Left hand: index on the second fret, ring on the fourth, and the little finger rests.",
        "Right hand: thumb leads, whatever the book says.",
    ),
    weight=0.4,
)

VALUES.row("prose after", "a greeting", ("Cheers, see you all on Thursday.",), weight=0.5)
VALUES.row("prose after", "questions", ("Questions? Ring me, but not before 10.",), weight=0.4)
VALUES.row("prose after", "the end with dashes", ("-- the end --",), weight=0.3)
VALUES.row("prose after", "an excuse", ("(typed by ear, so corrections are welcome)",), weight=0.4)

VALUES.row("remark between systems", "halfway", "Halfway there!", weight=0.4)
VALUES.row("remark between systems", "a note", "Note: same left hand as above", weight=0.4)
VALUES.row("remark between systems", "in a hurry", "...and on we go", weight=0.3)

VALUES.row("remark at a row's end", "with strokes", "   // breathe here", weight=0.4)
VALUES.row("remark at a row's end", "a star", "   * see below", weight=0.3)
VALUES.row("remark at a row's end", "with two dots and an arrow", "   <-- softer", weight=0.4)

VALUES.row("remark under a measure", "in quotes", '"and rest"', weight=0.3)
VALUES.row("remark under a measure", "with an exclamation", "thumb!", weight=0.5)

VALUES.row(
    "words to sing",
    "syllables with hyphens",
    ("Fer-ry", "boat,", "o-ver", "we", "go,", "lan-tern", "low"),
    weight=0.5,
)
VALUES.row(
    "words to sing",
    "a line of small words",
    ("when the", "kettle", "sings a-", "gain"),
    weight=0.3,
)

VALUES.row("remark between rows", "an arrow", "        <-- both together", weight=0.2)
VALUES.row("remark between rows", "quietly", "          (quietly)", weight=0.2)
