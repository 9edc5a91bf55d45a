"""Rows: labels, bars, fills, padding, columns, repeats."""

from __future__ import annotations

from tests.benchmarks.grammar.choices import Table
from tests.benchmarks.grammar.hand import Repeat, dots
from tests.benchmarks.grammar.model import Tuning
from tests.benchmarks.grammar.signs import Endings
from tests.benchmarks.grammar.words import letters, with_signs

VALUES = Table()


# Labels, from the first string to the last.
@VALUES.function("labels", "as the tuning is written", weight=6)
def as_written(tuning: Tuning) -> tuple[str, ...]:
    return tuple(reversed(letters(tuning.written)))


@VALUES.function("labels", "small letters", weight=1)
def small(tuning: Tuning) -> tuple[str, ...]:
    return tuple(x.lower() for x in reversed(letters(tuning.written)))


@VALUES.function("labels", "numbers", weight=1.5)
def numbers(tuning: Tuning) -> tuple[str, ...]:
    return tuple(str(n + 1) for n in range(tuning.strings))


@VALUES.function("labels", "numbers and letters", weight=0.7)
def both(tuning: Tuning) -> tuple[str, ...]:
    return tuple(f"{n + 1}{x}" for n, x in enumerate(reversed(letters(tuning.written))))


@VALUES.function("labels", "letters and numbers in brackets", weight=0.7)
def bracketed(tuning: Tuning) -> tuple[str, ...]:
    return tuple(f"{x}({n + 1})" for n, x in enumerate(reversed(letters(tuning.written))))


@VALUES.function("labels", "ordinals", weight=0.5)
def ordinals(tuning: Tuning) -> tuple[str, ...]:
    return tuple(
        f"{n}{ {1: 'st', 2: 'nd', 3: 'rd'}.get(n, 'th') }" for n in range(1, tuning.strings + 1)
    )


@VALUES.function("labels", "words for sharps", weight=0.3)
def sharp_words(tuning: Tuning) -> tuple[str, ...]:
    words = {"#": " sharp", "b": " flat", "": ""}
    return tuple(x[0] + words[x[1:]] for x in reversed(letters(tuning.written)))


@VALUES.function("labels", "strings in short", weight=0.3)
def strings_in_short(tuning: Tuning) -> tuple[str, ...]:
    return tuple(f"str{n + 1}" for n in range(tuning.strings))


@VALUES.function("labels", "s and numbers", weight=0.3)
def s_numbers(tuning: Tuning) -> tuple[str, ...]:
    return tuple(f"S{n + 1}" for n in range(tuning.strings))


@VALUES.function("labels", "signs for sharps and flats", weight=0.4)
def sharp_signs(tuning: Tuning) -> tuple[str, ...]:
    return tuple(with_signs(x) for x in reversed(letters(tuning.written)))


@VALUES.function("labels", "letters and a stroke", weight=0.3)
def stroke(tuning: Tuning) -> tuple[str, ...]:
    return tuple(f"{x}'" for x in reversed(letters(tuning.written)))


VALUES.row("labels", "none", None, weight=2.5)

VALUES.row("first system only", "labels everywhere", False, weight=6)
VALUES.row("first system only", "labels on the first system", True, weight=1)

VALUES.row("joint", "bar", "|", weight=6)
VALUES.row("joint", "nothing", "", weight=0.4)
VALUES.row("joint", "colon and bar", ":|", weight=0.7)
VALUES.row("joint", "double bar", "||", weight=0.7)
VALUES.row("joint", "colon", ":", weight=0.4)
VALUES.row("joint", "space", " ", weight=0.3)

VALUES.row("joint", "greater sign and bar", ">|", weight=0.2)
VALUES.row("joint", "equals and bar", "=|", weight=0.2)
VALUES.row("joint", "two spaces and bar", "  |", weight=0.4)
VALUES.row("joint", "hyphen and bar", "-|", weight=0.4)

VALUES.row("bar", "bar", "|", weight=10)
VALUES.row("bar", "exclamation", "!", weight=0.5)
VALUES.row("bar", "spaced", " | ", weight=0.6)
VALUES.row("bar", "broken bar", "\u00a6", weight=0.3)
VALUES.row("bar", "box drawing", "\u2502", weight=0.3)

VALUES.row("bar", "small l", "l", weight=0.3)
VALUES.row("bar", "closing bracket", "]", weight=0.2)
VALUES.row("bar", "double", "||", weight=0.4)

VALUES.row("end", "bar", "|", weight=6)
VALUES.row("end", "bar and blanks", "|   ", weight=0.5)

VALUES.row("end", "bar and label", "|{label}", weight=0.3)

VALUES.row("fill", "dash", "-", weight=10)
VALUES.row("fill", "space", " ", weight=0.7)
VALUES.row("fill", "underscore", "_", weight=0.7)
VALUES.row("fill", "dot", ".", weight=0.7)
VALUES.row("fill", "middle dot", "\u00b7", weight=0.4)
VALUES.row("fill", "equals", "=", weight=0.5)

VALUES.row("fill", "hyphen of a word processor", "\u2010", weight=0.2)
VALUES.row("fill", "tilde", "~", weight=0.2)

