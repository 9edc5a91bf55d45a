"""The typed lines of one system: putting words under a measure, or room between its notes.

Indices are those of the reader's own lines (tabs expanded, quote marks taken off), so that what
is written stands where the reader looks for it.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Sequence

from rollstave.grid.typed import Column, GridMeasure, GridTune, LineKind
from rollstave.reading.page.decode import Line
from rollstave.reading.reader import plain_lines

# The line ends that split_lines knows; kept as they are.
_LINE_END = re.compile(r"(\r\r?\n|[\n\r\x85\u2028\u2029])")
_RHYTHM = (LineKind.COUNTS, LineKind.DURATIONS)
_FILLS = "-=_ ."
_LEADS = "([<{hpsHPS/\\"  # signs that stand before the fret that they lead to


class SystemText:
    """The lines around one measure of a text."""

    def __init__(self, text: str, tune: GridTune, measure: GridMeasure) -> None:
        pieces = _LINE_END.split(text)
        self.typed, self.ends = pieces[0::2], [*pieces[1::2], ""]
        self.lines = plain_lines(text)
        self.measure = measure
        self.words = [a for m in tune.measures if m.system == measure.system for a in m.attachments]
        self.start = _index(self._line(measure.first_line), measure.first_column - 1)
        self.changed: dict[int, str] = {}
        self.new: dict[int, list[str]] = {}

    def _line(self, number: int) -> Line:
        return self.lines[number - 1]

    def with_words(self, kind: LineKind, placed: Sequence[tuple[int, str]], apart: bool) -> str:
        """The text with words at positions of the measure, in a line of their kind under the
        system; what said its rhythm before is taken out.

        ``apart`` puts an empty line under a new line, where rows would follow at once.
        """
        self.changed, self.new = {}, {}
        contents: dict[int, str] = {}
        for word in self.measure.attachments:
            if word.kind in _RHYTHM:
                line = self._line(word.place.line)
                held = contents.setdefault(line.number, line.text)
                at = _index(line, word.place.column - 1)
                contents[line.number] = _put(held, at, " " * len(word.text))
        home = next((w.place.line for w in self.words if w.kind is kind), None)
        written = "" if home is None else contents.get(home, self._line(home).text)
        for position, typed in placed:
            written = _put(written, self.start + position, typed)
        if home is None:
            after = self._last_line()
            self.new[after] = [self._prefix(self._line(after)) + written, *([""] if apart else [])]
        else:
            contents[home] = written
        for number, content in contents.items():
            self.changed[number] = self._prefix(self._line(number)) + content.rstrip()
        return self._joined()

    def widened(self, room: Sequence[tuple[Column | None, int]]) -> str:
        """The text with columns put in before notes of the measure, in all lines of its system.

        ``room`` has, from left to right, the column of notes (None for the bar) and how many.
        """
        self.changed, self.new = {}, {}
        rows = range(self.measure.first_line, self.measure.last_line + 1)
        others = {w.place.line for w in self.words} - set(rows)
        above = self.measure.first_line - 1
        while above > 0 and not self._line(above).blank:
            others.add(above)
            above -= 1
        for number in (*rows, *sorted(others)):
            line = self._line(number)
            content = line.text
            for column, count in reversed(room):
                at = self.start + (self.measure.width if column is None else column.position)
                if number in rows:
                    struck = column is not None and any(
                        s.place.line == number for s in column.strokes
                    )
                    content = _spread_row(content, at, count, struck)
                else:
                    content = _spread_words(content, at, count)
            if content != line.text:
                self.changed[number] = self._prefix(line) + content
        return self._joined()

    def _last_line(self) -> int:
        """The line after which a new one goes: the last row, or picking letters under it."""
        found = self.measure.last_line
        picking = {w.place.line for w in self.words if w.kind is LineKind.PICKING}
        while found + 1 in picking:
            found += 1
        return found

    @staticmethod
    def _prefix(line: Line) -> str:
        """What was typed before the reader's first character: quote marks of a mail."""
        return line.typed[: line.columns[0]] if line.columns else ""

    def _joined(self) -> str:
        out = []
        for number, (content, end) in enumerate(zip(self.typed, self.ends, strict=True), start=1):
            content = self.changed.get(number, content)
            if number in self.changed and not content.strip():
                continue  # a line of counts from which the last was taken
            out.append(content + end)
            for extra in self.new.get(number, ()):
                here = end or _usual(self.ends)
                out.append(extra + here if end else here + extra)
        return "".join(out)


def _usual(ends: Sequence[str]) -> str:
    return next((end for end in ends if end), "\n")


def _index(line: Line, column: int) -> int:
    """The index in the reader's line of a typed column, both from 0."""
    return column if line.columns is None else bisect_left(line.columns, column)


def _put(text: str, at: int, word: str) -> str:
    text = text.ljust(at + len(word))
    return text[:at] + word + text[at + len(word) :]


def _spread_row(text: str, at: int, count: int, struck: bool) -> str:
    """Put ``count`` columns into a row before index ``at``, where a note is struck or not: before
    the note's own signs, or after a fret of the note before that reaches over ``at``. What leads
    to a further fret may be away from the first, as notes of other rows may stand between."""
    if at > len(text):
        return text
    if struck:
        while at > 0 and text[at - 1] in _LEADS:
            at -= 1
    else:
        while 0 < at < len(text) and _in_sign(text[at - 1]) and _in_sign(text[at]):
            if text[at] in _LEADS:
                break
            at += 1
    fill = next((c for c in text[max(0, at - 1) : at + 1] if c in _FILLS), "-")
    return text[:at] + fill * count + text[at:]


def _in_sign(character: str) -> bool:
    return character not in _FILLS and character not in "|:"


def _spread_words(text: str, at: int, count: int) -> str:
    """The same in a line of words; a word that reaches over ``at`` stays whole."""
    if at >= len(text):
        return text
    while 0 < at < len(text) and text[at - 1] != " ":
        at += 1
    return text[:at] + " " * count + text[at:]
