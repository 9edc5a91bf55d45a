"""Telling the rows of a system from words, and a row's label from its body."""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from rollstave.problems import ProblemList
from rollstave.reading.beside.stems import looks_drawn
from rollstave.reading.page.decode import Line
from rollstave.reading.words.headings import remark_after
from rollstave.vocabulary import problems as kinds

# Before a label people put a bullet or a number; after it a bar, a colon, a bracket or a gap.
_LABEL = re.compile(
    r"\s*(?P<mark>(?:[*•·]|-(?=\s)|\(?\d{1,2}(?:[.)]|-(?=\s)))\s+)?"
    r"(?P<open>[(\[])?(?P<label>[A-Ga-g](?:#|♯|♭|b(?=[\s|:!+)\]\-\d']))?[0-9']?)(?(open)[)\]])"
    r"(?P<end>-{1,2}(?=\|)|\s*(?:\.\s*)?(?=[|!])|\s*:(?!\|)|\s*:(?=\|)|\s+(?=[-=|\d(<xX])|(?=[-=])|\s*[)\]](?=[-|]))"
)
# A bracket over an ending, drawn with dashes: |1.--------|2.------
_ENDING = re.compile(r"\s*[|\[]?\s?\d[.)](?=[-\s])")
# Strings named by their numbers; only a whole system of them is believed.
_NUMBER_LABEL = re.compile(
    r"\s*(?:(?:string|str\.?) ?#?)?(?P<number>[1-9])(?:st|nd|rd|th)?(?: ?string)?"
    r"(?: ?[=(:]? ?(?P<letter>[A-Ga-g](?:#|♯|♭|b)?)\)?)?"
    r"(?:\s*(?=\|)|\s*[:)](?!\|)|\s+(?=[-|]))",
    re.IGNORECASE,
)
_LETTER_AND_NUMBER = re.compile(
    r"\s*(?P<letter>[A-Ga-g](?:#|♯|♭|b)?) ?[(\[](?P<number>[1-9])[)\]]\s*(?=[|:-])"
)
_MARK = re.compile(r"\s*(?:(?:[*•·]|-(?=\s)|\(?\d{1,2}[.)])\s+)?(?=[-|=_])")
_SIGN_LETTERS = "hpsbxtrvcolumngakifjHPSBXTRLNVO"
# Tables for ``str.translate`` that leave what is no sign of a row, and what is not its bulk.
_NO_BODY = dict.fromkeys(map(ord, "-0123456789|!+:^~()<>*/\\=._ []{},'I&%" + _SIGN_LETTERS))
_NO_SOLID = dict.fromkeys(map(ord, "-|0123456789"))
# What people type for an empty stretch of string where they do not use dashes.
FILLS = "=_. ~·"
_FEWEST_WEAK_ROWS = 4


class Row(Struct, frozen=True):
    """A row of a system: its line, its label ("" for none), where its body starts and ends.

    What stands after ``end`` are words to the right of the row.
    """

    line: Line
    label: str
    start: int
    end: int

    @property
    def body(self) -> str:
        return self.line.text[self.start : self.end]


_SHORT = re.compile(r"\|:?[\d-]*\d[\d-]*:?\|")
_BRACKETED = re.compile(r"[(<]\d{1,2}[)>]")  # a fret in brackets is a fret


def as_row(line: Line) -> Row | None:
    """The line as a row of a tab system, or None if it is something else.

    A row has at least three dashes, is made of dashes, bars, frets and signs, and dashes, bars
    and digits are the most of it.
    """
    text = line.text
    dashes = text.count("-") + len(_BRACKETED.findall(text))
    # A row of a measure with one or two notes has few dashes, but its bars on both sides.
    if dashes < 3 and not (dashes >= 2 and text.count("|") >= 2 and _SHORT.search(text)):
        return None
    label, start = _label(text)
    if not label and _ENDING.match(text):
        return None
    end = body_end(text, start)
    core = text[start:end]
    inside = core.replace(" ", "")
    strange = len(core.translate(_NO_BODY))
    if not inside or strange > max(2, 0.05 * len(core)):
        return None
    brackets = 2 * len(_BRACKETED.findall(inside))
    solid = len(inside) - len(inside.translate(_NO_SOLID)) + brackets
    if solid < 0.55 * len(inside) or core.count("-") + brackets < 0.15 * len(inside):
        return None
    if "---" not in core and "|" not in core:
        return None
    return Row(line=line, label=label, start=start, end=end)


# The name of a part, or the number of a measure, in the margin: "A  D|---".
_MARGIN = re.compile(
    r"\s*(?:(?:part )?[A-Z]|\d{1,3})[.:)]?\s+(?=[A-Ga-g][#b]?\s?\|)", re.IGNORECASE
)


