"""Every figure in the rows is a fret, or it is said what became of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rollstave.grid.typed import GraceStroke, GridMeasure, Stroke
from rollstave.patterns import rare
from rollstave.reading.doubting.read import Read
from rollstave.reading.rows.records import Row
from rollstave.vocabulary import problems as kinds

_NO_FIGURES = dict.fromkeys(map(ord, "0123456789"))
# What a figure may be besides a fret: the number a note is bent to, a time, a number of times.
_NO_FRETS = rare(
    r"[b^]\(?\d+(?:/2)?\)?|\b\d+/\d+\b|[|:]\s*\(?(?:x\s?\d|\d\s?x)\)?|[|\[]\s?\d[.)]|\d[%*]"
)
_FAR = 3  # columns from a fret, or from what is said, at which a figure belongs to it


def lost_figures(read: Read) -> None:
    """Say which figures of the rows are no fret of any note."""
    frets: dict[int, list[tuple[int, int]]] = {}
    wanted: dict[int, int] = {}
    for stroke in _strokes(read.grid.measures):
        if stroke.fret is not None:
            line, column, width = stroke.place.line, stroke.place.column, len(str(stroke.fret))
            frets.setdefault(line, []).append((column, width))
            wanted[line] = wanted.get(line, 0) + width
    for rows in _systems(read):
        _figure_in_one_label(read, rows)
    for row in _rows(read):
        body = row.line.text[row.start : row.end]
        figures = len(body) - len(body.translate(_NO_FIGURES))
        if figures and figures > wanted.get(row.line.number, 0):
            _say_lost(read, row, frets.get(row.line.number, []))


def _systems(read: Read) -> Iterator[tuple[Row, ...]]:
    """The rows of each of the tune's systems."""
    first = read.grid.measures[0].first_line
    last = read.grid.measures[-1].last_line
    for block in read.state.blocks:
        for system in block.systems:
            if first <= system.rows[0].line.number <= last:
                yield system.rows


def _rows(read: Read) -> Iterator[Row]:
    """The rows of the tune's systems that are one line each."""
    return (row for rows in _systems(read) for row in rows if row.line.continued is None)


def _figure_in_one_label(read: Read, rows: Sequence[Row]) -> None:
    """Say where one label of a system ends with a figure, with no bar behind it: it may be a
    fret."""
    numbered = [row for row in rows if row.label[-1:].isdigit()]
    if len(numbered) != 1 or not all(row.label for row in rows):
        return
    (row,) = numbered
    if row.line.text[row.start : row.start + 1] not in "|!:" and len(row.label) > 1:
        read.say(
            kinds.LOST_FIGURE,
            f"the figure of {row.label!r} is read as part of the label, and no other label has "
            "one; if it is a fret, type a bar before it",
            row.line.place(row.start - 1),
        )


def _strokes(measures: Sequence[GridMeasure]) -> Iterator[Stroke | GraceStroke]:
    """What is struck in the measures, each typed measure once."""
    seen: set[tuple[int, int]] = set()
    for measure in measures:
        where = (measure.first_line, measure.first_column)
        if where in seen:
            continue
        seen.add(where)
        for column in measure.columns:
            yield from column.strokes
            yield from column.grace


def _say_lost(read: Read, row: Row, frets: Sequence[tuple[int, int]]) -> None:
    """Say the first figure of a row that is no fret and nothing else."""
    taken = {column + i for column, width in frets for i in range(width)}
    line = row.line
    for match in _NO_FRETS.finditer(line.text, max(0, row.start - 1), row.end):
        taken |= {line.place(at).column for at in range(match.start(), match.end())}
    said = read.state.problems.columns(line.number)
    for at in range(row.start, row.end):
        place = line.place(at)
        if not line.text[at].isdigit() or place.column in taken:
            continue
        if any(column <= place.column <= column + _FAR for column in said):
            continue
        read.say(
            kinds.LOST_FIGURE,
            f"the figure {line.text[at]} here became no note; if it is a fret, see that it stands "
            "between dashes in the column of its beat",
            place,
        )
        return
