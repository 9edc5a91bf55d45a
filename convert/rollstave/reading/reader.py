"""From a text to grid tunes: a walk of ``stages.STAGES``."""

from __future__ import annotations

from rollstave.grid.typed import GridTune
from rollstave.instruments.instrument import Instrument
from rollstave.problems import ProblemList
from rollstave.reading import stages
from rollstave.reading.ledger import Ledger
from rollstave.reading.page.decode import Line
from rollstave.reading.state import ReadingState


def prepare(
    text: str, problems: ProblemList, ledger: Ledger | None = None, first_line: int = 1
) -> ReadingState:
    """Read a file as far as no instrument is needed: its lines made plain, and its rows.

    ``ledger`` is filled with what every character was taken for. ``first_line`` is the number of
    the first line, where the text stands in the midst of a file.
    """
    state = ReadingState(
        habits=stages.by_place(stages.HABITS),
        problems=problems,
        ledger=Ledger() if ledger is None else ledger,
        text=text,
        first_line=first_line,
    )
    for stage in stages.STAGES:
        if stage.of_file:
            stage.run(state)
    return state


def read_prepared(state: ReadingState, instrument: Instrument) -> tuple[GridTune, ...]:
    """The tunes of a file, or of a chapter of it, for an instrument."""
    state.instrument = instrument
    for stage in stages.STAGES:
        if not stage.of_file and not state.ended:
            stage.run(state)
    return state.grid


def read_grid(
    text: str,
    instrument: Instrument,
    problems: ProblemList,
    ledger: Ledger | None = None,
    first_line: int = 1,
) -> tuple[GridTune, ...]:
    """The tunes of a text as typed. Problems are added to ``problems``; nothing is raised.

    ``ledger`` and ``first_line`` are those of :func:`prepare`.
    """
    return read_prepared(prepare(text, problems, ledger, first_line), instrument)


def plain_lines(text: str) -> list[Line]:
    """The lines of a text as plain typing, without what surrounds a tab."""
    state = ReadingState(
        habits=stages.by_place(stages.HABITS), problems=ProblemList(), ledger=Ledger(), text=text
    )
    stages.type_lines(state)
    stages.make_plain(state)
    return state.lines
