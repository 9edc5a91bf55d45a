"""Setting the glyphs of a page in lines of text, so that what stands under each other on paper
stands under each other in the text.

In type whose glyphs are all as wide, a column is a glyph's width. In proportional type, only where
the glyphs stand shows the columns: ``grid`` lays the rows of a system out on a common grid. All
lengths are points.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from statistics import median

from msgspec import Struct

FILL = set("-‐‑‒–—―−─━═=_.·")
_LEVEL = 0.35  # of a glyph's size: what is no farther up or down stands in one line
_APART = 1.55  # times the usual step from line to line: more is an empty line
_WORD = 0.18  # of a glyph's size: a gap that divides words
_PITCH = 0.12  # of a column: how far glyphs of fixed pitch may stand from their columns


class Glyph(Struct, frozen=True):
    """What is shown, from ``x`` to ``end`` on the line ``y`` (from the foot of the page)."""

    text: str
    x: float
    end: float
    y: float
    size: float


class PageLine(Struct):
    """The glyphs on one line, from left to right, blanks left out but for ``typed``."""

    glyphs: list[Glyph]
    y: float
    size: float
    typed: str = ""

    @property
    def is_row(self) -> bool:
        """True for a row of tab: most of it is fill."""
        return _is_row("".join(g.text for g in self.glyphs))


def page_lines(glyphs: Sequence[Glyph]) -> list[str]:
    """The lines of a page from top to bottom, with an empty one where the page has a gap."""
    from rollstave_documents import grid, pulse
    from rollstave_documents.stops import typed_in_columns

    lines = _lines(glyphs)
    if not lines:
        return []
    pitch = fixed_pitch(lines)
    texts: dict[int, str] = {}
    if pitch:
        left = min(line.glyphs[0].x for line in lines)
        texts = {n: in_columns(line, left, pitch) for n, line in enumerate(lines)}
    else:
        found = systems(lines)
        if typed_in_columns([[lines[n] for n in numbers if lines[n].is_row] for numbers in found]):
            texts = {n: lines[n].typed.rstrip() for numbers in found for n in numbers}
            found = []
        pulses = [pulse.pulse_of([lines[n] for n in numbers]) for numbers in found]
        usual = pulse.usual_of(pulses)
        for numbers, own in zip(found, pulses, strict=True):
            laid = grid.laid_out([lines[n] for n in numbers], own, usual)
            texts |= dict(zip(numbers, laid, strict=True))
    out: list[str] = []
    step = _usual_step(lines)
    for number, line in enumerate(lines):
        if number and lines[number - 1].y - line.y > _APART * step:
            out.append("")
        out.append(texts.get(number) or alone(line))
    return out


def goes_on(before: Sequence[str], after: Sequence[str]) -> bool:
    """True if a page begins in the midst of a system: the one before ends with a line that stands
    apart over the first row, or with the first rows of as many as a system has."""
    if not before or not after or not _is_row(after[0]):
        return False
    if not _is_row(before[-1]):
        return len(before) > 1 and not before[-2]
    runs: list[int] = [0]
    for text in before:
        if _is_row(text):
            runs[-1] += 1
        elif runs[-1]:
            runs.append(0)
    begun = runs[-1]
    rest = next((n for n, text in enumerate(after) if not _is_row(text)), len(after))
    return begun < max(runs) == begun + rest


def _is_row(text: str) -> bool:
    fill = sum(char in FILL for char in text)
    return fill >= 5 and fill >= 0.4 * len(text.replace(" ", ""))


def _lines(glyphs: Sequence[Glyph]) -> list[PageLine]:
    """Glyphs by the line that they stand on, from the top; what is set twice, as bold is, counts
    once."""
    found: list[list[Glyph]] = []
    for glyph in sorted(glyphs, key=lambda g: (-g.y, g.x)):
        if found and abs(found[-1][0].y - glyph.y) <= _LEVEL * max(glyph.size, found[-1][0].size):
            found[-1].append(glyph)
        else:
            found.append([glyph])
    lines = []
    for group in found:
        group.sort(key=lambda g: (g.x, g.text))
        once = [
            g
            for n, g in enumerate(group)
            if not any(
                o.text == g.text and abs(o.x - g.x) < 0.1 * g.size for o in group[max(0, n - 2) : n]
            )
        ]
        shown = [g for g in once if g.text.strip()]
        if shown:
            typed = "".join(g.text for g in once).replace("\u00a0", " ")
            size = median(g.size for g in shown)
            lines.append(PageLine(glyphs=shown, y=group[0].y, size=size, typed=typed))
    return lines


def fixed_pitch(lines: Sequence[PageLine]) -> float:
    """The width of a column, if all glyphs of rows (of all lines, where there are none) stand in
    columns of one width; else 0."""
    rows = [line for line in lines if line.is_row] or list(lines)
    steps = [b.x - a.x for line in rows for a, b in pairwise(line.glyphs)]
    if len(steps) < 5:
        return 0.0
    pitch = median(steps)
    if pitch <= 0:
        return 0.0
    off = sum(
        abs(step / pitch - round(step / pitch)) > _PITCH or step < 0.5 * pitch for step in steps
    )
    return pitch if off <= 0.02 * len(steps) else 0.0


def in_columns(line: PageLine, left: float, pitch: float) -> str:
    """A line of fixed pitch: each glyph in its column, or right after the one before. A heading in
    other type only begins in its column."""
    columns = [(glyph.x - left) / pitch for glyph in line.glyphs]
    off = sum(abs(column - round(column)) > _PITCH for column in columns)
    if off > 0.1 * len(columns) and not line.is_row:
        return " " * min(60, round(columns[0])) + words_of(line)
    out = ""
    for column, glyph in zip(columns, line.glyphs, strict=True):
        out = out.ljust(round(column)) + glyph.text
    return out


def alone(line: PageLine) -> str:
    """A line that belongs to no system, with the blanks that were typed where several are."""
    typed = line.typed.rstrip()
    return typed if typed.startswith(" ") or "  " in typed else words_of(line)


def words_of(line: PageLine) -> str:
    """A line of words: a blank where there is a gap, more where it is wide."""
    out = line.glyphs[0].text
    for before, glyph in pairwise(line.glyphs):
        gap = (glyph.x - before.end) / (line.size or 1.0)
        if gap > 1.2:
            out += " " * min(60, max(2, round(gap / 0.5)))
        elif gap > _WORD:
            out += " "
        out += glyph.text
    return out


def systems(lines: Sequence[PageLine]) -> list[list[int]]:
    """The numbers of lines that belong to one system: rows that follow each other, and what stands
    close over and under them. What stands between two systems goes to the nearer one."""
    runs: list[list[int]] = []
    for number, line in enumerate(lines):
        if not line.is_row:
            continue
        if runs and runs[-1][-1] == number - 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    runs = [part for run in runs if len(run) > 1 for part in _divided(run, lines)]
    for position, run in enumerate(runs):
        step = _usual_step([lines[n] for n in run])
        above = runs[position - 1][-1] + 1 if position else 0
        below = runs[position + 1][0] - 1 if position + 1 < len(runs) else len(lines) - 1
        last = run[-1]
        while run[0] > above and lines[run[0] - 1].y - lines[run[0]].y < _APART * step:
            if lines[run[0] - 1].is_row:
                break
            run.insert(0, run[0] - 1)
        while run[-1] < below and lines[run[-1]].y - lines[run[-1] + 1].y < _APART * step:
            number = run[-1] + 1
            nearer_next = position + 1 < len(runs) and (
                lines[number].y - lines[runs[position + 1][0]].y < lines[last].y - lines[number].y
            )
            if lines[number].is_row or nearer_next:
                break
            run.append(number)
    return runs


def _divided(run: list[int], lines: Sequence[PageLine]) -> list[list[int]]:
    """Rows that follow each other, divided where as many as an instrument has strings come again:
    with the same signs before them."""
    starts = [lines[n].glyphs[0].text for n in run]
    for count in (5, 4, 6, 3):
        whole = len(run) % count == 0 and len(run) > count
        if whole and all(a == b for a, b in zip(starts, starts[count:], strict=False)):
            return [run[n : n + count] for n in range(0, len(run), count)]
    return [run]


def _usual_step(lines: Sequence[PageLine]) -> float:
    steps = [a.y - b.y for a, b in pairwise(lines)]
    return median(steps) if steps else 1.5 * lines[0].size
