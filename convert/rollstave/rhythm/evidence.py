"""What one grid measure shows to the solver, and nothing about files or labels.

Onset times are in ticks, 24 to a quarter note: 32nd notes and sixteenth triplets are whole.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from rollstave.grid.typed import Bar, Column, GridMeasure, LineKind
from rollstave.vocabulary.signs import HELD, UNPICKED

TICKS = 24

Signature = tuple[tuple[tuple[int, int | None, bool], ...], ...]


class Evidence(Struct, frozen=True):
    """One measure as the solver sees it.

    ``gaps[i]`` is the number of characters from column i to the next one, the last one to the bar
    line; ``pushes[i]`` is how many of them are there because a fret has two digits or a sign was
    typed. ``kinds`` are one letter for each column, see :func:`_kind`. ``signature`` is what is
    struck; measures with the same one are probably alike in rhythm. ``opens`` and ``closes`` say
    that a repeat, a double bar or the tune begins before or ends after the measure; ``strain`` is
    the index of the measure that opens its strain; ``repeats``: it ends with a repeat
    sign. ``chords`` tells over which columns a chord name stands.
    """

    index: int
    lead: int
    gaps: tuple[int, ...]
    pushes: tuple[int, ...]
    kinds: str
    strings: tuple[int, ...]
    frets: tuple[int, ...]
    signature: Signature
    opens: bool
    closes: bool
    chords: tuple[bool, ...]
    strain: int = 0
    repeats: bool = False

    @property
    def count(self) -> int:
        return len(self.kinds)

    @property
    def width(self) -> int:
        return self.lead + sum(self.gaps)


def gather(measures: Sequence[GridMeasure]) -> list[Evidence]:
    """The evidence of each measure of a tune."""
    found: list[Evidence] = []
    strain = 0
    for position, measure in enumerate(measures):
        before = measures[position - 1] if position else None
        opens = (
            before is None
            or measure.left is Bar.REPEAT_START
            or (before.right in (Bar.REPEAT_END, Bar.DOUBLE) and not _is_later_ending(measure))
        )
        after = measures[position + 1] if position + 1 < len(measures) else None
        closes = (
            after is None
            or measure.right in (Bar.REPEAT_END, Bar.DOUBLE, Bar.FINAL)
            or after.left is Bar.REPEAT_START
        )
        strain = position if opens else strain
        found.append(_evidence(measure, opens, closes, strain))
    return found


def _is_later_ending(measure: GridMeasure) -> bool:
    """True for a second ending: it goes on from what stands before the first, and is no pickup."""
    return measure.ending is not None and measure.ending[:1] in "23456789"


def _evidence(measure: GridMeasure, opens: bool, closes: bool, strain: int) -> Evidence:
    columns = measure.columns
    positions = [c.position for c in columns]
    ends = [*positions[1:], measure.width] if columns else []
    following: list[Column | None] = [*columns[1:], None] if columns else []
    pushes = tuple(
        max(0, column.width - 1) + (after.sign_width if after else 0)
        for column, after in zip(columns, following, strict=True)
    )
    over = {a.column for a in measure.attached(LineKind.CHORDS)}
    # Grace notes at the bar push the first note as signs between two notes push the second.
    small = columns[0].sign_width if columns and columns[0].grace else 0
    return Evidence(
        index=measure.index,
        lead=max(0, positions[0] - small) if positions else measure.width,
        gaps=tuple(end - start for start, end in zip(positions, ends, strict=True)),
        pushes=pushes,
        kinds="".join(_kind(c) for c in columns),
        strings=tuple(c.strokes[0].string for c in columns),
        frets=tuple(c.strokes[0].fret or 0 for c in columns),
        signature=tuple(
            tuple((s.string, s.fret, s.link in UNPICKED) for s in c.strokes) for c in columns
        ),
        opens=opens,
        closes=closes,
        chords=tuple(index in over for index in range(len(columns))),
        strain=strain,
        repeats=measure.right is Bar.REPEAT_END,
    )


def _kind(column: Column) -> str:
    """One letter for what is struck: ``l`` a linked note, ``b`` a brush or chord of three or
    more, ``p`` a pinch, ``t`` the short string alone, ``o`` an open string, ``f`` a fretted one."""
    links = [s.link for s in column.strokes]
    if all(link in UNPICKED for link in links) and any(link not in HELD for link in links):
        return "l"
    if len(column.strokes) > 2:
        return "b"
    if len(column.strokes) == 2:
        return "p"
    stroke = column.strokes[0]
    if stroke.string == 5:
        return "t"
    return "o" if stroke.fret == 0 else "f"
