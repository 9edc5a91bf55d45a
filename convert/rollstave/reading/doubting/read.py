"""A tune that is read, with the lines that it was read from: what every check looks at."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence

from msgspec import Struct

from rollstave.grid.typed import FreeText, GridTune
from rollstave.problems import Place, ProblemKind, Severity
from rollstave.reading.page.decode import Line
from rollstave.reading.state import ReadingState, TuneSoFar


class Read(Struct, frozen=True):
    """A tune and its lines. ``index_of`` are the indices of the lines by their numbers, ``rows``
    the numbers of all lines with rows of tab, in order; ``touching`` are the indices of lines with
    no empty line between them and a row."""

    state: ReadingState
    tune: TuneSoFar
    grid: GridTune
    index_of: Mapping[int, int]
    rows: Sequence[int]
    touching: Collection[int]

    def line(self, number: int) -> Line | None:
        """The line of a number."""
        index = self.index_of.get(number)
        return None if index is None else self.state.lines[index]

    def whole_lines(self) -> Iterator[tuple[FreeText, Line]]:
        """The words that are kept as text and are all that stands on their line."""
        for note in self.tune.notes:
            line = self.line(note.place.line)
            if line is not None and note.text.strip() == line.text.strip():
                yield note, line

    def near_rows(self, number: int, lines: int) -> bool:
        """True if a row stands no more than so many lines away."""
        at = bisect_left(self.rows, number - lines)
        return at < len(self.rows) and self.rows[at] <= number + lines

    def touches_rows(self, number: int) -> bool:
        """True if no empty line stands between a line and a row."""
        return self.index_of[number] in self.touching

    def heads_rows(self, number: int) -> bool:
        """True for a line under an empty one, with rows below it and at most an empty line
        between."""
        lines, index = self.state.lines, self.index_of[number]
        below = index + 1
        if below < len(lines) and lines[below].blank:
            below += 1
        return below in self.state.block_at and index > 0 and lines[index - 1].blank

    def say(
        self, kind: ProblemKind, message: str, place: Place, severity: Severity | None = None
    ) -> None:
        """Say a doubt."""
        self.state.problems.add(kind, message, place, severity)


Doubt = Callable[[Read], None]