def before_label(text: str) -> int:
    """Where the label of a row begins that has the name of a part before it; else 0."""
    match = _MARGIN.match(text)
    return match.end() if match else 0


def _label(text: str) -> tuple[str, int]:
    """The label of a row and where its body starts."""
    match = _LABEL.match(text) or _LABEL.match(text, before_label(text))
    if match:
        return match["label"], match.end()
    mark = _MARK.match(text)
    return "", mark.end() if mark else len(text) - len(text.lstrip())


def body_end(text: str, start: int) -> int:
    """Where a row ends and words to its right begin, or the end of the line.

    Words come after the last bar, or after a gap if the row has no bar at its end. A run of
    dashes among them means that they are music after all.
    """
    last_bar = text.rfind("|")
    if last_bar > start:
        rest = last_bar + 1
        while rest < len(text) and text[rest] in ":*":
            rest += 1
        if "--" not in text[rest:] and not re.match(r"-*[\d-]*-\s*$", text[rest:]):
            return rest
    for gap in re.finditer(r"(?<=[-\d:])\s+(\S+)", text[start:]):
        word = gap[1]
        letters = sum(c.isalpha() for c in word)
        if letters >= 2 and not set("-|") & set(word) and "--" not in text[start + gap.end() :]:
            return start + gap.start()
    return len(text)


def numbered(rows: Sequence[Row]) -> list[Row] | None:
    """The rows with their string numbers as labels, if every row has one and they count up or
    down by one; else None. Where every number has a letter beside it, that is the label."""
    found = []
    letters, numbers = [], []
    for row in rows:
        text = row.line.text
        match = _NUMBER_LABEL.match(text) or _LETTER_AND_NUMBER.match(text)
        if row.label or match is None:
            return None
        letters.append(match["letter"])
        numbers.append(int(match["number"]))
        found.append(
            Row(
                line=row.line,
                label=match["number"],
                start=match.end(),
                end=body_end(text, match.end()),
            )
        )
    up = list(range(1, len(rows) + 1))
    if numbers not in (up, up[::-1]):
        return None
    if all(letters):
        return [replace(row, label=letter) for row, letter in zip(found, letters, strict=True)]
    return found


def find_rows(lines: Sequence[Line]) -> list[Row | None]:
    """Each line as a row, or None.

    Where people typed another fill than dashes, the rows found hold dashes in its place. Such
    lines are believed only in groups of four or more with something in common: a ruler or a
    line of dots is no row.
    """
    rows = [
        None if looks_drawn(line.text) or _is_remark(line) else as_row(_with_plain_bars(line))
        for line in lines
    ]
    for index in range(1, len(lines) - 1):
        # Two systems side by side, an empty row of both: it has the bars of the row above.
        above, below, line = rows[index - 1], rows[index + 1], lines[index]
        between = rows[index] is None and above is not None and below is not None
        if between and looks_drawn(line.text) and _bars(line.text) == _bars(lines[index - 1].text):
            rows[index] = as_row(line)
    index = 0
    while index < len(lines):
        end = index
        while end < len(lines) and rows[end] is None and not lines[end].blank:
            end += 1
        if end - index >= _FEWEST_WEAK_ROWS:
            for offset, row in _weak_rows(lines[index:end]).items():
                rows[index + offset] = row
        index = max(end, index + 1)
    _strange_among_rows(lines, rows)
    return rows


# Repeats drawn with brackets in place of bars.
_BRACKETED_REPEATS = (("[:", "|:"), (":]", ":|"), ("{:", "|:"), (":}", ":|"))


_LETTER_O = re.compile(r"(?:(?<=-)|(?<=-[12]))[oO](?=[-\dhps])")
_FEWEST_O = 3


def with_zeros(rows: Sequence[Row | None], problems: ProblemList) -> list[Row | None]:
    """The rows with ``0`` in place of the letter o, where a file has that letter for every open
    string and no figure 0."""
    found = [row for row in rows if row is not None]
    count = sum(len(_LETTER_O.findall(row.body)) for row in found)
    if count < _FEWEST_O or any("0" in row.body for row in found):
        return list(rows)
    first = next(row for row in found if _LETTER_O.search(row.body))
    at = _LETTER_O.search(first.line.text, first.start)
    problems.add(
        kinds.LETTER_FOR_ZERO,
        "the letter o is read as the figure 0, an open string: these rows have no 0",
        first.line.place(at.start() if at else first.start),
    )
    return [
        row and replace(row, line=row.line.with_text(_LETTER_O.sub("0", row.line.text)))
        for row in rows
    ]


