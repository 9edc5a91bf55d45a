"""The rows of a system in proportional type, laid out on a common grid.

Which notes sound together, and how far apart they are, is where they stand on paper. The frets and
bar lines of all rows are gathered by where they stand (``x``, in points); each gathering gets a
column, and between them the rows are filled with dashes. Where the rows have bar lines after the
same number of characters, though, they were typed in fixed type and only printed in another: then
their characters are the columns.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from rollstave_documents.layout import Glyph, PageLine, words_of
from rollstave_documents.pulse import Pulse, in_pulse
from rollstave_documents.stops import Row, Stop, dash_of, row_of_line, stops_of


def laid_out(lines: Sequence[PageLine], own: Pulse | None, usual: Pulse | None) -> list[str]:
    """The text of each line of a system, rows and what stands over and under them. ``own`` is the
    pulse that its notes keep to, ``usual`` that of the page."""
    of_rows = [line for line in lines if line.is_row]
    dash = dash_of(of_rows)
    rows = [row_of_line(line) for line in of_rows]
    stops = stops_of(rows, dash)
    label = max(len(row.label) for row in rows)
    unit = in_pulse(stops, min(row.start for row in rows), dash, own, usual)
    _columns(stops, rows, unit, label)
    made = iter([_drawn(row, label, stops[-1].column if stops else label) for row in rows])
    return [next(made) if line.is_row else _placed(line, stops, unit, label) for line in lines]


def _columns(stops: Sequence[Stop], rows: Sequence[Row], unit: float, label: int) -> None:
    """Give every stop its column, in order, with room for what stands before it in each row."""
    if not stops:
        return
    row_of = {id(atom): number for number, row in enumerate(rows) for atom in row.atoms}
    free = [label] * len(rows)  # the next free column of each row
    last_text = [""] * len(rows)
    origin, base = min(min(row.start for row in rows), stops[0].meant), label
    column = label - 1
    for stop in stops:
        wanted = base + round((stop.meant - origin) / unit)
        for atom in stop.atoms:
            row = row_of[id(atom)]
            parts = last_text[row][-1:].isdigit() and atom.text[:1].isdigit()
            wanted = max(wanted, free[row] + parts)
        stop.column = max(wanted, column + 1)
        column = stop.column
        for atom in stop.atoms:
            row = row_of[id(atom)]
            atom.column = max(stop.column, free[row])
            free[row] = atom.column + len(atom.text)
            last_text[row] = atom.text
        if stop.bar:  # what rounding has moved is not carried over the bar line
            origin, base = stop.meant, stop.column


def _drawn(row: Row, label: int, last: int) -> str:
    """A row of dashes with its atoms in their columns."""
    out = row.label.ljust(label)
    ends_in_bar = bool(row.atoms) and row.atoms[-1].bar
    for atom in row.atoms:
        out = out.ljust(label).ljust(atom.column, "-") + atom.text
    if not ends_in_bar:
        out = out.ljust(label).ljust(last + 1, "-")
    return f"{out}  {row.tail}" if row.tail else out


def _placed(line: PageLine, stops: Sequence[Stop], unit: float, label: int) -> str:
    """A line over or under the rows: what stands at a note on paper stands at it in the text."""
    out = ""
    for phrase in _phrases(line):
        short = sum(len(g.text) for g in phrase) <= 2
        column = _column_at(
            phrase[0].x, (phrase[0].x + phrase[-1].end) / 2, stops, unit, label, short
        )
        if out and column <= len(out):
            column = len(out) + 1
        text = words_of(PageLine(glyphs=list(phrase), y=line.y, size=line.size))
        out = out.ljust(max(0, column)) + text
    return out


def _phrases(line: PageLine) -> list[list[Glyph]]:
    """What is placed as a whole: words with no more than a blank between them, but single letters
    and counts each by itself."""
    words: list[list[Glyph]] = [[line.glyphs[0]]]
    for before, glyph in pairwise(line.glyphs):
        if (glyph.x - before.end) > 0.18 * line.size:
            words.append([])
        words[-1].append(glyph)
    if all(sum(len(g.text) for g in word) <= 2 for word in words):
        return words
    phrases = [words[0]]
    for before_word, word in pairwise(words):
        if word[0].x - before_word[-1].end < 0.5 * line.size:
            phrases[-1].extend(word)
        else:
            phrases.append(word)
    return phrases


def _column_at(
    x: float, middle: float, stops: Sequence[Stop], unit: float, label: int, short: bool
) -> int:
    """The column of a place on paper: that of the stop there, else between those around it."""
    if not stops:
        return label + round(x / unit)
    notes = [stop for stop in stops if not stop.bar]
    if notes:
        near = min(notes, key=lambda s: _distance(s, x, middle, short))
        if _distance(near, x, middle, short) <= 1.6 * unit:
            return near.column
    before = [stop for stop in stops if stop.x <= x]
    after = [stop for stop in stops if stop.x > x]
    if not before:
        return max(0, stops[0].column - round((stops[0].x - x) / unit))
    if not after:
        return before[-1].column + round((x - before[-1].x) / unit)
    one, other = before[-1], after[0]
    share = (x - one.x) / max(other.x - one.x, 0.01)
    return one.column + round(share * (other.column - one.column))


def _distance(stop: Stop, x: float, middle: float, short: bool) -> float:
    """How far a word stands from a stop: the middle of a letter, the start of a longer word. What
    is over a note and the next stands rather after its own than before it."""
    atom = stop.atoms[0]
    off = middle - (atom.x + atom.end) / 2 if short else x - stop.x
    return off if off >= 0 else -1.5 * off
