"""Words between systems. ``RULES`` is the table: what a line may be, tried in order."""

from __future__ import annotations

import re
from collections.abc import Callable

from rollstave.patterns import rare
from rollstave.reading.labelling.judge import may_ask, ruled_out, seems
from rollstave.reading.ledger import Use
from rollstave.reading.state import ReadingState
from rollstave.reading.words import (
    chords_and_words,
    ending_rules,
    exercises,
    head_rules,
    measures_again,
    over_rules,
    section_rules,
    several_parts,
    slur_rules,
    told_rules,
)
from rollstave.reading.words.section_names import heads_words
from rollstave.reading.words.taking import not_a_section, note_line

# Given the index of a line, a rule says whether it has taken the line.
WordRule = Callable[[ReadingState, int], bool]


def text(state: ReadingState, index: int) -> bool:
    """Keep a line as text. Right under the name of a verse, the name belongs to that text."""
    line, before = state.lines[index], state.section_line
    if before is not None and before.number + 1 == line.number and heads_words(before.text):
        not_a_section(state)
    note_line(state, line)
    return True


_LIKELY = 0.5  # that a line is no word of the tune
_BEGINS_OR_ENDS = rare(
    r"\s*(?:[<\[({*=#~-]+\s*)?/?(?:begin|start|end|tab|code|pre|quote|snip|cut|spoiler)\b.{0,24}$"
    r"|\W*$|\s*[<\[]/?\w+[>\]]\s*$",
    re.IGNORECASE,
)


_OF_TAB = rare(
    r"\W*(?:begin(?:ning)?|start|end)\s+(?:of\s+)?(?:the\s+)?tab(?:lature)?\W*$"
    r"|\s*\\(?:begin|end)\s*\{\w+\*?\}\s*$"
    r"|\s*[-=~*#_.+<>8% ]{0,40}(?:cut|snip|clip)(?:\s+here)?[-=~*#_.+<>8% ]{0,40}$",
    re.IGNORECASE,
    cues=("tab", "begin", "end", "cut", "snip", "clip"),
)


def around_the_tab(state: ReadingState, index: int) -> bool:
    """Pass over what the chain of lines is sure is no word of the tune: ``BEGIN TAB``."""
    text = state.lines[index].text
    sure = _OF_TAB.match(text) is not None
    maybe = sure or _BEGINS_OR_ENDS.match(text) is not None
    if not maybe or (not sure and seems(state, index, ("markup",)) < _LIKELY):
        return False
    state.ledger.claim_line(state.lines[index], Use.FRAME)
    return True


RULES: tuple[tuple[str, WordRule], ...] = (
    ("heading of an exercise", exercises.heading_of_exercise),
    ("value of a heading", head_rules.value_of_heading),
    ("ruler", over_rules.ruler),
    ("numbers of measures", over_rules.numbers_of_measures),
    ("around the tab", around_the_tab),
    ("parts side by side", over_rules.parts_side_by_side),
    ("slurs over a system", slur_rules.slurs_over_system),
    ("ending in words", ending_rules.ending_in_words),
    ("words over a system", over_rules.words_over_system),
    ("chart", over_rules.chart),
    ("section with chords", over_rules.section_and_chords),
    ("chords and words", chords_and_words.chords_and_words),
    ("order of parts", section_rules.order_of_parts),
    ("headings", head_rules.headings),
    ("title of a further tune", head_rules.title_of_further_tune),
    ("title once more", head_rules.title_once_more),
    ("section played again", section_rules.section_played_again),
    ("measures as before", measures_again.measures_as_before),
    ("row twice", measures_again.row_twice),
    ("direction", section_rules.direction),
    ("ending told", told_rules.ending_told),
    ("ending before a gap", ending_rules.ending_before_a_gap),
    ("coda with a name", section_rules.coda_with_a_name),
    ("section", section_rules.section),
    ("one of several parts", several_parts.one_of_several_parts),
    ("name between systems", section_rules.name_between_systems),
    ("section in a sentence", section_rules.section_in_a_sentence),
    ("section told", told_rules.section_told),
    ("title", head_rules.title),
    ("words and headings", head_rules.words_and_headings),
    ("text", text),
)


# What the chain of lines calls a line that a rule takes; rules without a row here are not judged.
_OVER = (
    *(
        "chord row",
        "counts",
        "letters",
        "ending",
        "repeat",
        "jump",
        "words to sing",
        "chart",
        "row",
    ),
    *("wrapped row", "rule"),
)
_WORDS = ("prose", "remark", "legend", "signature", "mail header", "markup")
MEANT: dict[str, tuple[str, ...]] = {
    "ruler": ("rule", "markup", "blank", "row", "wrapped row", "signature", "ending"),
    "words over a system": _OVER,
    "chart": ("chart", "chord row"),
    "section with chords": ("part", "chord row"),
    "headings": ("heading", "title", "mail header", "legend"),
    "title of a further tune": ("title", "heading"),
    "ending before a gap": ("ending",),
    "section": ("part", "repeat", "jump", "ending"),
    "name between systems": ("part", "title"),
    "title": ("title", "heading", "prose"),
    "words and headings": ("heading", "title", "prose", "remark", "legend"),
}


# What a rule looks at first, and takes no line without.
COULD: dict[str, Callable[[ReadingState, int], bool]] = {
    "headings": head_rules.may_be_headings,
    "words over a system": over_rules.may_stand_over,
}


# Patterns look through a line many times: what is longer than pages of prose is words under which a
# system of such a width stands, or no words that say anything.
_LONG = 10_000  # characters
_BY_COLUMNS = ("words over a system", "text")


def read_words(state: ReadingState, index: int) -> None:
    """Read a line of words that is under no system, by the first rule that takes it and that the
    chain of lines does not rule out."""
    judged = may_ask(state, index)
    long = len(state.lines[index].text) > _LONG
    for name, rule in RULES:
        if long and name not in _BY_COLUMNS:
            continue
        could = COULD.get(name)
        if judged and could is not None and not could(state, index):
            continue  # asking costs more than looking first
        if judged and ruled_out(state, index, MEANT.get(name, ())):
            continue
        if rule(state, index):
            return
