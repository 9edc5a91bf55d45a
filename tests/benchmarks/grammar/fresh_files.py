"""Values that are set aside afresh. WHO MENDS THE READER MUST NOT READ THIS MODULE.

Its texts are only reported on, as totals.

Files: encodings, line ends, quoting, markup, mail, wraps."""

from __future__ import annotations

import re

from tests.benchmarks.grammar.choices import Table

VALUES = Table()

# The codec, and whether apostrophes and hyphens in words become typographic.
VALUES.row("encoding", "Mac Roman, typographic", ("mac-roman", True), weight=0.4)
VALUES.row("encoding", "UTF-16, the other way round", ("utf-16-be", False), weight=0.3)
VALUES.row("encoding", "code page of a terminal, lines drawn", ("cp437", "drawn"), weight=0.3)

VALUES.row("line ends", "the end sign of an old system", "\r\n\x1a", weight=0.5)
VALUES.row("line ends", "of two systems", "mixed", weight=0.5)

VALUES.row("trailing", "filled up to eighty columns", "eighty", weight=0.6)
VALUES.row("trailing", "closed line breaks of a page", "<br />", weight=0.3)
VALUES.row("trailing", "a tab character", "\t", weight=0.3)

VALUES.row("quoting", "bar", ("| ", ()), weight=0.2)
VALUES.row("quoting", "brace", ("} ", ()), weight=0.2)
VALUES.row("quoting", "tab character", ("\t", ()), weight=0.4)
VALUES.row("quoting", "three times", (">>> ", ()), weight=0.3)

VALUES.row("spacing", "blanks on empty lines", "blanks", weight=0.6)
VALUES.row("spacing", "all lines far apart", "all twice", weight=0.2)

# Lines before and after.
VALUES.row("markup", "wiki braces", (("{{{",), ("}}}",)), weight=0.2)
VALUES.row("markup", "forum quote", (("[quote]",), ("[/quote]",)), weight=0.4)
VALUES.row("markup", "code tags", (("<code>",), ("</code>",)), weight=0.3)
VALUES.row("markup", "forum font", (("[font=Courier New]",), ("[/font]",)), weight=0.3)
VALUES.row("markup", "verbatim", (("\\begin{verbatim}",), ("\\end{verbatim}",)), weight=0.2)
VALUES.row("markup", "cut here", (("=====CUT HERE=====",), ("=====CUT HERE=====",)), weight=0.3)
VALUES.row(
    "markup", "page comments", (("<!-- tab starts -->",), ("<!-- tab ends -->",)), weight=0.2
)


@VALUES.function("escapes", "blanks that do not break", weight=0.5)
def hard_blanks(text: str) -> str:
    return text.replace("  ", " \u00a0")


@VALUES.function("escapes", "tab characters for blanks", weight=0.5)
def tab_characters(text: str) -> str:
    """Runs of blanks as an editor saves them, with a stop every eight columns."""
    cells = [text[i : i + 8] for i in range(0, len(text), 8)]
    return "".join(re.sub(r" {2,}$", "\t", cell) if len(cell) == 8 else cell for cell in cells)


VALUES.row(
    "mail",
    "news",
    (
        (
            "Newsgroups: larkspur.music.banjo",
            "From: tibby@larkspur-ferry.example (Tibby Crane)",
            "Subject: TAB: by request",
            "Date: 14 Nov 1996 08:15:02 GMT",
            "Lines: 58",
            "",
        ),
        (),
    ),
    weight=0.5,
)
VALUES.row("mail", "from a phone", ((), ("", "Sent from my phone")), weight=0.5)
VALUES.row(
    "mail",
    "a message board",
    (
        ("Msg#: 412   Board: STRINGS", "From: MAUD PELLOW", "  To: ALL", "Subj: New tab", ""),
        ("", "___ via the Ferry Board"),
    ),
    weight=0.3,
)
VALUES.row(
    "mail",
    "an answer with thanks",
    (
        ("Thanks Hesper, here it is as I play it.", "", "Amos Sedge wrote on 3/2/2014:", ""),
        ("", "Regards", "Wick"),
    ),
    weight=0.4,
)

# The width at which a program broke the lines, and what it did with the rest.
VALUES.row("wrap", "seventy columns", 70, weight=0.4)
VALUES.row("wrap", "seventy-eight columns", 78, weight=0.4)

VALUES.row("rules", "dashes and equals between parts", "-=-=-=-=-=-=-=-=-=-", weight=0.3)
VALUES.row("rules", "underscores between parts", "_" * 50, weight=0.4)
VALUES.row("rules", "an ornament between parts", "---oOo---", weight=0.2)

VALUES.row("page lines", "page in brackets", "[page 2]", weight=0.3)
VALUES.row("page lines", "turn over", "(over)", weight=0.3)
VALUES.row("page lines", "title and page", "{title}, p. 2", weight=0.3)
VALUES.row("page lines", "school and page", "Larkspur Ferry School of Music          2", weight=0.2)
