"""Walking a file: lines become headings, systems, words, and in the end tunes of grid measures.

``between`` takes the words, ``system_reader`` the systems; a tune is ``so_far`` until it is done.
"""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.grid.typed import GridTune
from rollstave.instruments.instrument import Instrument
from rollstave.instruments.known import OWN, Known
from rollstave.problems import Place, ProblemList
from rollstave.reading.cells.signs import read_legend
from rollstave.reading.ledger import Ledger
from rollstave.reading.page.decode import Line, split_lines
from rollstave.reading.page.scrub import scrub
from rollstave.reading.rows.finding import find_rows, with_zeros
from rollstave.reading.rows.gathering import Block, find_systems
from rollstave.reading.rows.numbers import habits_of
from rollstave.reading.system_reader import SystemReader
from rollstave.reading.words.between import WordReader
from rollstave.reading.words.tuning_words import knowing
from rollstave.vocabulary import problems as kinds


def read_grid(
    text: str,
    instrument: Instrument,
    problems: ProblemList,
    ledger: Ledger | None = None,
    first_line: int = 1,
    known: Known = OWN,
) -> tuple[GridTune, ...]:
    """The tunes of a text as typed. Problems are added to ``problems``; nothing is raised.

    ``ledger`` is filled with what every character was taken for. ``first_line`` is the number of
    the first line, where the text is a piece of a file. ``known`` are the instruments whose tunings
    words may name.
    """
    ledger = Ledger() if ledger is None else ledger
    with knowing(known):
        return _read(text, instrument, problems, ledger, first_line)


def _read(
    text: str, instrument: Instrument, problems: ProblemList, ledger: Ledger, first_line: int
) -> tuple[GridTune, ...]:
    """The tunes of a text, once it is known which words are names of tunings."""
    typed = split_lines(text, first_line)
    for line in typed:
        ledger.open(line)
    lines = scrub(typed, ledger, problems)
    rows = with_zeros(find_rows(lines), problems)
    blocks = find_systems(lines, rows, instrument, problems)
    if not blocks:
        first = next((line for line in lines if not line.blank), None)
        if first is None:
            problems.add(
                kinds.EMPTY, "the file is empty; there is no tab to read", Place(first_line, 1)
            )
        else:
            problems.add(
                kinds.NO_TAB,
                f"no tab found: a system is {instrument.strings} rows of dashes and fret numbers, "
                "one row for each string, with bars (|) between the measures",
                first.place(0),
            )
        return ()
    tunes = _walk(lines, blocks, instrument, problems, ledger)
    ledger.report_rest(problems)
    return tunes


def _walk(
    lines: Sequence[Line],
    blocks: Sequence[Block],
    instrument: Instrument,
    problems: ProblemList,
    ledger: Ledger,
) -> tuple[GridTune, ...]:
    """One pass over the lines of a file."""
    at = {block.start: block for block in blocks}
    in_block = {i for block in blocks for i in range(block.start, block.end)}
    signs = read_legend((line for i, line in enumerate(lines) if i not in in_block), problems)
    rows = [system.rows for block in blocks for system in block.systems]
    words = WordReader(lines, in_block, problems, ledger)
    systems = SystemReader(words, instrument, signs, habits_of(rows, instrument.frets, problems))
    index = 0
    while index < len(lines):
        if index in at:
            index = systems.read(at[index])
            continue
        if not lines[index].blank:
            words.read(index)
        index += 1
    words.leftover()
    words.without_measures()
    return tuple(t.finish(instrument.strings, problems) for t in words.tunes if t.measures)
