"""The public API behind ``rollstave.read`` and ``rollstave.write``."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from rollstave.grid.model import GridTune
from rollstave.instruments.model import Instrument
from rollstave.problems import Problem, ProblemList, TabError
from rollstave.reading.decode import decode
from rollstave.reading.reader import read_grid
from rollstave.reading.which import which_instrument
from rollstave.score.build import build_score
from rollstave.score.findings import Finding
from rollstave.score.model import Score


@dataclass(frozen=True, slots=True)
class Tune:
    """One tune of a file: its score, what it was read from, and what there is to say about it."""

    score: Score
    grid: GridTune
    findings: tuple[Finding, ...]
    problems: tuple[Problem, ...]


def read(
    source: str | bytes | Path, *, instrument: Instrument | None = None, name: str = ""
) -> tuple[Tune, ...]:
    """Read the tunes of a tab: a Path is read from disk, text and bytes are taken as they are.

    ``instrument`` is the one to read for; without it, the file decides. ``name`` is the title of
    a tune that has none. Raises TabError with every problem found if
    any of them is an error, OSError if a file cannot be read.
    """
    if isinstance(source, Path):
        name = name or source.stem
        source = source.read_bytes()
    text = decode(source) if isinstance(source, bytes) else source
    problems = ProblemList()
    if instrument is None:
        instrument = which_instrument(text, problems)
    grids = read_grid(text, instrument, problems)
    built = [build_score(grid, instrument, problems, name) for grid in grids]
    if problems.has_errors:
        raise TabError(problems.sorted())
    if not built:
        problems.error("no-tab", "no measure with notes was found")
        raise TabError(problems.sorted())
    return tuple(
        Tune(b.score, grid, b.findings, _problems_of(problems.sorted(), grids, position))
        for position, (b, grid) in enumerate(zip(built, grids, strict=True))
    )


def _problems_of(
    problems: tuple[Problem, ...], grids: tuple[GridTune, ...], position: int
) -> tuple[Problem, ...]:
    """The problems that lie in the lines of one tune; those without a place go to the first."""
    start = grids[position].first_line if position else 0
    end = grids[position + 1].first_line if position + 1 < len(grids) else None
    return tuple(
        p
        for p in problems
        if (p.place.line if p.place else 0) >= start
        and (end is None or (p.place.line if p.place else 0) < end)
    )
