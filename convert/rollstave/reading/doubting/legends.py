"""Signs that the tab's words explain, and whose meaning nobody has taken."""

from __future__ import annotations

import re

from rollstave.patterns import rare
from rollstave.problems import Severity
from rollstave.reading.cells.signs import meaning_of
from rollstave.reading.doubting.read import Read
from rollstave.reading.rows.records import Row
from rollstave.vocabulary import problems as kinds

# A sign of the rows and what is said of it: "z = nothing sounds", "' means a grace note".
_EXPLAINED = rare(
    r"(?<![^\s,;(\"])[\"']?(?P<sign>[^\s\w|:.,;()\-\"]|\(\d{0,2}\)|<\d{0,2}>|\[\d{0,2}\]"
    r"|\d(?P<between>['`^~/\\*!])\d|[A-Za-z]{1,2})[\"']?"
    r"\s*(?:=|(?:is|are|means?|stands?\s+for|marks|shows|was)\b)\s*(?P<words>[A-Za-z][^=;.]{2,60})"
)
_KNOWN = frozenset("xX%")  # whatever is said of them, they are no note of their own
_OF_LETTERS = 2  # a letter among dashes or behind a figure is a sign


def legends_not_taken(read: Read) -> None:
    """Say which sign of the rows words explain in a way that is not understood."""
    taken = {own.sign for own in read.state.signs.own}
    for note, line in read.whole_lines():
        for match in _EXPLAINED.finditer(line.text):
            sign = match["between"] or match["sign"]
            if sign[0] + sign[-1] in ("()", "<>", "[]"):
                sign = sign[0] + sign[-1]
            if sign in taken or sign in _KNOWN or meaning_of(match["words"]) is not None:
                continue
            if stands_in_rows(read, sign):
                read.say(
                    kinds.LEGEND,
                    f"what these words say of {sign} is not understood; it is read as usual",
                    note.place,
                    Severity.WARNING,
                )
                return


def stands_in_rows(read: Read, sign: str) -> bool:
    """True if a sign stands among the frets of a tune."""
    first, last = read.grid.measures[0].first_line, read.grid.measures[-1].last_line
    return any(
        _has(row, sign)
        for block in read.state.blocks
        for system in block.systems
        for row in system.rows
        if first <= row.line.number <= last
    )


def _has(row: Row, sign: str) -> bool:
    """True if a sign stands among the frets of a row."""
    first, last = re.escape(sign[0]), re.escape(sign[-1])
    around = len(sign) == _OF_LETTERS and not sign.isalpha()
    form = rf"{first}\d{{1,2}}{last}" if around else rf"(?<=[-\d]){re.escape(sign)}(?=[-\d|])"
    return re.search(form, row.body) is not None
