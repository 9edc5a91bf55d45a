"""The account of a file: what every character of it was taken for.

Whoever reads a character claims it. What nobody has claimed at the end is reported, so that
nothing of a file is lost without a word.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from enum import Enum

from rollstave.problems import Place, ProblemList
from rollstave.reading.page.decode import Line
from rollstave.vocabulary import problems as kinds


class Use(Enum):
    """What a character was taken for."""

    MUSIC = "music"
    LABEL = "label"
    WORD = "word over or under a system"
    HEADING = "heading"
    SECTION = "section name"
    TEXT = "free text"
    DIRECTION = "direction to repeat or go back"
    FRAME = "quote mark, number or markup around the tab"
    REPORTED = "reported as not understood"


class Ledger:
    """Claims on the characters of a file, by place."""

    def __init__(self, lines: Iterable[Line] = ()) -> None:
        self._claims: dict[int, list[Use | None]] = {}
        for line in lines:
            self.open(line)

    def open(self, line: Line) -> None:
        """Begin the account of a line of the file."""
        # Characters that are not seen (joiners, marks of direction) are no words to report.
        self._claims[line.number] = (
            [None] * len(line.typed)
            if line.typed.isascii()
            else [Use.FRAME if unicodedata.category(c) == "Cf" else None for c in line.typed]
        )

    def claim(self, line: Line, start: int, end: int, use: Use) -> None:
        """Take the characters ``line.text[start:end]``."""
        end = min(end, len(line.text))
        claims = self._claims.get(line.number)
        if line.continued is None and claims is not None:
            if line.columns is None:
                end = min(end, len(claims))
                claims[start:end] = [use] * max(0, end - start)
                return
            for column in line.columns[start:end]:
                if column < len(claims):
                    claims[column] = use
            return
        for index in range(start, end):
            self.claim_place(line.place(index), use)

    def claim_place(self, place: Place, use: Use) -> None:
        claims = self._claims.get(place.line)
        if claims is not None and place.column <= len(claims):
            claims[place.column - 1] = use

    def claim_line(self, line: Line, use: Use) -> None:
        """Take all of a line that is not yet taken."""
        claims = self._claims.get(line.number, [])
        claims[:] = [use if claim is None else claim for claim in claims]
        if line.continued is not None:
            self.claim_line(line.continued, use)

    def use(self, place: Place) -> Use | None:
        """What the character at a place was taken for; None for blanks that nobody took."""
        return self._claims[place.line][place.column - 1]

    def lines_with(self, use: Use) -> set[int]:
        """The numbers of the lines of which something was taken for this."""
        return {number for number, claims in self._claims.items() if use in claims}

    def report_rest(self, lines: Iterable[Line], problems: ProblemList) -> None:
        """Report every word of some lines that holds characters nobody has claimed."""
        for line in lines:
            claims = self._claims[line.number]
            if None not in claims:
                continue
            for word in re.finditer(r"\S+", line.typed):
                start = word.start()
                while start < word.end():
                    if claims[start] is not None:
                        start += 1
                        continue
                    start = self._report_run(line, start, word.end(), problems)

    def _report_run(self, line: Line, start: int, limit: int, problems: ProblemList) -> int:
        """Report one run of unclaimed characters; the index after it."""
        claims = self._claims[line.number]
        end = start
        while end < limit and claims[end] is None:
            claims[end] = Use.REPORTED
            end += 1
        problems.add(
            kinds.UNREAD,
            f"{line.typed[start:end]!r} is not understood here; it is left out of the music",
            Place(line.number, start + 1),
        )
        return end
