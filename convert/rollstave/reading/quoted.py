"""Mail's own coding of text: ``=3D`` for an equals sign, ``=20`` for a blank at the end of a line,
``=`` where a long line was cut (quoted-printable, RFC 2045 section 6.7)."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from rollstave.reading.decode import Line, plain
from rollstave.reading.ledger import Ledger, Use

_CODES = re.compile(r"(?:=[0-9A-F]{2})+")
_SIGNS = re.compile(r"=20$|=3D|=[89A-F][0-9A-F]")
_CUT = re.compile(r"=\s*$")


def uncoded(lines: Sequence[Line], ledger: Ledger) -> list[Line]:
    """The lines as they were before they were coded, and unchanged if they are not.

    They are coded if there are some codes, and every equals sign belongs to one: rows of equals
    signs, ties and legends have others.
    """
    texts = [line.text for line in lines if "=" in line.text]
    if not any(_SIGNS.search(text) for text in texts):
        return list(lines)
    if any("=" in _CUT.sub("", _CODES.sub("", text)) for text in texts):
        return list(lines)
    found: list[Line] = []
    cut = False
    for line in lines:
        more = _CUT.search(line.text)
        whole = _decoded(line, ledger)
        if more:
            at = whole.text.rindex("=")
            ledger.claim(whole, at, at + 1, Use.FRAME)
            whole = whole.with_text(whole.text[:at])
        if cut and found:
            found[-1] = _joined(found[-1], whole)
        else:
            found.append(whole)
        cut = more is not None
    return found


def _decoded(line: Line, ledger: Ledger) -> Line:
    """A line with its codes put back to characters, every one at its place."""
    pieces: list[str] = []
    columns: list[int] = []
    own = line.columns or tuple(range(len(line.text)))
    at = 0
    for match in _CODES.finditer(line.text):
        pieces.append(line.text[at : match.start()])
        columns.extend(own[at : match.start()])
        data = bytes.fromhex(match[0].replace("=", ""))
        try:
            text = data.decode("utf-8")
        except UnicodeDecodeError:
            text = data.decode("cp1252", errors="replace")
        text = plain(text)
        pieces.append(text)
        columns.extend([own[match.start()]] * len(text))
        # The first character stands for all; it is claimed by whoever reads it.
        first = match.start() + bool(text.strip())
        ledger.claim(line, first, match.end(), Use.FRAME)
        at = match.end()
    if not pieces:
        return line
    pieces.append(line.text[at:])
    columns.extend(own[at:])
    return Line(line.number, "".join(pieces).rstrip(), line.typed, tuple(columns))


def _joined(first: Line, second: Line) -> Line:
    """Two lines as one; a third may follow."""
    if first.continued is not None:
        inner = _joined(first.continued, second)
    else:
        first = replace(first, break_at=len(first.text))
        inner = second
    text = first.text[: first.break_at] + inner.text
    return replace(first, text=text, continued=inner)
