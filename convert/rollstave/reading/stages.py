"""The order of reading: ``STAGES``, and ``HABITS``, which they bring to plain typing.

Each stage is a function of the one state. What a habit's rule takes and gives is said in
:class:`~rollstave.reading.state.At`; the habits of one place are tried in the order of the table.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from msgspec import Struct

from rollstave.problems import Place
from rollstave.reading.cells.signs import read_legend
from rollstave.reading.finishing import finished, keep_words_of_no_tune
from rollstave.reading.page import frames, fronts, mail, markup, quoted
from rollstave.reading.page.decode import split_lines
from rollstave.reading.rows import bars, fills, gathering, joining, mending
from rollstave.reading.rows.finding import plain_row
from rollstave.reading.rows.measure_numbers import measure_numbers
from rollstave.reading.rows.meter_column import meter_in_rows
from rollstave.reading.rows.numbers import neighbouring_columns
from rollstave.reading.rows.way_up import upside_down
from rollstave.reading.state import At, Habit, ReadingState, TuneSoFar
from rollstave.reading.system_reader import read_block
from rollstave.reading.words.between import read_words
from rollstave.reading.words.taking import leftover
from rollstave.vocabulary import problems as kinds

HABITS: tuple[Habit, ...] = (
    Habit(
        "line numbers",
        At.LINES,
        "Every line begins with a number, each one more than the line before.",
        fronts.line_numbers,
    ),
    Habit(
        "bars before lines",
        At.LINES,
        "Every line begins with a bar or a colon and a blank, as some programs quote.",
        fronts.bars_and_colons,
    ),
    Habit("initials", At.LINES, "Many lines begin with the same MQ> of a mail.", fronts.initials),
    Habit(
        "page numbers",
        At.LINES,
        "A number between dashes stands alone between empty lines.",
        frames.page_numbers,
    ),
    Habit(
        "breaks in markup",
        At.LINES,
        "Tags of a page begin or end a tab in the midst of a line, or there are no line ends.",
        markup.line_breaks,
    ),
    Habit("quote marks", At.LINES, "Lines begin with the > of a quotation.", fronts.quote_marks),
    Habit("fences", At.LINES, "A line is a fence around code.", frames.fences),
    Habit("page heads", At.LINES, "A line says which page it is.", frames.page_heads),
    Habit("boxes", At.LINES, "Words stand between two bars or two # as in a box.", frames.boxes),
    Habit(
        "markup",
        At.LINES,
        "There are tags of web pages, character references, or codes of a message board.",
        markup.tags_and_codes,
    ),
    Habit(
        "mail coding",
        At.LINES,
        "Every equals sign belongs to a code of two figures, or cuts a long line.",
        quoted.mail_coding,
        kinds.MAIL_CODING,
    ),
    Habit("mail heads", At.LINES, "Names of mail fields stand line under line.", mail.headers),
    Habit(
        "bracketed repeats",
        At.ROWS,
        "Repeat signs are drawn with brackets in place of bars.",
        fills.bracketed_repeats,
    ),
    Habit(
        "systems side by side",
        At.ROWS,
        "An empty row of two systems on the same lines looks like drawn stems.",
        fills.empty_rows_side_by_side,
    ),
    Habit(
        "other fills",
        At.ROWS,
        "Four lines and more have another character in place of dashes.",
        fills.other_fills,
    ),
    Habit(
        "another fill in one row",
        At.ROWS,
        "A labelled line has another fill, and the bars of the row beside it.",
        fills.other_fill_in_one_row,
    ),
    Habit(
        "letters for zeros",
        At.CHAPTER,
        "The letter o stands between dashes, and no row has a figure 0.",
        fills.letters_for_zeros,
        kinds.LETTER_FOR_ZERO,
    ),
    Habit(
        "double spacing",
        At.GAP,
        "Empty lines divide rows that only together are a system.",
        gathering.double_spacing,
    ),
    Habit(
        "line between rows",
        At.GAP,
        "A lone line divides rows that have their bars in the same columns.",
        gathering.line_between_rows,
    ),
    Habit(
        "wrapped rows",
        At.BLOCK,
        "Every second row is the short end of the one before.",
        mending.wrapped,
        kinds.WRAPPED,
    ),
    Habit(
        "extra rows",
        At.BLOCK,
        "There are too many rows, and as many as are too many have no bar, label or fret.",
        mending.extra_rows,
    ),
    Habit(
        "rows left out",
        At.BLOCK,
        "There are too few rows, and the labels show which string has none.",
        mending.rows_left_out,
        kinds.ROW_LEFT_OUT,
    ),
    Habit(
        "other bars",
        At.SYSTEM,
        "There is no bar, but a character like one in the same columns of all rows.",
        bars.other_bars,
    ),
    Habit(
        "gaps as bars",
        At.SYSTEM,
        "There is no bar, but all rows have gaps in the same columns.",
        bars.gaps_as_bars,
        kinds.GAPS_AS_BARS,
    ),
    Habit(
        "numbers as labels",
        At.SYSTEM,
        "Every row begins with the number of its string.",
        bars.numbers_as_labels,
    ),
    Habit(
        "upside down",
        At.SYSTEMS,
        "The labels, or frets that a short string does not have, put string 1 at the bottom.",
        upside_down,
        kinds.UPSIDE_DOWN,
    ),
    Habit(
        "notes in neighbouring columns",
        At.SYSTEMS,
        "Many notes have a note in the next column, so that two figures may be two notes.",
        neighbouring_columns,
        kinds.TWO_NOTES,
    ),
    Habit(
        "meter in rows",
        At.MEASURES,
        "Two figures, one above the other, stand between bars before the first measure.",
        meter_in_rows,
        kinds.METER_IN_ROWS,
    ),
    Habit(
        "measure numbers",
        At.BESIDE,
        "A line over or under a system has one number a measure, each one more than the last.",
        measure_numbers,
        kinds.MEASURE_NUMBERS,
    ),
    Habit(
        "repeats at line ends",
        At.TUNE,
        "A repeat sign opens at the end of a system.",
        joining.repeats_at_line_ends,
        kinds.REPEAT_SIGN,
    ),
    Habit(
        "broken measures",
        At.TUNE,
        "No bar closes a system, and its last measure and the next are one in width.",
        joining.broken_measures,
        kinds.BROKEN_MEASURE,
    ),
)


def by_place(habits: Sequence[Habit]) -> Mapping[At, Sequence[Habit]]:
    """The habits of each place, in the order of the table."""
    return {at: tuple(habit for habit in habits if habit.at is at) for at in At}


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
    words = (line for i, line in enumerate(state.lines) if i not in state.in_block)
    state.signs = read_legend(words, state.problems)
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
    Stage("systems and words", read_lines),
    Stage("tunes", finish_tunes),
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
