"""Changes of tabs that keep most of their structure, for ``attack.py``.

They know what a system is: whole measures are left out, put twice or exchanged in all rows at once,
bars are added and lost, signs of techniques and jumps are put where they are typed.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Sequence

_SIGNS = "|:-=~hpsbtx/\\()<>{}[]*.0123456789 ^TIM#b'\"\t┃─é\u202e\u200b"
_WORDS = (
    *("To Coda", "Coda", "Segno", "D.S. al Coda", "D.C. al Fine", "Fine", "Repeat", "x3"),
    *("[A part]", "A part again", "Title: Tide", "Time: 6/8", "Time: cut time", "Tempo: 90"),
    *("Capo: 2", "Fifth string: raised to A", "Tuning: gCGBE", "Tuning: double C", "Key: Em"),
    *("[1", "[2.", "1.", "G  D7  Em", "1 + 2 + 3 + 4 +", "T I M T", "la la-la la", "* = muted"),
    *("Instrument: guitar", "Instrument: mandolin", "> ", "<b>", "&lt;", "=20", "1 e & a"),
)


TextChange = Callable[[random.Random, list[str], Sequence[str]], None]


def _lines(text: str) -> list[str]:
    return text.split("\n")


def _exchange(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    a, b = choose.randrange(len(lines)), choose.randrange(len(lines))
    lines[a], lines[b] = lines[b], lines[a]


def _from_another(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    start = choose.randrange(len(other))
    at = choose.randrange(len(lines))
    lines[at:at] = other[start : start + choose.randint(1, 8)]


def _cut_columns(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    first = choose.randrange(len(lines))
    column, width = choose.randrange(40), choose.randint(1, 12)
    for index in range(first, min(len(lines), first + choose.randint(1, 8))):
        lines[index] = lines[index][:column] + lines[index][column + width :]


def _add_columns(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    first = choose.randrange(len(lines))
    column, sign = choose.randrange(40), choose.choice(_SIGNS)
    for index in range(first, min(len(lines), first + choose.randint(1, 6))):
        lines[index] = lines[index][:column] + sign + lines[index][column:]


def _character(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    at = choose.randrange(len(lines))
    if lines[at]:
        column = choose.randrange(len(lines[at]))
        lines[at] = lines[at][:column] + choose.choice(_SIGNS) + lines[at][column + 1 :]


def _repeat_block(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    start = choose.randrange(len(lines))
    block = lines[start : start + choose.randint(1, 9)]
    lines[start:start] = block * choose.choice((1, 1, 2, 5))


def _leave_out(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    if len(lines) > 2:
        start = choose.randrange(len(lines))
        del lines[start : start + choose.randint(1, 3)]


def _words(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    lines.insert(choose.randrange(len(lines) + 1), choose.choice(_WORDS))


def _words_beside(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    at = choose.randrange(len(lines))
    lines[at] = " " * choose.randrange(30) + choose.choice(_WORDS) + lines[at]


def _shift(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    at = choose.randrange(len(lines))
    lines[at] = " " * choose.randint(1, 9) + lines[at]


def _front(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    front = choose.choice(("> ", "| ", "  ", "\t", "1. ", "# "))
    lines[:] = [front + line for line in lines]


# Systems -----------------------------------------------------------------------------------------

_ROW = re.compile(r"[^|]{0,4}\|.*[-|]")
_TECHNIQUES = (
    *("2h4", "4p2", "2s4", "7/9", "9\\7", "7b9", "7b", "7r", "5~", "(7)", "<12>", "x", "[5]"),
    *("{2}4", "h5", "12*", "5=", "t7", "7+", "10", "22", "7b9r7", "2-2", "7ac", "0.", "5h7p5"),
)
_OVER = (
    *("1.      2.", "[1      [2", "Segno", "To Coda", "Coda", "Fine", "D.S. al Coda", "D.C."),
    *("G   C   D7  G", "Em    Am7/G", "1 . 2 . 3 . 4 .", "x2", "3x", "A", "(softly)", "T I M T I"),
)


def _systems(lines: Sequence[str]) -> list[tuple[int, int]]:
    """First line and the one after the last of each block of rows."""
    found, start = [], None
    for index, line in enumerate([*lines, ""]):
        if _ROW.match(line):
            start = index if start is None else start
        elif start is not None:
            found.append((start, index))
            start = None
    return found


def _cells(lines: Sequence[str], system: tuple[int, int]) -> list[list[str]]:
    return [line.split("|") for line in lines[slice(*system)]]


def _put_back(lines: list[str], system: tuple[int, int], cells: Sequence[Sequence[str]]) -> None:
    lines[slice(*system)] = ["|".join(row) for row in cells]


def _of_a_system(change: Callable[[random.Random, list[list[str]]], None]) -> TextChange:
    """A change of the cells of one system, all rows at once."""

    def changed(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
        if systems := _systems(lines):
            system = choose.choice(systems)
            cells = _cells(lines, system)
            change(choose, cells)
            _put_back(lines, system, cells)

    changed.__name__ = change.__name__
    return changed


def _measure_out(choose: random.Random, cells: list[list[str]]) -> None:
    at = choose.randrange(1, max(2, min(map(len, cells))))
    for row in cells:
        del row[at : at + 1]


def _measure_twice(choose: random.Random, cells: list[list[str]]) -> None:
    at, times = choose.randrange(min(map(len, cells))), choose.choice((1, 1, 2, 6))
    for row in cells:
        row[at:at] = [row[at]] * times


def _measures_exchanged(choose: random.Random, cells: list[list[str]]) -> None:
    width = min(map(len, cells))
    a, b = choose.randrange(width), choose.randrange(width)
    for row in cells:
        row[a], row[b] = row[b], row[a]


def _bar_lost(choose: random.Random, cells: list[list[str]]) -> None:
    at = choose.randrange(max(1, min(map(len, cells)) - 1))
    rows = cells if choose.random() < 0.5 else [choose.choice(cells)]
    for row in rows:
        row[at : at + 2] = [choose.choice(("", "-", " ")).join(row[at : at + 2])]


def _bar_added(choose: random.Random, cells: list[list[str]]) -> None:
    at, column = choose.randrange(min(map(len, cells))), choose.randrange(1, 20)
    rows = cells if choose.random() < 0.7 else [choose.choice(cells)]
    for row in rows:
        row[at : at + 1] = [row[at][:column], row[at][column:]]


def _repeat_signs(choose: random.Random, cells: list[list[str]]) -> None:
    at = choose.randrange(min(map(len, cells)))
    left, right = choose.choice(
        ((":", ""), ("", ":"), (":", ":"), ("*", "*"), ("|", "|"), ("o", ""))
    )
    rows = cells if choose.random() < 0.6 else cells[1:4]
    for row in rows:
        row[at] = left + row[at] + right


def _measure_empty(choose: random.Random, cells: list[list[str]]) -> None:
    at, sign = choose.randrange(1, max(2, min(map(len, cells)))), choose.choice("-- %.")
    for row in cells:
        row[at : at + 1] = [sign * len(cell) for cell in row[at : at + 1]]


def _measure_wider(choose: random.Random, cells: list[list[str]]) -> None:
    at = choose.randrange(min(map(len, cells)))
    for row in cells:
        row[at] = row[at].replace("-", "--")


def _measure_closer(choose: random.Random, cells: list[list[str]]) -> None:
    at = choose.randrange(min(map(len, cells)))
    columns = [i for i in range(max(len(r[at]) for r in cells)) if choose.random() < 0.6]
    for row in cells:
        row[at] = "".join(row[at][i : i + 1] for i in columns)


def _technique(choose: random.Random, cells: list[list[str]]) -> None:
    row = choose.choice(cells)
    at, sign = choose.randrange(len(row)), choose.choice(_TECHNIQUES)
    column = choose.randrange(1, max(2, len(row[at])))
    row[at] = row[at][:column] + sign + row[at][column + len(sign) :]


def _chord_struck(choose: random.Random, cells: list[list[str]]) -> None:
    at, column = choose.randrange(min(map(len, cells))), choose.randrange(1, 16)
    for row in cells:
        if choose.random() < 0.7 and column < len(row[at]):
            fret = choose.choice(("0", "2", "5", "x"))
            row[at] = row[at][:column] + fret + row[at][column + 1 :]


def _rows_exchanged(choose: random.Random, cells: list[list[str]]) -> None:
    a, b = choose.randrange(len(cells)), choose.randrange(len(cells))
    cells[a], cells[b] = cells[b], cells[a]


def _way_up(choose: random.Random, cells: list[list[str]]) -> None:
    cells.reverse()


def _labels(choose: random.Random, cells: list[list[str]]) -> None:
    names = choose.choice(("DBGDg", "dbgdg", "EBGDA", "     ", "12345", "eBGDAE", "DCGCg"))
    for row, name in zip(cells, names, strict=False):
        row[0] = name.strip()


def _row_more_or_less(choose: random.Random, cells: list[list[str]]) -> None:
    at = choose.randrange(len(cells))
    if choose.random() < 0.5 or len(cells) == 1:
        cells.insert(at, list(cells[at]))
    else:
        del cells[at]


def _over(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    """Words over a system or under it, at some column."""
    if systems := _systems(lines):
        at = choose.choice(choose.choice(systems))
        lines.insert(at, " " * choose.randrange(40) + choose.choice(_OVER))


def _side_by_side(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    """Two systems become one that is as wide as both."""
    systems = _systems(lines)
    if len(systems) > 1:
        at = choose.randrange(len(systems) - 1)
        (a, b), (c, d) = systems[at : at + 2]
        for index in range(min(b - a, d - c)):
            lines[a + index] += lines[c + index][choose.choice((0, 1)) :]
        del lines[c:d]


def _wrapped(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    """Lines are broken where a mail program breaks them."""
    width = choose.choice((40, 65, 72))
    lines[:] = [line[i : i + width] for line in lines for i in range(0, max(1, len(line)), width)]


def _other_signs(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    """Dashes and bars as a word processor has them."""
    old, new = choose.choice(
        (("-", "–"), ("-", "—"), ("|", "│"), ("-", "_"), ("0", "o"), ("  ", "\t"))
    )
    lines[:] = [line.replace(old, new) for line in lines]


def _no_empty_lines(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    if choose.random() < 0.5:
        lines[:] = [line for line in lines if line.strip()] or [""]
    else:
        lines[:] = [part for line in lines for part in (line, "")]


def _as_markup(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    """As a page of the web has it."""
    escaped = [line.replace("&", "&amp;").replace("<", "&lt;") for line in lines]
    if choose.random() < 0.5:
        escaped = [line.replace(" ", "&nbsp;") + "<br>" for line in escaped]
    lines[:] = ["<html><body><pre>", *escaped, "</pre></body></html>"]


def _two_tunes(choose: random.Random, lines: list[str], other: Sequence[str]) -> None:
    lines += ["", choose.choice(("", "Title: Tide", "-----", "=====", "2. Tide")), *other]


_LINE_CHANGES: tuple[TextChange, ...] = (
    *(_exchange, _from_another, _cut_columns, _add_columns, _character, _character, _character),
    *(_repeat_block, _leave_out, _words, _words, _words_beside, _shift, _front),
)
_CELL_CHANGES = tuple(
    map(
        _of_a_system,
        (
            *(_measure_out, _measure_twice, _measures_exchanged, _bar_lost, _bar_added),
            *(_repeat_signs, _measure_empty, _measure_wider, _measure_closer, _technique),
            *(_technique, _chord_struck, _rows_exchanged, _way_up, _labels, _row_more_or_less),
        ),
    )
)
TEXT_CHANGES = (
    *_LINE_CHANGES,
    *_CELL_CHANGES,
    *(_over, _over, _side_by_side, _wrapped, _other_signs, _no_empty_lines, _as_markup, _two_tunes),
)
HOW_MANY = (1, 1, 1, 2, 2, 3, 4, 6)  # changes of one case: with many most are refused
_ENCODINGS = ("utf-8",) * 8 + ("cp1252", "utf-16", "utf-8-sig", "latin-1", "cp437")


def changed_text(choose: random.Random, seeds: Sequence[str]) -> bytes:
    """A tab with one to six changes, as bytes of some encoding."""
    lines, other = _lines(choose.choice(seeds)), _lines(choose.choice(seeds))
    for _ in range(choose.choice(HOW_MANY)):
        choose.choice(TEXT_CHANGES)(choose, lines, other)
        lines = lines or [""]
    end = choose.choice(("\n",) * 6 + ("\r\n", "\r"))
    return end.join(lines[:400]).encode(choose.choice(_ENCODINGS), "replace")
