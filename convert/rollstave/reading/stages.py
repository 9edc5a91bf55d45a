"""The order of reading: ``STAGES``, and ``HABITS``, which they bring to plain typing.

Each stage is a function of the one state. What a habit's rule takes and gives is said in
:class:`~rollstave.reading.state.At`; the habits of one place are tried in the order of the table.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from msgspec import Struct

from rollstave.problems import Place
from rollstave.reading.cells.signs import read_legend
from rollstave.reading.doubts import doubts
from rollstave.reading.finishing import finished, keep_words_of_no_tune
from rollstave.reading.labelling.judge import judge_lines
from rollstave.reading.page import frames, fronts, mail, markup, quoted
from rollstave.reading.page.decode import split_lines
from rollstave.reading.rows import bars, fills, gathering, joining, labels, mending
from rollstave.reading.rows.alike import fronts_alike
from rollstave.reading.rows.finding import plain_row
from rollstave.reading.rows.measure_numbers import measure_numbers
from rollstave.reading.rows.meter_column import meter_in_rows
from rollstave.reading.rows.numbers import neighbouring_columns
from rollstave.reading.rows.own_peg import counted_from_its_peg
from rollstave.reading.rows.way_up import upside_down
from rollstave.reading.state import At, Habit, ReadingState, TuneSoFar
from rollstave.reading.system_reader import read_block
from rollstave.reading.words.between import read_words
from rollstave.reading.words.prose import facts_in_words
from rollstave.reading.words.taking import leftover
from rollstave.vocabulary import problems as kinds

HABITS: tuple[Habit, ...] = (
    Habit(
        name="line numbers",
        at=At.LINES,
        recognises="Every line begins with a number, each one more than the line before.",
        rule=fronts.line_numbers,
    ),
    Habit(
        name="bars before lines",
        at=At.LINES,
        recognises="Every line begins with a bar or a colon and a blank, as some programs quote.",
        rule=fronts.bars_and_colons,
    ),
    Habit(
        name="line ends",
        at=At.LINES,
        recognises="Nearly every line ends with a backslash.",
        rule=fronts.line_ends,
    ),
    Habit(
        name="initials",
        at=At.LINES,
        recognises="Many lines begin with the same MQ> of a mail.",
        rule=fronts.initials,
    ),
    Habit(
        name="page numbers",
        at=At.LINES,
        recognises="A number between dashes stands alone between empty lines.",
        rule=frames.page_numbers,
    ),
    Habit(
        name="breaks in markup",
        at=At.LINES,
        recognises="Tags of a page begin or end a tab within a line, or there are no line ends.",
        rule=markup.line_breaks,
    ),
    Habit(
        name="quote marks",
        at=At.LINES,
        recognises="Lines begin with the > of a quotation.",
        rule=fronts.quote_marks,
    ),
    Habit(
        name="fences", at=At.LINES, recognises="A line is a fence around code.", rule=frames.fences
    ),
    Habit(
        name="scissors",
        at=At.LINES,
        recognises="A line of dashes has scissors in it.",
        rule=frames.scissors,
    ),
    Habit(
        name="page heads",
        at=At.LINES,
        recognises="A line says which page it is.",
        rule=frames.page_heads,
    ),
    Habit(
        name="tables",
        at=At.LINES,
        recognises="Lines of cells between bars, where most names are those of headings.",
        rule=frames.tables,
    ),
    Habit(
        name="boxes",
        at=At.LINES,
        recognises="Words stand between two bars or two # as in a box.",
        rule=frames.boxes,
    ),
    Habit(
        name="markup",
        at=At.LINES,
        recognises="There are tags of web pages, character references, codes of message boards.",
        rule=markup.tags_and_codes,
        reports=kinds.MARKUP,
    ),
    Habit(
        name="mail coding",
        at=At.LINES,
        recognises="Every equals sign belongs to a code of two figures, or cuts a long line.",
        rule=quoted.mail_coding,
        reports=kinds.MAIL_CODING,
    ),
    Habit(
        name="mail heads",
        at=At.LINES,
        recognises="Names of mail fields stand line under line.",
        rule=mail.headers,
    ),
    Habit(
        name="bracketed repeats",
        at=At.ROWS,
        recognises="Repeat signs are drawn with brackets in place of bars.",
        rule=fills.bracketed_repeats,
    ),
    Habit(
        name="systems side by side",
        at=At.ROWS,
        recognises="An empty row of two systems on the same lines looks like drawn stems.",
        rule=fills.empty_rows_side_by_side,
    ),
    Habit(
        name="other fills",
        at=At.ROWS,
        recognises="Four lines and more have another character in place of dashes.",
        rule=fills.other_fills,
    ),
    Habit(
        name="another fill in one row",
        at=At.ROWS,
        recognises="A labelled line has another fill, and the bars of the row beside it.",
        rule=fills.other_fill_in_one_row,
    ),
    Habit(
        name="underlines",
        at=At.ROWS,
        recognises="Dashes as long as the words over them stand between these and the rows.",
        rule=fills.underlines,
    ),
    Habit(
        name="ends of wrapped rows",
        at=At.ROWS,
        recognises="A few dashes and a bar stand under a row as long as mail lets a line be.",
        rule=mending.ends_of_wrapped_rows,
    ),
    Habit(
        name="bare labels",
        at=At.ROWS,
        recognises="A label and a bar are all that a line between labelled rows has.",
        rule=labels.bare_labels,
    ),
    Habit(
        name="square brackets",
        at=At.CHAPTER,
        recognises="The legend says what a note in square brackets is.",
        rule=fills.square_brackets,
    ),
    Habit(
        name="letters for zeros",
        at=At.CHAPTER,
        recognises="The letter o stands between dashes, and no row has a figure 0.",
        rule=fills.letters_for_zeros,
        reports=kinds.LETTER_FOR_ZERO,
    ),
    Habit(
        name="double spacing",
        at=At.GAP,
        recognises="Empty lines divide rows that only together are a system.",
        rule=gathering.double_spacing,
    ),
    Habit(
        name="line between rows",
        at=At.GAP,
        recognises="A lone line divides rows that have their bars in the same columns.",
        rule=gathering.line_between_rows,
    ),
    Habit(
        name="wrapped rows",
        at=At.BLOCK,
        recognises="Every second row is the short end of the one before.",
        rule=mending.wrapped,
        reports=kinds.WRAPPED,
    ),
    Habit(
        name="extra rows",
        at=At.BLOCK,
        recognises="There are too many rows, and just so many have no bar, label or fret.",
        rule=mending.extra_rows,
    ),
    Habit(
        name="rows left out",
        at=At.BLOCK,
        recognises="There are too few rows, and the labels show which string has none.",
        rule=mending.rows_left_out,
        reports=kinds.ROW_LEFT_OUT,
    ),
    Habit(
        name="other bars",
        at=At.SYSTEM,
        recognises="There is no bar, but a character like one in the same columns of all rows.",
        rule=bars.other_bars,
    ),
    Habit(
        name="gaps as bars",
        at=At.SYSTEM,
        recognises="There is no bar, but all rows have gaps in the same columns.",
        rule=bars.gaps_as_bars,
        reports=kinds.GAPS_AS_BARS,
    ),
    Habit(
        name="numbers as labels",
        at=At.SYSTEM,
        recognises="Every row begins with the number of its string.",
        rule=bars.numbers_as_labels,
    ),
    Habit(
        name="fronts alike",
        at=At.SYSTEM,
        recognises="What stands before the music has one form in all rows, with a letter in each.",
        rule=fronts_alike,
    ),
    Habit(
        name="words before bars",
        at=At.SYSTEM,
        recognises="Every row begins with words, and the first bars stand in one column.",
        rule=labels.words_before_bars,
    ),
    Habit(
        name="frets after labels",
        at=At.SYSTEM,
        recognises="A figure stands right after a letter where other rows have the letter alone.",
        rule=labels.frets_after_labels,
    ),
    Habit(
        name="upside down",
        at=At.SYSTEMS,
        recognises="Labels, or frets that no short string has, put string 1 at the bottom.",
        rule=upside_down,
        reports=kinds.UPSIDE_DOWN,
    ),
    Habit(
        name="own peg",
        at=At.SYSTEMS,
        recognises="Words, or frets below its peg alone, count the short string from its own peg.",
        rule=counted_from_its_peg,
        reports=kinds.OWN_PEG,
    ),
    Habit(
        name="notes in neighbouring columns",
        at=At.SYSTEMS,
        recognises="Many notes have a note in the next column, so two figures may be two notes.",
        rule=neighbouring_columns,
        reports=kinds.TWO_NOTES,
    ),
    Habit(
        name="meter in rows",
        at=At.MEASURES,
        recognises="Two figures, one above the other, stand between bars before the first measure.",
        rule=meter_in_rows,
        reports=kinds.METER_IN_ROWS,
    ),
    Habit(
        name="measure numbers",
        at=At.BESIDE,
        recognises="A line by a system has one number a measure, each one more than the last.",
        rule=measure_numbers,
        reports=kinds.MEASURE_NUMBERS,
    ),
    Habit(
        name="repeats at line ends",
        at=At.TUNE,
        recognises="A repeat sign opens at the end of a system.",
        rule=joining.repeats_at_line_ends,
        reports=kinds.REPEAT_SIGN,
    ),
    Habit(
        name="broken measures",
        at=At.TUNE,
        recognises="No bar closes a system, and its last measure and the next are one in width.",
        rule=joining.broken_measures,
        reports=kinds.BROKEN_MEASURE,
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
    Stage("what lines are", judge_lines),
    Stage("systems and words", read_lines),
    Stage("facts in words", facts_in_words),
    Stage("doubts", doubts),
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
