"""Values that are set aside. WHO MENDS THE READER MUST NOT READ THIS MODULE.

Its texts are only reported on, as totals.

Files: encodings, line ends, quoting, markup, mail, wraps."""

from __future__ import annotations

import html

from tests.benchmarks.grammar.choices import Table

VALUES = Table()

# The codec, and whether apostrophes and hyphens in words become typographic.
VALUES.row("encoding", "UTF-8 with a mark", ("utf-8-sig", False), weight=0.8)
VALUES.row("encoding", "Windows, typographic", ("cp1252", True), weight=0.8)
VALUES.row("encoding", "UTF-16", ("utf-16", False), weight=0.5)

VALUES.row("line ends", "no end of the last line", "", weight=0.5)

VALUES.row("trailing", "two spaces", "  ", weight=0.7)
VALUES.row("trailing", "two spaces after rows", "rows", weight=0.5)

VALUES.row("quoting", "twice", ("> > ", ()), weight=0.3)

# Lines before and after, and what becomes of the text between.
VALUES.row("quoting", "four spaces", ("    ", ()), weight=0.3)

VALUES.row("quoting", "greater sign, own remarks between", ("> ", ("remark", "prose")), weight=0.4)

VALUES.row("spacing", "all lines apart", "all", weight=0.5)

VALUES.row("markup", "pre", (("<pre>",), ("</pre>",)), weight=0.7)
VALUES.row("markup", "named code fence", (("```text",), ("```",)), weight=0.3)
VALUES.row("markup", "tildes", (("~~~",), ("~~~",)), weight=0.2)
VALUES.row("markup", "forum code", (("[code]",), ("[/code]",)), weight=0.5)


VALUES.row("markup", "paragraphs", (("<p>",), ("</p>",)), weight=0.15)

VALUES.row("escapes", "html", lambda text: html.escape(text, quote=False), weight=0.5)


VALUES.row("mail", "closing", ((), ("", "Best wishes,", "Hesper")), weight=0.4)

# The width at which a program broke the lines, and what it did with the rest.

VALUES.row("wrap", "sixty-five columns", 65, weight=0.3)

VALUES.row("rules", "dashes between parts", "-" * 40, weight=0.4)

VALUES.row("page lines", "number between dashes", "- 2 -", weight=0.3)
VALUES.row("page lines", "page of pages", "p. 2/3", weight=0.2)
