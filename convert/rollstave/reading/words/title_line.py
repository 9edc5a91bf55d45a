"""A title with more behind it on its line: ``Nettle Hill (gDGCD)``, ``Nettle Hill - key of G``."""

from __future__ import annotations

import re

from msgspec.structs import replace

from rollstave.grid.typed import Heading
from rollstave.reading.page.decode import Line
from rollstave.reading.words.dividing import Piece, pieces
from rollstave.reading.words.headings import REMARK, bare_heading, read_headings
from rollstave.reading.words.tuning_words import are_letters

_QUOTES = re.compile(r"""^(["'])(?P<inside>.*\S)\1$""")
# "Nettle Hill by Mara Quay", with the name in capitals.
_BY = re.compile(r"(?P<title>\S.*\S)\s+by\s+(?P<name>[A-Z][\w.'-]*(?:\s+[A-Z][\w.'-]*)+)$")
_LONG_DASH = ("--", "---")
# "Ropewalk Waltz 3/4", "Willow Gate gDGCD": the last word of a title says more.
_METER_AT_END = re.compile(
    r"(?P<title>\S.*\S)\s+(?:in\s+)?(?P<last>\d{1,2}/(?:2|4|8|16))(?:\s+time)?$"
)
_WORD_AT_END = re.compile(r"(?P<title>\S.*\S)\s+(?P<last>\S{4,12})$")


def split_title(line: Line, start: int, text: str) -> tuple[str, list[Heading]]:
    """The title, and what else ``text`` says, which stands at ``line.text[start:]``.

    The title ends where something that is understood begins (a key, a tuning, a name after
    "by"), or at a long dash: what follows that is the source. Else all of it is title.
    """
    found = pieces(text)
    end = next(
        (
            index
            for index in range(1, len(found))
            if _understood(line, start, found[index]) or found[index].divider in _LONG_DASH
        ),
        len(found),
    )
    if not found:
        return text, []
    # A bracket that what is understood stands in does not belong to the title.
    while end > 1 and _is_open(text[: found[end - 1].start + len(found[end - 1].text)]):
        end -= 1
    last = found[end - 1]
    title = text[: last.start + len(last.text)]
    if end == len(found):
        title = text
    more: list[Heading] = []
    for piece in found[end:]:
        if headings := _understood(line, start, piece):
            more += headings
        elif more and more[-1].key == "source" and piece.divider.strip() == ",":
            more[-1] = replace(more[-1], text=f"{more[-1].text}, {piece.text}")
        else:
            key = "source" if piece.divider in _LONG_DASH else REMARK
            more.append(Heading(key, piece.text, line.place(start + piece.start)))
    for pattern, key in ((_METER_AT_END, "time"), (_WORD_AT_END, "tuning")):
        match = pattern.match(title)
        if match and (key == "time" or are_letters(match["last"])):
            more.insert(0, Heading(key, match["last"], line.place(start + match.start("last"))))
            title = match["title"]
    if by := _BY.match(title):
        more.insert(0, Heading("composer", by["name"], line.place(start + by.start("name"))))
        title = by["title"]
    quoted = _QUOTES.match(title)
    return (quoted["inside"] if quoted else title), more


def _is_open(text: str) -> bool:
    return any(text.count(left) > text.count(right) for left, right in ("()", "[]"))


def _understood(line: Line, start: int, piece: Piece) -> list[Heading] | None:
    if found := bare_heading(line, start + piece.start, piece.text):
        return [found]
    # With a keyword and a colon; blanks before, so that places stay right.
    at = start + piece.start
    return read_headings(line.with_text(" " * at + piece.text), head=True)
