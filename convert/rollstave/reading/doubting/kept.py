"""Lines that are kept as words and look like something else.

Every line of words was taken for something. What is kept as text is held against the rows beside
it: dashes that no system has, names of chords that no measure has, figures alone.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from msgspec import Struct

from rollstave.patterns import rare
from rollstave.problems import ProblemKind
from rollstave.reading.beside import attach
from rollstave.reading.beside.mixed import words_of
from rollstave.reading.doubting.read import Read
from rollstave.reading.page.decode import Line
from rollstave.reading.words.charts import chart_of
from rollstave.reading.words.directions import is_order_of_parts
from rollstave.vocabulary import problems as kinds

_FEWEST = 2  # words of a kind that make a line of that kind, if it does not touch the rows
_NEAR = 4  # lines between such words and the rows that they may be meant for
_ENOUGH = 300  # columns that show what a line is: longer ones would be looked through many times
_DASHES = rare(
    r"-{3,}.*\d.*-{2,}|\d.*-{3,}.*\d.*-{2,}|\|-{2,}.*\||([^\w\s|])\1{2}.*\w.*\|.*\1{2}"
    r"|\s*\w{0,3}[|:][\s\dhpsox()/\\~.-]*\s\d[\s\dhpsox()/\\~.-]*\|[\s\d|hpsox()/\\~.-]*$"
)
_DIVIDES = rare(r"[\s|+-]*")  # the rule of a table, a box
_WORD = re.compile(r"(?<![^\W\d_])[^\W\d_]{3,}(?![^\W\d_])")  # no sign and no name of a chord


class Kept(Struct, frozen=True):
    """A line that is kept as words, how many measures stand before it, and whether it touches rows
    or is near them, and whether it stands by itself right over some."""

    line: Line
    before: int
    touches: bool
    near: bool
    heads: bool


def kept_words(read: Read) -> None:
    """Doubt lines that are kept as words and look like something else."""
    for note, line in read.whole_lines():
        number = line.number
        kept = Kept(
            line=line,
            before=note.before_measure,
            touches=read.touches_rows(number),
            near=read.near_rows(number, _NEAR),
            heads=note.before_measure > 0 and read.heads_rows(number),
        )
        for kind, rule in RULES:
            if (said := rule(kept)) is not None:
                read.say(kind, said, note.place)
                break
            if rule is _looks_like_a_row and _is_known(line.text):
                break


def _is_known(text: str) -> bool:
    """True for words that are kept and are seen to: ``AABB``, a chord chart."""
    return is_order_of_parts(text) or chart_of(text) is not None


def _looks_like_a_row(kept: Kept) -> str | None:
    """A row of tab."""
    text = kept.line.text[:_ENOUGH]
    if not _DASHES.search(text) or _DIVIDES.fullmatch(text):
        return None
    return "this line looks like a row of tab, but no system has it; it is kept as words"


def _stands_beside(kept: Kept) -> str | None:
    """Chords, counts, letters: what stands over or under a system."""
    line = kept.line
    number = line.text.strip(" #.:()")
    if number.isdecimal() and kept.before <= int(number) <= kept.before + 2:
        return None  # of a measure
    if not kept.near:
        return None
    found = words_of(line, (*attach.ABOVE, *attach.BELOW))
    fewest = 1 if kept.touches else _FEWEST
    if not found or len(found) < fewest or len(line.text.split()) < fewest:
        return None
    return (
        f"this line looks like {found[0][0].value}, but stands over or under no system; it is "
        "kept as words"
    )


def _no_words(kept: Kept) -> str | None:
    """Figures and signs that touch rows: no words to keep."""
    text = kept.line.text
    if not kept.touches or _WORD.search(text):
        return None
    if text.strip(" #.:()").isdecimal():
        return None  # as above
    return "these signs touch the rows and are not understood; they are kept as words"


_FEWEST_SIGNS = 4  # in a line of signs among words


def _mostly_signs(kept: Kept) -> str | None:
    """Single letters and figures that touch rows, with a word or two among them."""
    words = kept.line.text.split()
    signs = sum(len(word.strip(".!()")) == 1 for word in words)
    if not kept.touches or signs < _FEWEST_SIGNS or 3 * signs < 2 * len(words):
        return None
    return (
        "this line looks like letters or counts with words among them, and is kept as words; type "
        "the words on a line of their own"
    )


def _may_head(kept: Kept) -> str | None:
    """A few words by themselves over rows, written as a name is."""
    text = kept.line.text.strip()
    name = text.strip("<>[](){}*#=-~:.,;_ ")
    if not kept.heads or len(name.split()) > _A_NAME or not name[:1].isupper():
        return None
    if text[-1:] in ".!?,:" or not name:
        return None
    return (
        f"{name!r} may be the name of the part below; it is kept as words: if it is, write it as "
        "[name] on a line of its own"
    )


_A_NAME = 3  # words
Rule = Callable[[Kept], str | None]
RULES: tuple[tuple[ProblemKind, Rule], ...] = (
    (kinds.UNREAD, _looks_like_a_row),
    (kinds.STRAY, _stands_beside),
    (kinds.KEPT_AS_WORDS, _no_words),
    (kinds.KEPT_AS_WORDS, _mostly_signs),
    (kinds.KEPT_AS_WORDS, _may_head),
)
