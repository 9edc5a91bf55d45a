"""Signs: slurs, marks, ties, legends, counts, letters, chords, jumps, parts."""

from __future__ import annotations

from tests.benchmarks.grammar.choices import Table
from tests.benchmarks.grammar.model import Meter
from tests.benchmarks.grammar.signs import Chords, Counts, Jump, Links, Marks, Rest, Tie

VALUES = Table()

VALUES.row("links", "none", None, weight=4)
VALUES.row("links", "small letters", Links(signs={"h": "h", "p": "p", "s": "s"}), weight=3)
VALUES.row("links", "letters and strokes", Links(signs={"h": "h", "p": "p", "s": "/"}), weight=2)
VALUES.row("links", "capitals", Links(signs={"h": "H", "p": "P", "s": "S"}), weight=0.8)
VALUES.row("links", "slides only", Links(signs={"s": "/"}), weight=0.5)
VALUES.row("links", "hammers only", Links(signs={"h": "h"}), weight=0.5)
VALUES.row(
    "links",
    "signs of its own",
    Links(
        signs={"h": "^", "p": "v", "s": "/"},
        legend=("^ = hammer-on", "v = pull-off", "/ = slide"),
    ),
    weight=0.4,
)
VALUES.row(
    "links",
    "greater and less",
    Links(signs={"h": "<", "p": ">"}, legend=("< hammer on    > pull off",)),
    weight=0.2,
)

VALUES.row("links", "minus the slides", Links(signs={"h": "h", "p": "p"}), weight=0.6)
VALUES.row(
    "links",
    "legend in a sentence",
    Links(
        signs={"h": "h", "p": "p", "s": "s"},
        legend=("Where you see h hammer on, where you see p pull off, and s is a slide.",),
    ),
    weight=0.4,
)
VALUES.row(
    "links",
    "letters of its own",
    Links(
        signs={"h": "u", "p": "d", "s": "g"},
        legend=("u = hammer on, d = pull off, g = glide (slide)",),
    ),
    weight=0.2,
)

VALUES.row("link place", "before the note reached", "before", weight=3)
VALUES.row("link place", "midway", "before", weight=0.5)

VALUES.row("marks", "none", None, weight=8)
VALUES.row(
    "marks",
    "muted, with a legend",
    Marks(mark="x", typed="x", legend="x = muted string"),
    weight=0.4,
)
VALUES.row("marks", "muted, capital", Marks(mark="x", typed="X"), weight=0.3)
VALUES.row(
    "marks",
    "harmonics with a star",
    Marks(mark="*", typed="{}*", legend="* = harmonic"),
    weight=0.4,
)
VALUES.row("marks", "bends", Marks(mark="b", typed="{}b", legend="b = bend"), weight=0.5)
VALUES.row(
    "marks", "chokes", Marks(mark="b", typed="{}c", legend="c means choke (bend)"), weight=0.3
)
VALUES.row(
    "marks",
    "ghosts",
    Marks(mark="g", typed="({})", legend="( ) = ghost note, barely touched"),
    weight=0.4,
)

VALUES.row(
    "marks",
    "harmonics in words",
    Marks(mark="*", typed="{}#", legend="# after a number = harmonic"),
    weight=0.2,
)
VALUES.row(
    "marks",
    "vibrato, with a legend",
    Marks(mark="~", typed="{}~", legend="~ = vibrato (shake it)"),
    weight=0.3,
)
VALUES.row("marks", "dead notes", Marks(mark="x", typed="x", legend="x is a dead note"), weight=0.2)

VALUES.row("ties", "none", None, weight=10)
VALUES.row(
    "ties",
    "brackets with a legend",
    Tie(typed="({})", legend="( ) = tied, do not pick again"),
    weight=0.6,
)
VALUES.row(
    "ties",
    "equals before",
    Tie(typed="={}", legend="=n means tied over from the note before"),
    weight=0.3,
)
VALUES.row("ties", "square brackets", Tie(typed="[{}]", legend="[n] tied note"), weight=0.3)

VALUES.row("counts", "none", None, weight=6)
VALUES.row("counts", "plus signs", Counts(off="+"), weight=1)
VALUES.row("counts", "beats only", Counts(off=""), weight=1)
VALUES.row("counts", "over the rows", Counts(off="&", over=True), weight=0.5)
VALUES.row("counts", "every sixteenth", Counts(off="e&a"), weight=0.3)
VALUES.row("counts", "strokes between", Counts(off="."), weight=0.3)
VALUES.row("counts", "a column to the right", Counts(off="&", shift=1), weight=0.4)
VALUES.row("counts", "a column to the left", Counts(off="&", shift=-1), weight=0.4)
VALUES.row("counts", "the word and", Counts(off="and"), weight=0.3)

VALUES.row("counts", "two columns to the right", Counts(off="&", shift=2), weight=0.2)
VALUES.row("counts", "with a word label", Counts(off="+", label="beat"), weight=0.2)

