"""Taking off what surrounds a tab: quote marks of a mail, markup of a page, asterisks of a chat."""

from __future__ import annotations

import html
import re
from collections.abc import Sequence

from rollstave.reading.decode import Line
from rollstave.reading.ledger import Ledger, Use

_QUOTE = re.compile(r"\s*(?:>\s?)+")
# Only tags by name: <12> is a harmonic.
_TAG = re.compile(
    r"</?(?:!doctype|html|head|body|title|pre|br|p|div|span|code|tt|font|a|b|i|u|em|strong|h[1-6]"
    r"|center|blockquote|td|tr|table|hr|meta|script|style)(?:\s[^<>]*)?/?>|<!--.*?-->",
    re.IGNORECASE,
)
_ENTITY = re.compile(r"&(?:[a-z]{2,8}|#\d{1,6}|#x[0-9a-f]{1,5});", re.IGNORECASE)
_FENCE = re.compile(r"\s*(?:```|~~~)\w*\s*$")


def scrub(lines: Sequence[Line], ledger: Ledger) -> list[Line]:
    """The lines without quote marks, tags, character references and code fences.

    A mark that is taken off is claimed in the ledger; all other characters keep their places.
    """
    markup = any(_TAG.search(line.text) for line in lines)
    return [_scrub(line, markup, ledger) for line in lines]


def _scrub(line: Line, markup: bool, ledger: Ledger) -> Line:
    if match := _QUOTE.match(line.text):
        ledger.claim(line, 0, match.end(), Use.FRAME)
        line = line.without(0, match.end())
    if _FENCE.match(line.text):
        ledger.claim(line, 0, len(line.text), Use.FRAME)
        return line.with_text(" " * len(line.text))
    if markup and ("<" in line.text or "&" in line.text):
        line = _without_markup(line, ledger)
    return line


def _without_markup(line: Line, ledger: Ledger) -> Line:
    """Rebuilt piece by piece from the left, so that long lines cost no more than their length."""
    pieces: list[str] = []
    columns: list[int] = []
    own = line.columns or tuple(range(len(line.text)))
    at = 0
    for match in re.finditer(f"{_TAG.pattern}|{_ENTITY.pattern}", line.text, re.IGNORECASE):
        pieces.append(line.text[at : match.start()])
        columns.extend(own[at : match.start()])
        if match[0].startswith("&"):
            plain = html.unescape(match[0])[:1].replace("\u00a0", " ")
            pieces.append(plain)
            columns.append(own[match.start()])
            # The first character stands for all; it is claimed by whoever reads it.
            ledger.claim(line, match.start() + 1, match.end(), Use.FRAME)
        else:
            ledger.claim(line, match.start(), match.end(), Use.FRAME)
        at = match.end()
    pieces.append(line.text[at:])
    columns.extend(own[at:])
    return Line(line.number, "".join(pieces), line.typed, tuple(columns))
