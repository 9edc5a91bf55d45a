"""Values that are set aside. WHO MENDS THE READER MUST NOT READ THIS MODULE.

Its texts are only reported on, as totals.

Rows: labels, bars, fills, padding, columns, repeats."""

from __future__ import annotations

from tests.benchmarks.grammar.choices import Table
from tests.benchmarks.grammar.hand import Repeat
from tests.benchmarks.grammar.model import Tuning
from tests.benchmarks.grammar.signs import Endings
from tests.benchmarks.grammar.words import letters

VALUES = Table()


# Labels, from the first string to the last.


@VALUES.function("labels", "capitals", weight=2)
def capitals(tuning: Tuning) -> tuple[str, ...]:
    return tuple(x[0].upper() + x[1:] for x in reversed(letters(tuning.written)))


@VALUES.function("labels", "pitches with octaves", weight=0.5)
def octaves(tuning: Tuning) -> tuple[str, ...]:
    names = reversed(letters(tuning.written))
    pitches = reversed(tuning.pitches)
    return tuple(f"{x[0].upper()}{x[1:]}{p // 12 - 1}" for x, p in zip(names, pitches, strict=True))


@VALUES.function("labels", "numbers and letters in brackets", weight=0.3)
def numbers_first(tuning: Tuning) -> tuple[str, ...]:
    return tuple(f"{n + 1}[{x}]" for n, x in enumerate(reversed(letters(tuning.written))))


VALUES.row("joint", "space and bar", " |", weight=1)
VALUES.row("joint", "bar and dash", "|-", weight=0.7)
VALUES.row("joint", "dash, no bar", "-", weight=0.5)

VALUES.row("joint", "bracket", "[", weight=0.15)

VALUES.row("bar", "capital I", "I", weight=0.6)
VALUES.row("bar", "colon", ":", weight=0.3)


VALUES.row("end", "double bar", "||", weight=1)
VALUES.row("end", "nothing", "", weight=1)
VALUES.row("end", "final bar with bracket", "|]", weight=0.3)


VALUES.row("fill", "en dash", "\u2013", weight=0.4)
VALUES.row("fill", "box drawing", "\u2500", weight=0.3)

VALUES.row("fill", "em dash", "\u2014", weight=0.3)

# Columns after and before a bar.
VALUES.row("padding", "one after", (1, 0), weight=3)
VALUES.row("padding", "two after, one before", (2, 1), weight=0.3)

VALUES.row("spread", "two", (2, 2), weight=5)
VALUES.row("spread", "two, then three", (2, 3), weight=0.4)


VALUES.row(
    "open string", "o on the short string", lambda string: "o" if string == 5 else "0", weight=0.4
)
VALUES.row(
    "open string", "O on the first string", lambda string: "O" if string == 1 else "0", weight=0.3
)


VALUES.row("measures a line", "two", 2, weight=2)
VALUES.row("measures a line", "one", 1, weight=0.5)

VALUES.row("gap", "two blank lines", 2, weight=1)

VALUES.row("indent", "four spaces", "    ", weight=0.7)

VALUES.row("bar numbers", "over each first measure", "{}", weight=0.6)
VALUES.row("bar numbers", "in brackets", "({})", weight=0.3)

VALUES.row("bar numbers", "with a word", "m. {}", weight=0.2)

VALUES.row("cut", "last measure cut short", "last", weight=0.7)
VALUES.row("cut", "silent strings left out", "left out", weight=0.4)


VALUES.row("repeat", "play twice with the heading", Repeat(heading=" - play twice"), weight=0.5)
VALUES.row("repeat", "2x at the end of a row", Repeat(after=" (2x)"), weight=0.3)
VALUES.row("repeat", "repeat at the end of a row", Repeat(after=" repeat"), weight=0.3)
VALUES.row("repeat", "twice, after the part", Repeat(after="Play {part} twice."), weight=0.4)
VALUES.row("repeat", "x2 at the end of a row", Repeat(after=" x2"), weight=0.5)

VALUES.row("endings", "numbers with dots over the bars", Endings(("1.", "2.")), weight=1)
VALUES.row("endings", "brackets over the bars", Endings(("[1", "[2")), weight=0.5)
VALUES.row("endings", "number with a long line", Endings(("1______", "2______")), weight=0.3)
VALUES.row(
    "endings",
    "capitals on lines of their own",
    Endings(("FIRST ENDING:", "SECOND ENDING:"), own=True),
    weight=0.3,
)
VALUES.row(
    "endings",
    "in brackets on lines of their own",
    Endings(("(1st time)", "(2nd time)"), own=True),
    weight=0.3,
)

VALUES.row(
    "endings", "short, behind the first row", Endings(("(1.)", "(2.)"), behind=True), weight=0.3
)
VALUES.row(
    "endings",
    "on a line apart",
    Endings(("1st ending:", "2nd ending:"), own=True, apart=True),
    weight=0.3,
)

VALUES.row("other tunes", "on all sides", ("tuning", "kind", "meter", "length"), weight=1)
