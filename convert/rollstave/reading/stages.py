"""The order of reading: ``STAGES``. Each is a function of the one state; what they bring to plain
typing stands in ``HABITS`` (:mod:`rollstave.reading.habits`).
"""

from __future__ import annotations

from collections.abc import Callable

from msgspec import Struct

from rollstave.problems import Place
from rollstave.reading.cells.signs import read_legend
from rollstave.reading.doubts import doubts
from rollstave.reading.finishing import finished, keep_words_of_no_tune
from rollstave.reading.habits import HABITS
from rollstave.reading.labelling.judge import judge_lines
from rollstave.reading.page.decode import split_lines
from rollstave.reading.rows import gathering
from rollstave.reading.rows.finding import plain_row
from rollstave.reading.rows.full_rows import with_full_rows
from rollstave.reading.state import At, ReadingState, TuneSoFar, by_place
from rollstave.reading.system_reader import read_block
from rollstave.reading.words.between import read_words
from rollstave.reading.words.exercises import find_exercises
from rollstave.reading.words.further_tunes import find_further_tunes, share_headings
from rollstave.reading.words.left_title import title_among_words, title_weighed
from rollstave.reading.words.prose import facts_in_words
from rollstave.reading.words.same_titles import tell_apart
from rollstave.reading.words.taking import leftover
from rollstave.vocabulary import problems as kinds

__all__ = ["HABITS", "STAGES", "Stage", "by_place"]

# The stages ----------------------------------------------------------------------------------


def type_lines(state: ReadingState) -> None:
    """Divide the text into lines; an account of every character begins."""
    state.typed = split_lines(state.text, state.first_line)
    for line in state.typed:
        state.ledger.open(line)


def make_plain(state: ReadingState) -> None:
    """Take off what surrounds a tab. All other characters keep their places in the file."""
    state.lines = list(state.typed)
    _put_right(state, At.LINES)


def find_rows(state: ReadingState) -> None:
    """Tell the rows of tab from the words."""
    state.rows = [plain_row(line) for line in state.lines]
    with_full_rows(state.lines, state.rows)
    _put_right(state, At.ROWS)


def find_systems(state: ReadingState) -> None:
    """Gather rows into systems; where there are none, that is said and reading ends."""
    _put_right(state, At.CHAPTER)
    state.blocks = gathering.gather(state)
    state.ended = not state.blocks
    if state.ended:
        _say_nothing_found(state)


def find_conventions(state: ReadingState) -> None:
    """Find which way up the systems stand and what their figures and signs mean."""
    state.in_block = {i for block in state.blocks for i in range(block.start, block.end)}
    # A legend may have come between two rows.
    rows = {i for i in state.in_block if state.rows[i] is not None}
    words = (line for i, line in enumerate(state.lines) if i not in rows)
    systems = [system for block in state.blocks for system in block.systems]
    bodies = [row.body for system in systems for row in system.rows]
    state.signs = read_legend(words, state.problems, bodies)
    _put_right(state, At.SYSTEMS)
    state.block_at = {block.start: block for block in state.blocks}


def read_lines(state: ReadingState) -> None:
    """Read systems and words in the order of the lines."""
    state.tunes = [TuneSoFar(first_line=state.lines[0].number)]
    index = 0
    while index < len(state.lines):
        if index in state.block_at:
            index = read_block(state, state.block_at[index])
            continue
        if not state.lines[index].blank:
            read_words(state, index)
        index += 1
    leftover(state)


def finish_tunes(state: ReadingState) -> None:
    """Make grid tunes of the tunes that have measures."""
    keep_words_of_no_tune(state)
    state.grid = tuple(finished(state, tune) for tune in state.tunes if tune.measures)


def report_rest(state: ReadingState) -> None:
    """Report what nobody has read."""
    state.ledger.report_rest(state.typed, state.problems)


class Stage(Struct, frozen=True):
    """A step of reading: its name, and a function of the state."""

    name: str
    run: Callable[[ReadingState], None]
    of_file: bool = False  # done once, before a file is cut where its instrument changes


STAGES: tuple[Stage, ...] = (
    Stage("lines as typed", type_lines, of_file=True),
    Stage("plain lines", make_plain, of_file=True),
    Stage("rows", find_rows, of_file=True),
    Stage("systems", find_systems),
    Stage("way up and signs", find_conventions),
    Stage("what lines are", judge_lines),
    Stage("headings of exercises", find_exercises),
    Stage("further tunes", find_further_tunes),
    Stage("systems and words", read_lines),
    Stage("facts in words", facts_in_words),
    Stage("title among words", title_among_words),
    Stage("title weighed", title_weighed),
    Stage("titles that are the same", tell_apart),
    Stage("headings that are shared", share_headings),
    Stage("tunes", finish_tunes),
    Stage("doubts", doubts),
    Stage("rest", report_rest),
)


def _put_right(state: ReadingState, at: At) -> None:
    for habit in state.habits[at]:
        habit.rule(state)


def _say_nothing_found(state: ReadingState) -> None:
    first = next((line for line in state.lines if not line.blank), None)
    if first is None:
        state.problems.add(
            kinds.EMPTY,
            "the file is empty; there is no tab to read",
            Place(state.first_line, 1),
        )
        return
    state.problems.add(
        kinds.NO_TAB,
        f"no tab found: a system is {state.instrument.strings} rows of dashes and fret numbers, "
        "one row for each string, with bars (|) between the measures",
        first.place(0),
    )
