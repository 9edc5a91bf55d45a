"""Words: letters, lessons, remarks, words to sing."""

from __future__ import annotations

from tests.benchmarks.grammar.choices import Table

VALUES = Table()

# Lines before the tab.
VALUES.row("prose before", "none", (), weight=5)
VALUES.row(
    "prose before",
    "a sentence",
    ("This is the version we play at the ferry house on Thursdays.",),
    weight=1,
)
VALUES.row(
    "prose before",
    "a lesson",
    (
        "Keep the thumb on its strings and let the fingers fall by themselves.",
        "Most of you rush the second half, so practise that alone first.",
    ),
    weight=0.8,
)
VALUES.row(
    "prose before",
    "a list of advice",
    ("- listen to the drone", "- keep the wrist loose", "- do not stop for mistakes"),
    weight=0.4,
)
VALUES.row(
    "prose before", "a question", ("Does anybody know a better ending for this one?",), weight=0.4
)
VALUES.row(
    "prose before",
    "the numbers of strings and fingers",
    ("The 5th string is only touched by the thumb, and finger 2 stays on the 2nd fret.",),
    weight=0.4,
)
VALUES.row(
    "prose before",
    "a hyphened line",
    ("School of music - Larkspur Ferry - handout for beginners",),
    weight=0.3,
)

VALUES.row(
    "prose before", "a colon", ("Note: let the drone ring through the whole tune.",), weight=0.4
)
VALUES.row(
    "prose before", "a dialogue", ('"Slower," said Maud, "and then slower again."',), weight=0.3
)
VALUES.row(
    "prose before",
    "advice with chords",
    ("You only need two chords for this, and both are easy: the open one and the D7 shape.",),
    weight=0.4,
)
VALUES.row(
    "prose before",
    "a paragraph",
    (
        "When you have the first line in your fingers, do not go on at once. Play it",
        "with your eyes shut, then whistle it, then play it again. Only then look at",
        "the second line, which is nearly the same.",
    ),
    weight=0.5,
)

VALUES.row("prose after", "none", (), weight=6)
VALUES.row("prose after", "a wish", ("Have fun with it!",), weight=0.7)
VALUES.row(
    "prose after",
    "a remark",
    ("The last note may ring as long as you like.",),
    weight=0.7,
)
VALUES.row("prose after", "homework", ("For next week: play it with the window open.",), weight=0.5)
VALUES.row(
    "prose after", "an afterthought", ("P.S. The high part is easier than it looks.",), weight=0.4
)
VALUES.row(
    "prose after",
    "two sentences on strings",
    ("If string 1 buzzes, press nearer the fret. Mine did for years.",),
    weight=0.4,
)

VALUES.row("remark between systems", "none", "", weight=8)
VALUES.row("remark between systems", "in brackets", "(watch the thumb here)", weight=0.7)
VALUES.row(
    "remark between systems", "a sentence", "Now the same again but a little louder.", weight=0.6
)
VALUES.row("remark between systems", "with stars", "** this line is the hard one **", weight=0.3)
VALUES.row("remark between systems", "an arrow", "--> the tricky bit", weight=0.3)
VALUES.row("remark between systems", "a question", "is this right? ask Maud", weight=0.3)

VALUES.row("remark at a row's end", "none", "", weight=10)
VALUES.row("remark at a row's end", "words", "   keep it even", weight=0.3)

VALUES.row("remark under a measure", "none", "", weight=10)
VALUES.row("remark under a measure", "a caret", "^ hold this", weight=0.5)
VALUES.row("remark under a measure", "words", "let it ring", weight=0.4)

VALUES.row("words to sing", "none", None, weight=10)
VALUES.row(
    "words to sing",
    "two words a measure",
    ("row the", "ferry", "come along", "boatman"),
    weight=0.4,
)
VALUES.row(
    "words to sing",
    "capital lines",
    ["Down", "by the", "landing", "the", "Candle", "is", "burning", "low"],
    weight=0.3,
)

VALUES.row("remark between rows", "none", "", weight=14)
VALUES.row("remark between rows", "in brackets", "   (thumb on the next one)", weight=0.3)
VALUES.row("remark between rows", "words", "        hold", weight=0.2)
