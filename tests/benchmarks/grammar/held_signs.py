"""Values that are set aside. WHO MENDS THE READER MUST NOT READ THIS MODULE.

Its texts are only reported on, as totals.

Signs: slurs, marks, ties, legends, counts, letters, chords, jumps, parts."""

from __future__ import annotations

from tests.benchmarks.grammar.choices import Table
from tests.benchmarks.grammar.signs import Chords, Counts, Links, Marks, Tie

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

VALUES.row("link place", "after the note left", "after", weight=3)

VALUES.row("marks", "muted", Marks(mark="x", typed="x"), weight=0.7)
VALUES.row("marks", "harmonics in angles", Marks(mark="*", typed="<{}>"), weight=0.5)
VALUES.row("marks", "vibrato", Marks(mark="~", typed="{}~"), weight=0.5)

VALUES.row("ties", "square brackets", Tie(typed="[{}]", legend="[n] tied note"), weight=0.3)

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
VALUES.row("part headings", "bold", ("**A Part**", "**B Part**", "**C Part**"), weight=0.3)

VALUES.row("jumps", "from the start to the end sign", "D.C. al Fine", weight=0.4)
