"""Values that are set aside afresh. WHO MENDS THE READER MUST NOT READ THIS MODULE.

Its texts are only reported on, as totals.

Rows: labels, bars, fills, padding, columns, repeats."""

from __future__ import annotations

from tests.benchmarks.grammar.choices import Table
from tests.benchmarks.grammar.hand import Repeat, dots
from tests.benchmarks.grammar.model import Tuning
from tests.benchmarks.grammar.signs import Endings
from tests.benchmarks.grammar.words import letters

VALUES = Table()


# Labels, from the first string to the last.
@VALUES.function("labels", "small letter for the first string", weight=1.5)
def small_first(tuning: Tuning) -> tuple[str, ...]:
    first, *others = reversed(letters(tuning.written))
    return (first.lower(), *others)


@VALUES.function("labels", "letters with a dot", weight=0.5)
def dotted_letters(tuning: Tuning) -> tuple[str, ...]:
    return tuple(f"{x}." for x in reversed(letters(tuning.written)))


@VALUES.function("labels", "letters in round brackets", weight=0.5)
def round_letters(tuning: Tuning) -> tuple[str, ...]:
    return tuple(f"({x})" for x in reversed(letters(tuning.written)))


@VALUES.function("labels", "the word string and a number", weight=0.5)
def string_words(tuning: Tuning) -> tuple[str, ...]:
    return tuple(f"String {n + 1}" for n in range(tuning.strings))


@VALUES.function("labels", "numbers with a dot", weight=0.5)
def dotted_numbers(tuning: Tuning) -> tuple[str, ...]:
    return tuple(f"{n + 1}." for n in range(tuning.strings))


@VALUES.function("labels", "Roman numbers", weight=0.2)
def roman_numbers(tuning: Tuning) -> tuple[str, ...]:
    return ("I", "II", "III", "IV", "V", "VI")[: tuning.strings]


VALUES.row("joint", "two dashes and bar", "--|", weight=0.6)
VALUES.row("joint", "colon and space", ": ", weight=0.5)
VALUES.row("joint", "round bracket", ")", weight=0.3)
VALUES.row("joint", "spaced bar", " | ", weight=0.6)
VALUES.row("joint", "double bar after a space", " ||", weight=0.6)

VALUES.row("bar", "plus", "+", weight=0.4)
VALUES.row("bar", "heavy box drawing", "\u2503", weight=0.2)
VALUES.row("bar", "double box drawing", "\u2551", weight=0.2)

VALUES.row("end", "bar and a dash over", "|-", weight=0.6)
VALUES.row("end", "three bars", "|||", weight=0.3)
VALUES.row("end", "two bars apart", "| |", weight=0.3)

VALUES.row("fill", "minus sign", "\u2212", weight=0.4)
VALUES.row("fill", "hyphen that does not break", "\u2011", weight=0.3)
VALUES.row("fill", "heavy box drawing", "\u2501", weight=0.2)

# Columns after and before a bar.
VALUES.row("padding", "two on both sides", (2, 2), weight=1)
VALUES.row("padding", "one after, two before", (1, 2), weight=1)
VALUES.row("padding", "three after", (3, 0), weight=0.6)

VALUES.row("spread", "five", (5, 5), weight=0.6)
VALUES.row("spread", "four, then three", (4, 3), weight=1)
VALUES.row("spread", "six", (6, 6), weight=0.3)
VALUES.row("spread", "two, then four", (2, 4), weight=1.5)
VALUES.row("spread", "three, then four", (3, 4), weight=1)

VALUES.row(
    "open string", "O on the short string", lambda string: "O" if string == 5 else "0", weight=0.4
)
VALUES.row(
    "open string", "o on the first string", lambda string: "o" if string == 1 else "0", weight=0.3
)

VALUES.row("measures a line", "five", 5, weight=0.6)
VALUES.row("measures a line", "six", 6, weight=0.6)
VALUES.row("measures a line", "the whole part", 99, weight=0.5)

VALUES.row("gap", "none", 0, weight=0.4)
VALUES.row("gap", "four blank lines", 4, weight=0.6)

VALUES.row("indent", "one space", " ", weight=0.7)
VALUES.row("indent", "eight spaces", "        ", weight=0.5)

VALUES.row("bar numbers", "with the word bar", "Bar {}", weight=0.5)
VALUES.row("bar numbers", "in square brackets", "[{}]", weight=0.4)
VALUES.row("bar numbers", "with a closing bracket", "{})", weight=0.3)
VALUES.row("bar numbers", "with the word and a colon", "Measure {}:", weight=0.3)

VALUES.row("cut", "silent strings without inner bars", "unbarred", weight=0.5)
VALUES.row("cut", "no end bar on one row", "no end", weight=0.5)


VALUES.row("repeat", "twice in brackets with the heading", Repeat(heading=" (twice)"), weight=0.5)
VALUES.row("repeat", "2x in square brackets", Repeat(heading=" [2x]"), weight=0.4)
VALUES.row("repeat", "two times, with brackets", Repeat(heading=" (2 times)"), weight=0.4)
VALUES.row(
    "repeat",
    "colons on the middle rows, single bars",
    Repeat(
        left=lambda r, n: "|:" if dots(r, n) else "|-",
        right=lambda r, n: ":|" if dots(r, n) else "-|",
    ),
    weight=0.8,
)
VALUES.row(
    "repeat",
    "stars on the middle rows, double bars",
    Repeat(
        left=lambda r, n: "||*" if dots(r, n) else "||-",
        right=lambda r, n: "*||" if dots(r, n) else "-||",
    ),
    weight=0.5,
)
VALUES.row("repeat", "repeat and the part's name", Repeat(after="Repeat {part}."), weight=0.5)
VALUES.row("repeat", "the part again", Repeat(after="({part} again)"), weight=0.3)
VALUES.row("repeat", "play twice at the end of a row", Repeat(after=" (play twice)"), weight=0.4)

VALUES.row("endings", "numbers with brackets", Endings(("1)", "2)")), weight=0.5)
VALUES.row("endings", "short words in brackets", Endings(("[1st]", "[2nd]")), weight=0.4)
VALUES.row("endings", "bars and numbers", Endings(("|1", "|2")), weight=0.4)
VALUES.row("endings", "numbers and dashes", Endings(("1.-----", "2.-----")), weight=0.5)
VALUES.row("endings", "short words with a colon", Endings(("1st:", "2nd:")), weight=0.3)
VALUES.row("endings", "first time, second time", Endings(("First time", "Second time")), weight=0.4)
VALUES.row(
    "endings",
    "words spelled on lines of their own",
    Endings(("First ending", "Second ending"), own=True),
    weight=0.5,
)
VALUES.row(
    "endings",
    "numbers spelled on lines of their own",
    Endings(("Ending one:", "Ending two:"), own=True),
    weight=0.3,
)
VALUES.row(
    "endings",
    "in words, behind the first row",
    Endings(("(first time)", "(second time)"), behind=True),
    weight=0.3,
)

VALUES.row(
    "other tunes",
    "from another typist",
    ("tuning", "kind", "labels", "title", "layout", "part headings"),
    weight=1,
)