def _with_plain_bars(line: Line) -> Line:
    text = line.text
    if ":" not in text:
        return line
    for typed, meant in _BRACKETED_REPEATS:
        text = text.replace(typed, meant)
    return line if text == line.text else line.with_text(text)


def _is_remark(line: Line) -> bool:
    return remark_after(line.text) is not None


def _strange_among_rows(lines: Sequence[Line], rows: list[Row | None]) -> None:
    """One row with another fill, as people set the short string apart: it has a label, and its
    bars stand under those of the row beside it."""
    for index, line in enumerate(lines):
        if rows[index] is not None or line.blank or not _label(line.text)[0]:
            continue
        beside = [rows[i] for i in (index - 1, index + 1) if 0 <= i < len(rows)]
        bars = [_bars(row.line.text) for row in beside if row is not None and row.label]
        if not bars or _bars(line.text) != bars[0] or len(bars[0]) < 2:
            continue
        found = (_with_fill(line, fill) for fill in FILLS if fill != " ")
        rows[index] = next((row for row in found if row is not None), None)


def _bars(text: str) -> list[int]:
    return [index for index, char in enumerate(text) if char == "|"]


def _weak_rows(lines: Sequence[Line]) -> dict[int, Row]:
    """Rows with another fill in a run of lines, by index."""
    best: dict[int, Row] = {}
    for fill in FILLS:
        made = [None if _is_remark(line) else _with_fill(line, fill) for line in lines]
        found: dict[int, Row] = {}
        start = 0
        for index in range(len(made) + 1):
            if index < len(made) and made[index] is not None:
                continue
            if index - start < _FEWEST_WEAK_ROWS:
                start = index + 1
                continue
            group = {i: row for i in range(start, index) if (row := made[i]) is not None}
            drawn = all(looks_drawn(lines[i].text) for i in group)
            struck = any(c.isdigit() for c in _bodies(group))
            if struck and not drawn:
                found.update(group)
            start = index + 1
        if len(found) > len(best):
            best = found
    return best


def _bodies(group: dict[int, Row]) -> str:
    return "".join(row.body for row in group.values())


def _with_fill(line: Line, fill: str) -> Row | None:
    """The line as a row with dashes in place of another fill, or None."""
    text = line.text
    if fill == " ":
        first, last = text.find("|"), text.rfind("|")
        if first < 0 or last - first < 4 or first > 6:
            return None
        plain = text[:first] + text[first:last].replace(" ", "-") + text[last:]
    elif text.count(fill) < 3:
        return None
    else:
        plain = text.replace(fill, "-")
    row = as_row(line.with_text(plain))
    return replace(row, line=row.line) if row else None


# Bars that are no bars on a keyboard of old: tried where a system has no | at all.
_BAR_LOOKALIKES = "!+:Il/["


def with_bars(rows: Sequence[Row]) -> list[Row]:
    """The rows with ``|`` in place of another bar, where a system has none: a character that
    every row has as often, in the same columns but for one row."""
    if any("|" in row.line.text for row in rows):
        return list(rows)
    for char in _BAR_LOOKALIKES:
        columns = [
            tuple(i for i, c in enumerate(row.line.text) if c == char and i < row.end)
            for row in rows
        ]
        usual = max(columns, key=columns.count)
        if not usual or columns.count(usual) < len(rows) - 1:
            continue
        if any(len(c) != len(usual) for c in columns):
            continue
        return [_rebarred(row, places) for row, places in zip(rows, columns, strict=True)]
    return list(rows)


_LEAST_GROUP = 6  # columns between two gaps: less is a beat, not a measure


def with_gap_bars(rows: Sequence[Row]) -> list[Row] | None:
    """The rows with ``|`` in the gaps that all rows have in the same columns, where they have no
    bar at all; None where there are none, or too near each other to be measures."""
    if any("|" in row.line.text for row in rows):
        return None
    start, end = max(row.start for row in rows), max(row.end for row in rows)
    gaps = [
        column
        for column in range(start + 1, end)
        if all(column >= row.end or row.line.text[column] == " " for row in rows)
    ]
    firsts = [g for g in gaps if g - 1 not in gaps]
    inner = [g for g in firsts if any(g + 1 < row.end for row in rows)]
    edges = [start - 1, *inner, end]
    groups = [b - a for a, b in itertools.pairwise(edges)]
    # The first group may be a pickup.
    if not inner or min(groups[1:]) <= _LEAST_GROUP:
        return None
    return [_rebarred(row, [g for g in inner if g < len(row.line.text)]) for row in rows]


def _rebarred(row: Row, columns: Sequence[int]) -> Row:
    text = list(row.line.text)
    for column in columns:
        text[column] = "|"
    line = row.line.with_text("".join(text))
    return as_row(line) or replace(row, line=line)
