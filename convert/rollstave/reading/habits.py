"""The habits of typing that are brought to plain typing: ``HABITS``, in order.

What a habit's rule takes and gives is said in :class:`~rollstave.reading.state.At`; the habits of
one place are tried in the order of the table.
"""

from __future__ import annotations

from rollstave.reading.beside.no_endings import no_endings
from rollstave.reading.beside.own_letters import own_letters
from rollstave.reading.beside.own_times import own_times
from rollstave.reading.beside.stroke_signs import stroke_signs
from rollstave.reading.beside.triplets import triplet_figures
from rollstave.reading.page.habits import OF_LINES
from rollstave.reading.rows import bars, fills, gathering, joining, labels, mending
from rollstave.reading.rows.alike import fronts_alike
from rollstave.reading.rows.closed_up import closed_up
from rollstave.reading.rows.cut_short import rows_cut_short
from rollstave.reading.rows.dots import dots_for_dashes
from rollstave.reading.rows.drawn_alike import rows_drawn_alike
from rollstave.reading.rows.leads import leads_of_systems
from rollstave.reading.rows.letter_frets import letters_for_frets
from rollstave.reading.rows.line_numbers import (
    chords_in_brackets,
    chords_of_numbered_measures,
    numbers_of_systems,
)
from rollstave.reading.rows.measure_numbers import measure_numbers, numbers_that_go_on
from rollstave.reading.rows.meter_column import meter_in_rows
from rollstave.reading.rows.numbers import neighbouring_columns
from rollstave.reading.rows.own_peg import counted_from_its_peg
from rollstave.reading.rows.tied import ties_of_one_fret
from rollstave.reading.rows.way_up import upside_down
from rollstave.reading.state import At, Habit
from rollstave.reading.words import exercises
from rollstave.reading.words.own_places import own_places
from rollstave.vocabulary import problems as kinds

HABITS: tuple[Habit, ...] = (
    *OF_LINES,
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
        name="letters for frets",
        at=At.CHAPTER,
        recognises="No row has a figure, and all have nothing but letters from a on.",
        rule=letters_for_frets,
        reports=kinds.LETTERS_FOR_FRETS,
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
        name="numbers of systems",
        at=At.SYSTEMS,
        recognises="The chord lines over the systems begin with numbers that count on from 1.",
        rule=numbers_of_systems,
    ),
    Habit(
        name="chords in brackets",
        at=At.SYSTEMS,
        recognises="Lines over systems have chord names alone, each in square brackets.",
        rule=chords_in_brackets,
    ),
    Habit(
        name="chords of numbered measures",
        at=At.SYSTEMS,
        recognises="The line over each system numbers its measure and names its chord.",
        rule=chords_of_numbered_measures,
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
        name="own letters of note values",
        at=At.SYSTEMS,
        recognises="A legend says of two letters and more which note value each is.",
        rule=own_times,
        reports=kinds.LEGEND,
    ),
    Habit(
        name="ways of strokes",
        at=At.SYSTEMS,
        recognises="Lines beside rows have D and U, arrows, or what a legend calls down and up.",
        rule=stroke_signs,
        reports=kinds.STROKES,
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
        name="dots for dashes",
        at=At.TUNE,
        recognises="A repeat's measure is narrower than the others by its dot, which is no note's.",
        rule=dots_for_dashes,
    ),
    Habit(
        name="ties of one fret",
        at=At.TUNE,
        recognises="A sign of a tie stands between two different frets.",
        rule=ties_of_one_fret,
        reports=kinds.TIED_FRETS,
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
