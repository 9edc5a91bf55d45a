"""The habits of typing that are brought to plain typing: ``HABITS``, in order.

What a habit's rule takes and gives is said in :class:`~rollstave.reading.state.At`; the habits of
one place are tried in the order of the table.
"""

from __future__ import annotations

from rollstave.reading.beside.no_endings import no_endings
from rollstave.reading.beside.own_letters import own_letters
from rollstave.reading.beside.triplets import triplet_figures
from rollstave.reading.page import frames, fronts, letter_heads, mail, markup, quoted, string_names
from rollstave.reading.page.spaced import spaced_lines
from rollstave.reading.rows import bars, fills, gathering, joining, labels, mending
from rollstave.reading.rows.alike import fronts_alike
from rollstave.reading.rows.closed_up import closed_up
from rollstave.reading.rows.cut_short import rows_cut_short
from rollstave.reading.rows.drawn_alike import rows_drawn_alike
from rollstave.reading.rows.leads import leads_of_systems
from rollstave.reading.rows.measure_numbers import measure_numbers, numbers_that_go_on
from rollstave.reading.rows.meter_column import meter_in_rows
from rollstave.reading.rows.numbers import neighbouring_columns
from rollstave.reading.rows.own_peg import counted_from_its_peg
from rollstave.reading.rows.way_up import upside_down
from rollstave.reading.state import At, Habit
from rollstave.reading.words import exercises
from rollstave.reading.words.own_places import own_places
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
        name="leaders",
        at=At.LINES,
        recognises="Four dots and more, or a line, lead from the name of a heading to its value.",
        rule=frames.leaders,
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
        name="spaced lines",
        at=At.LINES,
        recognises="Every line has as many empty lines behind it.",
        rule=spaced_lines,
    ),
    Habit(
        name="headings of one letter",
        at=At.LINES,
        recognises="A head has a line T: and beside it M: with a time or K: with a key.",
        rule=letter_heads.letter_heads,
    ),
    Habit(
        name="strings in other tongues",
        at=At.LINES,
        recognises="Rows begin with H and no B, or with the syllables of notes.",
        rule=string_names.names_of_strings,
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
        name="rows drawn alike",
        at=At.ROWS,
        recognises="Lines are one character for the most, and have another in the same columns.",
        rule=rows_drawn_alike,
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
        name="rows cut short",
        at=At.ROWS,
        recognises="A label, a bar and little more are all of each row, with labels as above.",
        rule=rows_cut_short,
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
        recognises="The letter o stands between dashes, and its rows have no figure 0.",
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
        name="fret behind the last bar",
        at=At.SYSTEM,
        recognises="A figure ends a row, and other rows have a measure there that no bar closes.",
        rule=mending.fret_behind_the_last_bar,
    ),
    Habit(
        name="other bars",
        at=At.SYSTEM,
        recognises="There is no bar, but a character like one in the same columns of all rows.",
        rule=bars.other_bars,
    ),
    Habit(
        name="bars at beats",
        at=At.SYSTEM,
        recognises="Between double bars stand as many single ones each time, a beat apart.",
        rule=bars.bars_at_beats,
    ),
    Habit(
        name="bars in few rows",
        at=At.SYSTEM,
        recognises="A row or two have bars, and all others dashes in the columns of these.",
        rule=bars.bars_in_few_rows,
        reports=kinds.BARS_DIFFER,
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
        name="numbers that go on",
        at=At.SYSTEMS,
        recognises="The numbers over all systems count on, and farther than endings do.",
        rule=numbers_that_go_on,
        reports=kinds.MEASURE_NUMBERS,
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
        name="own letters",
        at=At.SYSTEMS,
        recognises="A legend says which letters are those of fingers, or of a brush.",
        rule=own_letters,
        reports=kinds.LEGEND,
    ),
    Habit(
        name="own signs of places",
        at=At.SYSTEMS,
        recognises="Words say of a sign that the player comes back to it, or leaves there.",
        rule=own_places,
        reports=kinds.LEGEND,
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
        name="triplet figures",
        at=At.BESIDE,
        recognises="A 3 stands over a measure, and no second ending before it.",
        rule=triplet_figures,
    ),
    Habit(
        name="numbers that are no endings",
        at=At.BESIDE,
        recognises="Numbers are note values that fit, or several stand over one measure.",
        rule=no_endings,
    ),
    Habit(
        name="blanks for the eye",
        at=At.READ,
        recognises="In most measures all rows have blanks between the same columns, and no others.",
        rule=closed_up,
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
    Habit(
        name="leads of systems",
        at=At.TUNE,
        recognises="All notes of a system stand between the places of those of the others.",
        rule=leads_of_systems,
        reports=kinds.LEADS,
    ),
    Habit(
        name="exercises without ends",
        at=At.TUNE,
        recognises="Each system or two have a heading of an exercise over them.",
        rule=exercises.ended_exercises,
    ),
)
