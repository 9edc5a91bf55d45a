"""The rows of a system taken apart: what stands in them, and where on paper all of them have
something (their stops). Lengths are points."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from itertools import pairwise
from statistics import median

from msgspec import Struct

from rollstave_documents.layout import FILL, Glyph, PageLine, words_of

# How far marks of rows are counted apart at most, in dashes, and how much less they have to differ
# by characters than on paper.
_FAR, _AS_TYPED = 6.0, 0.6
_GAP = 0.45  # of a glyph's size: nothing where there should be a dash
_BARS = set("|│┃¦∣ǀ")
# The parts of a row that stay together; links between two frets stand where they stand.
_ATOM = re.compile(
    r"\|[|:]*|:\|+"
    r"|[(<\[{]?\d+[)>\]}*~'\"]*(?:br|lr|b\d*|[hpstHPST/\\^=](?=\d))?"
    r"|[A-Za-z]+|.",
    re.DOTALL,
)
# Notes no farther apart than these sound together: a typist's eye is right to half a dash in each
# row, and two columns that were typed next to each other are a figure apart.
_SAME_DASHES, _SAME_FIGURES = 1.1, 0.66
_FRETS = set("0123456789xX)>]}*~")


class Atom(Struct):
    """A part of a row that stays together, and where it stands. ``column`` is what it gets."""

    text: str
    x: float
    end: float
    bar: bool
    column: int = 0


class Row(Struct):
    """A row: what stands before it, its atoms, and what stands after its last bar line."""

    label: str
    start: float
    atoms: list[Atom]
    tail: str = ""


class Stop(Struct):
    """A place on the common grid: where it is on paper, where it is meant to be, its column, and
    what stands there."""

    x: float
    column: int
    atoms: list[Atom]
    bar: bool = False
    meant: float = 0.0

    @property
    def is_note(self) -> bool:
        return any(a.text.strip("hpstHPST/\\^=")[-1:] in _FRETS for a in self.atoms if a.text)


def typed_in_columns(systems: Sequence[Sequence[PageLine]]) -> bool:
    """True if the rows of systems were typed in fixed type, whatever they are printed in: bar lines
    and ends of rows come after the same numbers of characters, or nearly, while on paper they stand
    farther from each other."""
    by_characters = on_paper = 0.0
    for rows in systems:
        dash = dash_of(rows)
        for marks in _marks(rows):
            columns = [column for column, _ in marks]
            places = [x for _, x in marks]
            by_characters += min(_FAR, max(columns) - min(columns))
            on_paper += min(_FAR, (max(places) - min(places)) / dash)
    return by_characters <= _AS_TYPED * on_paper


def _marks(rows: Sequence[PageLine]) -> list[list[tuple[int, float]]]:
    """The bar lines that rows have in common, and their ends: for each, how many characters come
    before it and where it stands, in every row."""
    of_rows: list[list[tuple[int, float]]] = []
    for row in rows:
        start = len(row.typed) - len(row.typed.lstrip())
        columns = [n - start for n, char in enumerate(row.typed) if not char.isspace()]
        shown = list(zip(columns, row.glyphs, strict=False))
        bars = [(column, glyph.x) for column, glyph in shown if glyph.text in _BARS]
        of_rows.append([*bars, (columns[-1], row.glyphs[-1].end)])
    if len({len(found) for found in of_rows}) > 1:
        of_rows = [found[-1:] for found in of_rows]
    return [list(marks) for marks in zip(*of_rows, strict=True)]


def dash_of(rows: Sequence[PageLine]) -> float:
    """How far it is from one dash to the next."""
    steps = [
        b.x - a.x
        for row in rows
        for a, b in pairwise(row.glyphs)
        if a.text in FILL and b.text in FILL and b.x - a.x < 2 * row.size
    ]
    return median(steps) if steps else 0.33 * rows[0].size


def row_of_line(line: PageLine) -> Row:
    """Take a row apart."""
    glyphs = line.glyphs
    first = _first(glyphs, line.size)
    last = max((n for n, g in enumerate(glyphs) if g.text in FILL or g.text in _BARS), default=0)
    label = "".join(g.text for g in glyphs[:first]).strip()
    tail: list[Glyph] = list(glyphs[last + 1 :])
    # A fret right after the last dash is one of the row; words stand apart from it.
    while tail and tail[0].x - glyphs[last].end < 0.15 * line.size and tail[0].text not in " ":
        last += 1
        tail = list(glyphs[last + 1 :])
    rest = words_of(PageLine(glyphs=tail, y=line.y, size=line.size)) if tail else ""
    inner = glyphs[first : last + 1]
    return Row(label=label, start=inner[0].x, atoms=_atoms(inner, line.size), tail=rest)


def _first(glyphs: Sequence[Glyph], size: float) -> int:
    """Where a row begins after what names it: at a dash or a bar line, or at a fret after a letter
    or a gap."""
    for number, glyph in enumerate(glyphs):
        if glyph.text in FILL or glyph.text in _BARS:
            return number
        if not number or not glyph.text.isdigit():
            continue
        before = glyphs[number - 1]
        if not before.text.isdigit() or glyph.x - before.end > 0.2 * size:
            return number
    return 0


def _atoms(glyphs: Sequence[Glyph], size: float) -> list[Atom]:
    atoms: list[Atom] = []
    run: list[Glyph] = []
    before: Glyph | None = None
    for glyph in [*glyphs, None]:
        is_fill = glyph is None or glyph.text in FILL
        if glyph is not None and not is_fill and run and glyph.x - run[-1].end < 0.2 * size:
            run.append(glyph)
            before = glyph
            continue
        if run:
            atoms += _split(run)
        if glyph is not None and before is not None and glyph.x - before.end > _GAP * size:
            atoms.append(Atom(text="  ", x=before.end, end=glyph.x, bar=False))
        run = [glyph] if glyph is not None and not is_fill else []
        before = glyph
    return atoms


def _split(run: Sequence[Glyph]) -> list[Atom]:
    """Glyphs that touch each other, by what belongs together."""
    text = "".join(g.text for g in run)
    owner = [g for g in run for _ in g.text]
    return [
        Atom(
            text=found[0],
            x=owner[found.start()].x,
            end=owner[found.end() - 1].end,
            bar=found[0][0] in _BARS or found[0][-1] in _BARS,
        )
        for found in _ATOM.finditer(text)
    ]


def stops_of(rows: Sequence[Row], dash: float) -> list[Stop]:
    """The places of the common grid, from left to right. Where all rows have as many bar lines,
    these are the same bar lines, however well the typist's eye has put them under each other."""
    figure = median(
        [a.end - a.x for r in rows for a in r.atoms if len(a.text) == 1 and a.text.isdigit()]
        or [1.6 * dash]
    )
    same = min(_SAME_DASHES * dash, _SAME_FIGURES * figure)
    row_of = {id(atom): number for number, row in enumerate(rows) for atom in row.atoms}
    bars = [[a for a in row.atoms if a.bar] for row in rows]
    if len({len(found) for found in bars}) > 1 or not bars[0]:
        return _gathered([a for row in rows for a in row.atoms], same, row_of)
    stops: list[Stop] = []
    means = [sum(found[n].x for found in bars) / len(rows) for n in range(len(bars[0]))]
    for number in range(len(means) + 1):
        notes: list[Atom] = []
        for row, own in zip(rows, bars, strict=True):
            before = own[number - 1] if number else None
            after = own[number] if number < len(own) else None
            for atom in row.atoms:
                if (
                    not atom.bar
                    and (before is None or atom.x > before.x)
                    and (after is None or atom.x < after.x)
                ):
                    notes.append(_shifted(atom, before, after, means, number))
        stops += _gathered(notes, same, row_of)
        if number < len(means):
            stops.append(Stop(means[number], 0, [own[number] for own in bars], bar=True))
    return stops


def _shifted(
    atom: Atom, before: Atom | None, after: Atom | None, means: Sequence[float], number: int
) -> Atom:
    """An atom, moved as the bar lines around it are moved to stand under each other."""
    left = means[number - 1] - before.x if before else None
    right = means[number] - after.x if after else None
    if left is None or right is None or before is None or after is None:
        shift = left if left is not None else right or 0.0
    else:
        share = (atom.x - before.x) / max(after.x - before.x, 0.01)
        shift = left + share * (right - left)
    atom.x += shift
    atom.end += shift
    return atom


def _gathered(atoms: Sequence[Atom], width: float, row_of: Mapping[int, int]) -> list[Stop]:
    """Atoms by where they stand; of one row, never two in one place."""
    stops: list[Stop] = []
    for atom in sorted(atoms, key=lambda a: a.x):
        near = bool(stops) and atom.x - stops[-1].x <= width
        if near and row_of[id(atom)] not in {row_of[id(other)] for other in stops[-1].atoms}:
            stops[-1].atoms.append(atom)
            stops[-1].x = sum(a.x for a in stops[-1].atoms) / len(stops[-1].atoms)
        else:
            stops.append(Stop(atom.x, 0, [atom], bar=atom.bar))
    return stops