# Columns after and before a bar.
VALUES.row("padding", "none", (0, 0), weight=2)
VALUES.row("padding", "one on both sides", (1, 1), weight=1)
VALUES.row("padding", "two after", (2, 0), weight=0.6)
VALUES.row("padding", "one before", (0, 1), weight=0.4)

VALUES.row("spread", "one", (1, 1), weight=2)
VALUES.row("spread", "three", (3, 3), weight=2)
VALUES.row("spread", "four", (4, 4), weight=0.7)
VALUES.row("spread", "three, then two", (3, 2), weight=0.3)

VALUES.row("wide frets", "push", "pushes", weight=2)
VALUES.row("wide frets", "take the next column", "eats", weight=3)

VALUES.row("open string", "nought", lambda string: "0", weight=8)
VALUES.row("open string", "capital O", lambda string: "O", weight=0.6)
VALUES.row("open string", "small o", lambda string: "o", weight=0.6)

VALUES.row("rows", "first string on top", False, weight=12)
VALUES.row("rows", "first string at the bottom", True, weight=0.8)

VALUES.row("measures a line", "four", 4, weight=4)
VALUES.row("measures a line", "three", 3, weight=0.7)
VALUES.row("measures a line", "eight", 8, weight=0.7)

VALUES.row("gap", "a blank line", 1, weight=6)
VALUES.row("gap", "three blank lines", 3, weight=0.4)

VALUES.row("indent", "none", "", weight=6)
VALUES.row("indent", "two spaces", "  ", weight=1)
VALUES.row("indent", "a tab character", "\t", weight=0.4)

VALUES.row("bar numbers", "none", None, weight=8)
VALUES.row("bar numbers", "with a dot", "{}.", weight=0.3)

VALUES.row("bar numbers", "with a hash", "#{}", weight=0.2)

VALUES.row("cut", "none", "", weight=8)
VALUES.row("cut", "silent strings bare", "bare", weight=0.7)
VALUES.row("cut", "trailing dashes missing on one row", "one", weight=0.4)


VALUES.row("repeat", "none", None, weight=4)
VALUES.row(
    "repeat",
    "colons on all rows",
    Repeat(left=lambda r, n: "|:", right=lambda r, n: ":|"),
    weight=2,
)
VALUES.row(
    "repeat",
    "double bars with colons",
    Repeat(left=lambda r, n: "||:", right=lambda r, n: ":||"),
    weight=1,
)
VALUES.row(
    "repeat",
    "dots on the middle rows",
    Repeat(
        left=lambda r, n: "||:" if dots(r, n) else "||-",
        right=lambda r, n: ":||" if dots(r, n) else "-||",
    ),
    weight=0.8,
)
VALUES.row(
    "repeat",
    "stars on the middle rows",
    Repeat(
        left=lambda r, n: "|*" if dots(r, n) else "|-",
        right=lambda r, n: "*|" if dots(r, n) else "-|",
    ),
    weight=0.5,
)
VALUES.row("repeat", "closing only", Repeat(right=lambda r, n: ":|", opens=False), weight=0.7)
VALUES.row("repeat", "x2 with the heading", Repeat(heading=" (x2)"), weight=0.7)
VALUES.row("repeat", "two times with the heading", Repeat(heading=", two times"), weight=0.3)
VALUES.row("repeat", "repeat with the heading", Repeat(heading=" (repeat)"), weight=0.4)
VALUES.row("repeat", "2x with the heading", Repeat(heading=" 2x"), weight=0.4)
VALUES.row("repeat", "x2 without brackets", Repeat(heading=" x2"), weight=0.4)
VALUES.row("repeat", "each time twice", Repeat(heading=" (play it twice)"), weight=0.3)
VALUES.row("repeat", "bis", Repeat(after=" bis"), weight=0.1)
VALUES.row("repeat", "repeat, after the part", Repeat(after="(repeat this part)"), weight=0.4)
VALUES.row(
    "repeat",
    "small o at the bars",
    Repeat(
        left=lambda r, n: "|o" if dots(r, n) else "|-",
        right=lambda r, n: "o|" if dots(r, n) else "-|",
    ),
    weight=0.3,
)

VALUES.row("endings", "none", None, weight=5)
VALUES.row("endings", "brackets with a line", Endings(("|1.-------|", "|2.-------|")), weight=0.5)
VALUES.row("endings", "words over the bars", Endings(("1st ending", "2nd ending")), weight=0.5)
VALUES.row("endings", "short words over the bars", Endings(("1st", "2nd")), weight=0.4)
VALUES.row("endings", "first time, second time", Endings(("1st time", "2nd time")), weight=0.4)
VALUES.row(
    "endings", "words and colon over the bars", Endings(("Ending 1:", "Ending 2:")), weight=0.3
)
VALUES.row(
    "endings",
    "words on lines of their own",
    Endings(("1st ending", "2nd ending"), own=True),
    weight=0.5,
)

VALUES.row(
    "endings",
    "behind the first row",
    Endings(("1st ending", "2nd ending"), behind=True),
    weight=0.4,
)
VALUES.row("endings", "dots over the bars, apart", Endings(("1.", "2."), apart=True), weight=0.3)

VALUES.row("other tunes", "alike", (), weight=2)
VALUES.row("other tunes", "in other tunings", ("tuning", "kind"), weight=1)
VALUES.row("other tunes", "in other times", ("meter", "kind", "length"), weight=1)