VALUES.row("letters", "none", None, weight=5)
VALUES.row("letters", "capitals under the notes", Counts(), weight=2)
VALUES.row("letters", "a column off", Counts(shift=1), weight=0.4)
VALUES.row("letters", "with a label", Counts(label="RH:"), weight=0.3)
VALUES.row("letters", "over the rows", Counts(over=True), weight=0.3)
VALUES.row("letters", "first system only", Counts(once=True), weight=0.5)

VALUES.row("chords", "none", None, weight=5)
VALUES.row("chords", "over each measure", Chords(place="over"), weight=2.5)
VALUES.row("chords", "over each change", Chords(place="changes"), weight=1.5)
VALUES.row("chords", "chart with a heading", Chords(place="chart", heading="Chords:"), weight=0.5)
VALUES.row("chords", "under the rows", Chords(place="under"), weight=0.4)

VALUES.row("part headings", "none", None, weight=3)
VALUES.row("part headings", "Part A", ("Part A", "Part B", "Part C"), weight=2)
VALUES.row("part headings", "A part with colon", ("A part:", "B part:", "C part:"), weight=1)
VALUES.row("part headings", "between dashes", ("--- A ---", "--- B ---", "--- C ---"), weight=0.4)
VALUES.row("part headings", "capitals", ("PART ONE", "PART TWO", "PART THREE"), weight=0.5)
VALUES.row("part headings", "ordinals", ("First part", "Second part", "Third part"), weight=0.7)
VALUES.row("part headings", "low and high", ("Low part", "High part", "Low part again"), weight=0.5)
VALUES.row("part headings", "versions", ("Version 1", "Version 2", "Version 3"), weight=0.4)
VALUES.row("part headings", "breaks", ("First break", "Second break", "Third break"), weight=0.3)
VALUES.row(
    "part headings",
    "numbered",
    ("Part 1 - down low", "Part 2 - up the neck", "Part 3 - the ending"),
    weight=0.4,
)
VALUES.row("part headings", "hash signs", ("## Part A", "## Part B", "## Part C"), weight=0.3)
VALUES.row("part headings", "underlined", ("A part|", "B part|", "C part|"), weight=0.3)
VALUES.row(
    "part headings",
    "with a remark",
    ("Part A (nice and easy)", "Part B (a bit livelier)", "Part C (the high one)"),
    weight=0.4,
)
VALUES.row("part headings", "kickoff", ("KICKOFF", "BREAK", "ENDING"), weight=0.3)
VALUES.row("part headings", "stars", ("** Part A **", "** Part B **", "** Part C **"), weight=0.3)
VALUES.row("part headings", "angles", ("<A>", "<B>", "<C>"), weight=0.2)

VALUES.row("jumps", "none", None, weight=10)
VALUES.row("jumps", "from the start", Jump(text="D.C."), weight=0.2)
VALUES.row(
    "jumps",
    "in words",
    Jump(text="Go back to the beginning and play the first part again."),
    weight=0.3,
)
VALUES.row("jumps", "over the bars", Jump(text="D.C. al Fine", over=("", "Fine")), weight=0.3)
VALUES.row("jumps", "segno and coda", Jump(text="D.S.", over=("Segno", "")), weight=0.3)
VALUES.row(
    "jumps", "the sign in words", Jump(text="Go back to the sign", over=("(sign)", "")), weight=0.2
)

VALUES.row("letters", "with a word label", Counts(label="fingers:"), weight=0.2)
VALUES.row(
    "chords",
    "chart in a sentence",
    Chords(place="chart", heading="The chords go like this:"),
    weight=0.3,
)

VALUES.row("chords", "per cent for the same", Chords(place="over", same="%"), weight=0.4)
VALUES.row("chords", "stroke for the same", Chords(place="over", same="/"), weight=0.2)

VALUES.row("rests", "none", None, weight=12)
VALUES.row("rests", "r with a legend", Rest(sign="r", legend="r = rest"), weight=0.5)
VALUES.row("rests", "capital R", Rest(sign="R", legend="R means a rest"), weight=0.3)
VALUES.row("rests", "a star", Rest(sign="*", legend="* = rest"), weight=0.2)

VALUES.row("like measures", "typed out", None, weight=12)
VALUES.row("like measures", "between strokes", "./.", weight=0.3)
VALUES.row("like measures", "the word sim.", "sim.", weight=0.2)
VALUES.row("like measures", "dittos", '"', weight=0.2)

VALUES.row("slip", "none", "", weight=12)
VALUES.row("slip", "a column too many", "a column too many", weight=0.7)

VALUES.row("triplets", "none", "", weight=8)
VALUES.row("triplets", "a three over the middle", "3", weight=0.7)
VALUES.row("triplets", "a three with hyphens", "-3-", weight=0.5)
VALUES.row("triplets", "a three in brackets", "(3)", weight=0.4)
VALUES.row("triplets", "letters with a legend", "_T_", weight=0.2)


VALUES.row("columns said", "no", None, weight=12)


@VALUES.function("columns said", "to the beat", weight=0.3)
def columns_to_the_beat(spread: tuple[int, int], meter: Meter) -> str:
    dashes = ("one dash", "two dashes", "three dashes", "four dashes")[spread[0] - 1]
    return f"Every bar has {meter.slots} eighth notes of {dashes} each."
