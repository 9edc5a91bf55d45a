"""Grace notes: a fret in braces before its note, ``{2}3`` or ``{2}h3``, or before another string's.

The braces are ours: common practice has no sign for it in typed tab (a small digit cannot be
typed), and nothing else in a row is written in braces. A tune's own legend may give round
brackets the same meaning.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec import Struct, field
from msgspec.structs import replace

from rollstave.grid.typed import Column, GraceStroke, Link
from rollstave.patterns import rare
from rollstave.problems import ProblemList
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.signs import LEADS, Signs

_BRACED = rare(r"\{(?P<fret>0|[1-9]\d?)(?P<half>\+?)\}")
_BRACED_OR_ROUND = rare(r"[{(](?P<fret>0|[1-9]\d?)(?P<half>\+?)[)}]")


class Grace(Struct):
    """A grace note while its row is read. ``target`` is the position of the note on its own
    string that it belongs to; None where it belongs to whatever is struck next. ``width`` counts
    the characters that it and its sign take."""

    stroke: GraceStroke
    width: int
    target: int | None = None


class Graces(Struct):
    """The grace notes in the cell of a row."""

    found: list[Grace] = field(default_factory=list)
    _chain: list[Grace] = field(default_factory=list)
    _last: Grace | None = None  # since the last note

    def add(self, stroke: GraceStroke, width: int) -> None:
        grace = Grace(stroke, width)
        self.found.append(grace)
        self._chain.append(grace)
        self._last = grace

    def take_link(self, link: Link, width: int) -> bool:
        """Let a sign after a grace note say how it goes on; False if it belongs to none."""
        last = self._last
        if last is None or last.stroke.leads is not None or link not in LEADS:
            return False
        if last not in self._chain:
            self._chain.append(last)
        last.stroke = replace(last.stroke, leads=link)
        last.width += width
        return True

    def pass_dash(self) -> None:
        """A dash after a grace note parts it from its string, unless it leads on by a sign."""
        if self._chain and self._chain[-1].stroke.leads is None:
            self._chain.clear()

    def take_note(self, position: int) -> int:
        """A note of the row: the grace notes right before it are its own. The characters that
        they take."""
        for grace in self._chain:
            grace.target = position
        width = sum(grace.width for grace in self._chain)
        self._chain.clear()
        self._last = None
        return width


def grace_at(text: str, index: int, signs: Signs, half_frets: bool) -> re.Match[str] | None:
    """The grace note typed at an index."""
    pattern = _BRACED_OR_ROUND if signs.brackets.what == "grace" else _BRACED
    match = pattern.match(text, index)
    if match is None or (match["half"] and not half_frets):
        return None
    return match


def with_graces(
    columns: tuple[Column, ...], graces: Sequence[Grace], problems: ProblemList
) -> tuple[Column, ...]:
    """The columns of a measure with the grace notes of all its rows. One that has no note after
    it in its measure is reported."""
    if not graces:
        return columns
    before: dict[int, list[Grace]] = {}
    for grace in sorted(graces, key=lambda g: (g.stroke.position, g.stroke.string)):
        index = _column_of(columns, grace)
        if index is None:
            problems.add(
                kinds.GRACE,
                f"the grace note {{{grace.stroke.fret}}} stands before no note of its measure; "
                "it is left out of the music",
                grace.stroke.place,
            )
        else:
            before.setdefault(index, []).append(grace)
    result = list(columns)
    for index, found in before.items():
        own = sum(g.width for g in found if g.target is None)
        result[index] = replace(
            columns[index],
            grace=tuple(g.stroke for g in found),
            sign_width=max(columns[index].sign_width, own),
        )
    return tuple(result)


def _column_of(columns: Sequence[Column], grace: Grace) -> int | None:
    if grace.target is not None:
        # A digit may stand a character off the column that it belongs to.
        return max(
            (i for i, c in enumerate(columns) if c.position <= grace.target),
            default=None,
            key=lambda i: columns[i].position,
        )
    after = (i for i, c in enumerate(columns) if c.position > grace.stroke.position)
    return next(after, None)
