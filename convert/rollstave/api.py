"""The public API behind ``rollstave.read`` and ``rollstave.write``."""

from __future__ import annotations

from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from rollstave.contract.dialects import in_original, translate
from rollstave.contract.manager import contract
from rollstave.contract.offers import HouseText, ReadGrid
from rollstave.deciding.about import declared_beside
from rollstave.deciding.build import Built, build_score
from rollstave.grid.typed import GridTune
from rollstave.instruments.instrument import Instrument
from rollstave.musicxml_in.detect import is_musicxml
from rollstave.problems import Problem, ProblemList, TabError
from rollstave.reading.chapters import chapters_of
from rollstave.reading.page.decode import decode, refuse_large
from rollstave.reading.reader import prepare, read_grid, read_prepared
from rollstave.reading.which import which_instrument
from rollstave.score.finding import Finding, How
from rollstave.score.records import Score
from rollstave.vocabulary import problems as kinds


class Tune(Struct, frozen=True):
    """One tune of a file: its score, what it was read from, and what there is to say about it."""

    score: Score
    grid: GridTune
    findings: tuple[Finding, ...]
    problems: tuple[Problem, ...]


def read(
    source: str | bytes | Path, *, instrument: Instrument | None = None, name: str = ""
) -> tuple[Tune, ...]:
    """Read the tunes of a tab or of a MusicXML file: a Path is read from disk, text and bytes are
    taken as they are.

    ``instrument`` is the one to read a tab for; without it, the file decides. ``name`` is the
    title of a tune that has none. Raises TabError with every problem found if any of them is an
    error, OSError if a file cannot be read.
    """
    if isinstance(source, Path):
        name = name or source.stem
        source = source.read_bytes()
    problems = ProblemList()
    data = source.encode("utf-8", "replace") if isinstance(source, str) else source
    if is_musicxml(data):
        return (_from_musicxml(data, name, problems),)
    if isinstance(source, str):
        refuse_large(len(data))
        text = source
    else:
        text = decode(data)
    translated = translate(text, problems, contract())
    house = translated if isinstance(translated, HouseText) else None
    if isinstance(translated, ReadGrid):
        grids = translated.tunes
        built = [build_score(grid, translated.instrument, problems, name) for grid in grids]
    else:
        text = house.text if house else text
        grids, built = _read_chapters(text, instrument, problems, name)
    if not built and not problems.has_errors:
        problems.add(kinds.NO_TAB, "no measure with notes was found")
    if problems.has_errors:
        raise TabError(tuple(in_original(p, house) for p in problems.sorted()))
    parted = (_problems_of(problems.sorted(), grids, n) for n in range(len(grids)))
    told = [tuple(in_original(p, house) for p in part) for part in parted]
    return tuple(
        Tune(score=b.score, grid=grid, findings=b.findings, problems=told[position])
        for position, (b, grid) in enumerate(zip(built, grids, strict=True))
    )


def _read_chapters(
    text: str, instrument: Instrument | None, problems: ProblemList, name: str
) -> tuple[tuple[GridTune, ...], list[Built]]:
    """The tunes of a text, each chapter of it for the instrument that it names or shows."""
    grids: list[GridTune] = []
    built: list[Built] = []
    file = prepare(text, problems)
    for chapter in chapters_of(file) if instrument is None else (file,):
        chosen = instrument or which_instrument(chapter)
        found = read_prepared(chapter, chosen)
        grids += found
        built += [build_score(grid, chosen, problems, name) for grid in found]
    return tuple(grids), built


def _from_musicxml(data: bytes, name: str, problems: ProblemList) -> Tune:
    """The tune of a MusicXML file. Its grid is that of the tab it is written as."""
    from rollstave.musicxml_in import read_musicxml
    from rollstave.writing.text import write_text

    score = read_musicxml(data, problems)
    score = score if score.title else replace(score, title=name)
    text = write_text(score).decode()
    (grid,) = read_grid(text, score.setup.instrument, ProblemList())
    findings = (
        Finding("title", score.title, How.DECLARED),
        Finding(
            subject="tuning",
            value=score.setup.tuning.written,
            how=How.DECLARED,
            reason="of the MusicXML file",
        ),
        Finding("key", str(score.key), How.DECLARED),
        Finding("meter", str(score.meter), How.DECLARED),
        *declared_beside(score),
    )
    return Tune(score=score, grid=grid, findings=findings, problems=problems.sorted())


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
