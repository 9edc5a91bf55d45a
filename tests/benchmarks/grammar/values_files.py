"""Files: encodings, line ends, quoting, markup, mail, wraps."""

from __future__ import annotations

import html

from tests.benchmarks.grammar.choices import Table

VALUES = Table()

# The codec, and whether apostrophes and hyphens in words become typographic.
VALUES.row("encoding", "UTF-8", ("utf-8", False), weight=6)
VALUES.row("encoding", "UTF-8, typographic", ("utf-8", True), weight=0.8)
VALUES.row("encoding", "Latin-1", ("latin-1", False), weight=0.8)
VALUES.row("encoding", "Mac Roman", ("mac-roman", False), weight=0.2)

VALUES.row("line ends", "line feeds", "\n", weight=5)
VALUES.row("line ends", "carriage return and line feed", "\r\n", weight=1.5)
VALUES.row("line ends", "carriage returns", "\r", weight=0.3)

VALUES.row("trailing", "none", "", weight=6)
VALUES.row("trailing", "line breaks of a page", "<br>", weight=0.3)
VALUES.row("trailing", "backslashes", "\\", weight=0.15)
VALUES.row("trailing", "form feed between tunes", "\f", weight=0.2)

VALUES.row("quoting", "none", ("", ()), weight=10)
VALUES.row("quoting", "greater sign", ("> ", ()), weight=0.8)
VALUES.row("quoting", "greater sign without space", (">", ()), weight=0.3)
VALUES.row("quoting", "colon", (": ", ()), weight=0.15)

# Lines before and after, and what becomes of the text between.
VALUES.row("quoting", "greater sign, close, twice", (">> ", ()), weight=0.2)
VALUES.row("quoting", "initials", ("OF> ", ()), weight=0.15)


VALUES.row("spacing", "single", "", weight=12)
VALUES.row("spacing", "rows apart", "rows", weight=0.5)

VALUES.row("markup", "none", ((), ()), weight=10)
VALUES.row("markup", "code fence", (("```",), ("```",)), weight=0.8)
VALUES.row("markup", "forum tab", (("[tab]",), ("[/tab]",)), weight=0.4)
VALUES.row("markup", "page", (("<html><body><pre>",), ("</pre></body></html>",)), weight=0.3)
VALUES.row("markup", "begin and end", (("BEGIN TAB",), ("END TAB",)), weight=0.2)
VALUES.row("markup", "scissors", (("--------8<--------",), ("-------->8--------",)), weight=0.2)


VALUES.row("markup", "spoiler", (("[spoiler]", "[code]"), ("[/code]", "[/spoiler]")), weight=0.15)

VALUES.row("escapes", "none", lambda text: text, weight=12)
VALUES.row(
    "escapes",
    "apostrophes and angles",
    lambda text: text.replace("<", "&lt;").replace("'", "&#39;"),
    weight=0.2,
)
VALUES.row("escapes", "quoted marks too", lambda text: html.escape(text, quote=True), weight=0.2)


VALUES.row("mail", "none", ((), ()), weight=10)
VALUES.row(
    "mail",
    "headers",
    (
        (
            "From: Orla Finch <orla@larkspur-ferry.example>",
            "To: banjo list <list@larkspur-ferry.example>",
            "Date: Tue, 3 Mar 2009 19:12:44 +0000",
            "Subject: the tab I promised",
            "",
        ),
        (),
    ),
    weight=0.8,
)
VALUES.row(
    "mail",
    "headers and signature",
    (
        ("From: Ned Oxlip", "Sent: 12 May 2011", "Subject: Re: tab", ""),
        ("-- ", "Ned Oxlip", "Larkspur Ferry School of Music"),
    ),
    weight=0.5,
)
VALUES.row("mail", "signature", ((), ("--", "Tibby Crane, Larkspur Ferry")), weight=0.5)
VALUES.row("mail", "somebody wrote", (("On 4 June, Amos Sedge wrote:", ""), ()), weight=0.4)
VALUES.row(
    "mail",
    "forwarded",
    (("---------- Forwarded message ----------", "From: Jory Quill", ""), ()),
    weight=0.3,
)
VALUES.row(
    "mail", "posted", (("Posted by: Wick Tansley on 02/11/2007 at 21:40", ""), ()), weight=0.3
)

# The width at which a program broke the lines, and what it did with the rest.
VALUES.row("wrap", "none", 0, weight=12)
VALUES.row("wrap", "seventy-two columns", 72, weight=0.7)
VALUES.row("wrap", "seventy-six columns", 76, weight=0.4)
VALUES.row("wrap", "sixty columns", 60, weight=0.3)

VALUES.row("wrap", "eighty columns", 80, weight=0.4)

VALUES.row("rules", "none", "", weight=10)
VALUES.row("rules", "equals signs between parts", "=" * 50, weight=0.4)
VALUES.row("rules", "stars between parts", "* * *", weight=0.3)
VALUES.row("rules", "tildes between parts", "~" * 30, weight=0.2)

VALUES.row("page lines", "none", None, weight=14)
VALUES.row("page lines", "page number", "Page 2", weight=0.3)
VALUES.row("page lines", "title continued", "{title} (continued)", weight=0.3)
