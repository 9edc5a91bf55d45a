"""Values that are set aside afresh. WHO MENDS THE READER MUST NOT READ THIS MODULE.

Its texts are only reported on, as totals.

Signs: slurs, marks, ties, legends, counts, letters, chords, jumps, parts."""

from __future__ import annotations

from tests.benchmarks.grammar.choices import Table
from tests.benchmarks.grammar.model import Meter
from tests.benchmarks.grammar.signs import Chords, Counts, Jump, Links, Marks, Rest, Tie

VALUES = Table()

VALUES.row(
    "links",
    "a legend of several lines",
    Links(
        signs={"h": "h", "p": "p", "s": "/"},
        legend=("Legend:", "  h   hammer-on", "  p   pull-off", "  /   slide"),
    ),
    weight=0.8,
)
VALUES.row(
    "links",
    "capitals and a stroke",
    Links(signs={"h": "H", "p": "P", "s": "/"}, legend=("H: hammer  P: pull  /: slide",)),
    weight=0.6,
)
VALUES.row(
    "links",
    "a roof for both slurs",
    Links(
        signs={"h": "^", "p": "^", "s": "/"},
        legend=("^ = hammer-on or pull-off", "/ = slide up"),
    ),
    weight=0.4,
)
VALUES.row(
    "links",
    "two letters",
    Links(
        signs={"h": "ho", "p": "po", "s": "sl"},
        legend=("ho = hammer on, po = pull off, sl = slide",),
    ),
    weight=0.3,
)

VALUES.row("link place", "at the note reached", "glued", weight=1)

VALUES.row(
    "marks",
    "muted, m",
    Marks(mark="x", typed="m", legend="m = muted with the left hand"),
    weight=0.3,
)
VALUES.row(
    "marks", "chimes", Marks(mark="*", typed="{}'", legend="' = chime (harmonic)"), weight=0.4
)
VALUES.row(
    "marks", "chokes in two letters", Marks(mark="b", typed="{}ch", legend="ch = choke"), weight=0.4
)
VALUES.row(
    "marks",
    "shakes",
    Marks(mark="~", typed="{}w", legend="w = shake the note (vibrato)"),
    weight=0.3,
)

VALUES.row(
    "ties",
    "t before",
    Tie(typed="t{}", legend="t = tied, let it ring, do not strike it again"),
    weight=0.4,
)

VALUES.row("counts", "the word an", Counts(off="an"), weight=0.5)
VALUES.row("counts", "over the rows, first system only", Counts(off="+", over=True, once=True))
VALUES.row("counts", "the word and, over the rows", Counts(off="and", over=True), weight=0.4)
VALUES.row("counts", "the letter a", Counts(off="a"), weight=0.4)

VALUES.row("letters", "small letters over the rows", Counts(over=True, small=True), weight=0.5)
VALUES.row("letters", "small letters, first system only", Counts(once=True, small=True), weight=0.5)
VALUES.row("letters", "over the rows, first system", Counts(over=True, once=True), weight=0.4)

VALUES.row("chords", "changes in round brackets", Chords(place="changes", form="({})"), weight=0.5)
VALUES.row("chords", "in angles", Chords(place="over", form="<{}>"), weight=0.2)
VALUES.row("chords", "with the word chord", Chords(place="changes", form="{} chord"), weight=0.3)
VALUES.row("chords", "under the rows, in brackets", Chords(place="under", form="({})"), weight=0.3)
VALUES.row("chords", "chart of changes", Chords(place="chart", heading="Changes:"), weight=0.4)
VALUES.row(
    "chords",
    "chart for a friend",
    Chords(place="chart", heading="Chords for whoever is on guitar:"),
    weight=0.3,
)

VALUES.row("part headings", "Roman numbers", ("Part I", "Part II", "Part III"), weight=0.5)
VALUES.row("part headings", "strains", ("Strain 1", "Strain 2", "Strain 3"), weight=0.3)
VALUES.row("part headings", "letters in round brackets", ("(A)", "(B)", "(C)"), weight=0.5)
VALUES.row("part headings", "letters with a dot", ("A.", "B.", "C."), weight=0.4)
VALUES.row("part headings", "part in brackets", ("[Part A]", "[Part B]", "[Part C]"), weight=0.5)
VALUES.row("part headings", "between equals signs", ("== A ==", "== B ==", "== C =="), weight=0.3)
VALUES.row(
    "part headings",
    "coarse and fine",
    ("Coarse part", "Fine part", "Coarse part again"),
    weight=0.3,
)
VALUES.row("part headings", "verses, capitals", ("VERSE 1", "CHORUS", "VERSE 2"), weight=0.5)
VALUES.row(
    "part headings", "section and colon", ("Section A:", "Section B:", "Section C:"), weight=0.4
)
VALUES.row("part headings", "opening", ("Opening", "Middle bit", "Closing"), weight=0.3)

VALUES.row("jumps", "spelled", Jump(text="Da Capo"), weight=0.3)
VALUES.row("jumps", "to the top", Jump(text="(back to the top)"), weight=0.3)
VALUES.row("jumps", "to finish", Jump(text="Play the first part once more to finish."), weight=0.3)

VALUES.row("rests", "at sign", Rest(sign="@", legend="@ = rest"), weight=0.3)

VALUES.row("like measures", "the word same", "same", weight=0.4)
VALUES.row("like measures", "the word ditto", "ditto", weight=0.3)

VALUES.row("slip", "two columns too many", "two columns too many", weight=0.5)
VALUES.row("slip", "a dash too few on one row", "a dash too few on one row", weight=0.5)

VALUES.row("triplets", "three in square brackets", "[3]", weight=0.4)
VALUES.row("triplets", "the word triplet in short", "trip", weight=0.3)


@VALUES.function("columns said", "spacing", weight=0.4)
def columns_spacing(spread: tuple[int, int], meter: Meter) -> str:
    return f"Spacing: {spread[0]} character{'s' * (spread[0] > 1)} per eighth note."


@VALUES.function("columns said", "to the quarter", weight=0.4)
def columns_to_the_quarter(spread: tuple[int, int], meter: Meter) -> str:
    return f"A quarter note is {2 * spread[0]} characters wide."
