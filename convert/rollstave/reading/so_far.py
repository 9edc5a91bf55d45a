"""A tune while it is read, and how it is finished."""

from __future__ import annotations

from bisect import bisect_left

from msgspec import Struct, field
from msgspec.structs import replace

from rollstave.grid.typed import FreeText, GridMeasure, GridTune, Heading, Link
from rollstave.problems import ProblemList
from rollstave.reading.rows.joining import carry_starts, close_endings, join_broken
from rollstave.reading.words.directions import Direction, apply


class TuneSoFar(Struct):
    """A tune while it is read."""

    first_line: int
    headings: list[Heading] = field(default_factory=list)
    measures: list[GridMeasure] = field(default_factory=list)
    notes: list[FreeText] = field(default_factory=list)
    directions: list[Direction] = field(default_factory=list)
    labels: tuple[str, ...] = ()
    section: str | None = None
    section_names: list[str] = field(default_factory=list)
    carried: dict[int, Link] = field(default_factory=dict)
    struck: set[int] = field(default_factory=set)
    systems: int = 0
    typed: int = 0
    title_guessed: bool = False

    def has_heading(self, key: str) -> bool:
        return any(h.key == key for h in self.headings)

    def finish(self, strings: int, problems: ProblemList) -> GridTune:
        joined = join_broken(carry_starts(self.measures, problems), problems)
        starts = [m.index for m in joined]
        directions = [replace(d, after=bisect_left(starts, d.after)) for d in self.directions]
        measures = [replace(m, index=index) for index, m in enumerate(joined)]
        measures = apply(measures, directions, problems)
        return GridTune(
            headings=tuple(self.headings),
            measures=close_endings(measures),
            notes=tuple(self.notes),
            labels=self.labels,
            strings=strings,
            first_line=self.first_line,
        )
