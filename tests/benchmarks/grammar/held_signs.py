"""Values that are set aside. WHO MENDS THE READER MUST NOT READ THIS MODULE.

Its texts are only reported on, as totals.

Signs: slurs, marks, ties, legends, counts, letters, chords, jumps, parts."""

from __future__ import annotations

from tests.benchmarks.grammar.choices import Table
from tests.benchmarks.grammar.model import Meter
from tests.benchmarks.grammar.signs import Chords, Counts, Jump, Links, Marks, Rest, Tie

VALUES = Table()

VALUES.row(
    "links",
    "letters with a legend",
    Links(
        signs={"h": "h", "p": "p", "s": "s"},
        legend=("h = hammer-on, p = pull-off, s = slide",),
    ),
    weight=1,
)

VALUES.row(
    "links",
    "slides with strokes both ways",
    Links(signs={"h": "h", "p": "p", "s": "~"}, legend=("~ between two numbers = slide",)),
    weight=0.2,
)

VALUES.row("link place", "after the note left", "after", weight=3)

VALUES.row("marks", "muted", Marks(mark="x", typed="x"), weight=0.7)
VALUES.row("marks", "harmonics in angles", Marks(mark="*", typed="<{}>"), weight=0.5)
VALUES.row("marks", "vibrato", Marks(mark="~", typed="{}~"), weight=0.5)


VALUES.row(
    "ties",
    "underscore before",
    Tie(typed="_{}", legend="_ before a number: tied, let it ring on"),
    weight=0.2,
)

VALUES.row("counts", "ampersands", Counts(off="&"), weight=1.5)
VALUES.row("counts", "with a label", Counts(off="&", label="count:"), weight=0.3)
VALUES.row("counts", "first system only", Counts(off="&", once=True), weight=0.6)


VALUES.row("letters", "small letters", Counts(small=True), weight=0.7)
VALUES.row("letters", "two columns off", Counts(shift=2), weight=0.3)

VALUES.row("chords", "chart before the tab", Chords(place="chart"), weight=0.7)
VALUES.row("chords", "in brackets", Chords(place="over", form="[{}]"), weight=0.3)
VALUES.row("chords", "in round brackets", Chords(place="over", form="({})"), weight=0.3)
VALUES.row("chords", "with bars", Chords(place="over", form="| {}"), weight=0.3)

VALUES.row("part headings", "A section", ("A section", "B section", "C section"), weight=0.7)
VALUES.row("part headings", "A with colon", ("A:", "B:", "C:"), weight=0.5)
VALUES.row("part headings", "letters in brackets", ("[A]", "[B]", "[C]"), weight=0.7)
VALUES.row("part headings", "verse and chorus", ("Verse", "Chorus", "Bridge"), weight=0.7)
VALUES.row("part headings", "in brackets, verse", ("[Verse]", "[Chorus]", "[Bridge]"), weight=0.4)
VALUES.row("part headings", "intro and verse", ("Intro:", "Verse:", "Outro:"), weight=0.4)
VALUES.row(
    "part headings",
    "once through",
    ("1st time through", "2nd time through", "3rd time through"),
    weight=0.3,
)
VALUES.row("part headings", "up the neck", ("Basic", "Up the neck", "Back down"), weight=0.3)
VALUES.row("part headings", "bold", ("**A Part**", "**B Part**", "**C Part**"), weight=0.3)

VALUES.row("jumps", "from the start to the end sign", Jump(text="D.C. al Fine"), weight=0.4)

VALUES.row("letters", "a column to the left", Counts(shift=-1), weight=0.2)
VALUES.row("chords", "changes with bars", Chords(place="changes", form="|{}"), weight=0.2)


VALUES.row("rests", "z with a legend", Rest(sign="z", legend="z: rest"), weight=0.3)

VALUES.row("like measures", "per cent sign", "%", weight=0.8)

VALUES.row("slip", "a column too few", "a column too few", weight=0.5)
VALUES.row("slip", "a dash too many on one row", "a dash too many on one row", weight=0.5)

VALUES.row("triplets", "three between strokes", "|-3-|", weight=0.3)


@VALUES.function("columns said", "columns to a note", weight=0.5)
def columns_to_a_note(spread: tuple[int, int], meter: Meter) -> str:
    return f"{spread[0]} column{'s' * (spread[0] > 1)} = one eighth note"


@VALUES.function("columns said", "in a sentence", weight=0.3)
def columns_in_a_sentence(spread: tuple[int, int], meter: Meter) -> str:
    words = (
        "One character is",
        "Two characters are",
        "Three characters are",
        "Four characters are",
    )
    return f"{words[spread[0] - 1]} an eighth note."
