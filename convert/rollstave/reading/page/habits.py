"""The habits of whole lines: how a page, a mail or a program that quotes sets a text."""

from __future__ import annotations

from rollstave.reading.page import (
    frames,
    fronts,
    letter_heads,
    letter_ones,
    mail,
    markup,
    quoted,
    string_names,
)
from rollstave.reading.page.spaced import spaced_lines
from rollstave.reading.state import At, Habit
from rollstave.vocabulary import problems as kinds

OF_LINES: tuple[Habit, ...] = (
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
        name="chat stamps",
        at=At.LINES,
        recognises="Several lines begin with when they were sent and by whom.",
        rule=fronts.chat_stamps,
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
        name="letters for ones",
        at=At.LINES,
        recognises="The letter l stands where frets do, and no row has the figure 1.",
        rule=letter_ones.letters_for_ones,
        reports=kinds.LETTER_FOR_ONE,
    ),
    Habit(
        name="strings in other tongues",
        at=At.LINES,
        recognises="Rows begin with H and no B, or with the syllables of notes.",
        rule=string_names.names_of_strings,
    ),
)
