"""From a text to grid tunes: a walk of ``stages.STAGES``."""

from __future__ import annotations

from rollstave.grid.typed import GridTune
from rollstave.instruments.instrument import Instrument
from rollstave.instruments.known import OWN, Known
from rollstave.problems import ProblemList
from rollstave.reading import stages
from rollstave.reading.ledger import Ledger
from rollstave.reading.page.decode import Line
from rollstave.reading.state import ReadingState
from rollstave.reading.words.tuning_words import knowing


def prepare(
    text: str,
    problems: ProblemList,
    ledger: Ledger | None = None,
    first_line: int = 1,
    known: Known = OWN,
) -> ReadingState:
    """Read a file as far as no instrument is needed: its lines made plain, and its rows.

    ``ledger`` is filled with what every character was taken for. ``first_line`` is the number of
    the first line, where the text stands in the midst of a file. ``known`` are the instruments
    whose tunings words may name.
    """
    state = ReadingState(
        habits=stages.by_place(stages.HABITS),
        problems=problems,
        ledger=Ledger() if ledger is None else ledger,
        text=text,
        first_line=first_line,
        known=known,
    )
    with knowing(known):
        for stage in stages.STAGES:
            if stage.of_file:
                stage.run(state)
    return state


def read_prepared(state: ReadingState, instrument: Instrument) -> tuple[GridTune, ...]:
    """The tunes of a file, or of a chapter of it, for an instrument."""
    state.instrument = instrument
    with knowing(state.known):
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
    known: Known = OWN,
) -> tuple[GridTune, ...]:
    """The tunes of a text as typed. Problems are added to ``problems``; nothing is raised.

    ``ledger``, ``first_line`` and ``known`` are those of :func:`prepare`.
    """
    return read_prepared(prepare(text, problems, ledger, first_line, known), instrument)


def plain_lines(text: str) -> list[Line]:
    """The lines of a text as plain typing, without what surrounds a tab."""
    state = ReadingState(
        habits=stages.by_place(stages.HABITS), problems=ProblemList(), ledger=Ledger(), text=text
    )
    stages.type_lines(state)
    stages.make_plain(state)
    return state.lines
