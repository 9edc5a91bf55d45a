"""Telling the rows of a system from words, and a row's label from its body."""

from __future__ import annotations

import re
from dataclasses import dataclass

from rollstave.reading.decode import Line

_LABEL = re.compile(
    r"\s*(?P<label>[A-Ga-g](?:#|♯|♭|b(?=[\s|:\-]))?[0-9']?)"
    r"(?P<end>\s*(?=\|)|\s*:(?!\|)|\s*:(?=\|)|\s+(?=[-|\d(<xX])|(?=-))"
)
_BODY_CHARACTERS = set("-0123456789|:hpsHPSbB^~xX()<>*/\\=._ rRtTvo[]{},'")


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a system: its line, its label ("" for none) and where its body starts."""

    line: Line
    label: str
    start: int

    @property
    def body(self) -> str:
        return self.line.text[self.start :]


def as_row(line: Line) -> Row | None:
    """The line as a row of a tab system, or None if it is something else.

    A row has at least three dashes, is made of dashes, bars, frets and signs, and dashes, bars
    and digits are the most of it.
    """
    text = line.text
    if text.count("-") < 3:
        return None
    label, start = "", len(text) - len(text.lstrip())
    match = _LABEL.match(text)
    if match:
        label, start = match["label"], match.end()
    body = text[start:]
    last_bar = body.rfind("|")
    core = body[: last_bar + 1] if last_bar > 0 else body
    inside = core.replace(" ", "")
    if not inside or sum(c in _BODY_CHARACTERS for c in core) < 0.95 * len(core):
        return None
    solid = sum(c in "-|0123456789" for c in inside)
    if solid < 0.55 * len(inside) or core.count("-") < 0.25 * len(inside):
        return None
    if "---" not in core and "|" not in core:
        return None
    return Row(line, label, start)
