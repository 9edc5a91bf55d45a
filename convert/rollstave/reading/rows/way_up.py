"""Systems that stand upside down, string 1 at the bottom."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence, Set
from functools import cache

from msgspec.structs import replace

from rollstave.instruments.instrument import Instrument
from rollstave.patterns import rare
from rollstave.reading.rows.records import LETTER, Block, Row, System
from rollstave.reading.saying.judge import told
from rollstave.reading.state import ReadingState
from rollstave.vocabulary import problems as kinds

_SPELLED = rare(rf"(?<![A-Za-z])(?:{LETTER}[\s,\-]*){{3,}}(?![A-Za-z])")
_ONE = rare(LETTER)
_STRING = (
    r"(?:string (?P<{0}_number>[1-8])|(?P<{0}>[1-8](?:st|nd|rd|th)|first|fifth|lowest|low|highest"
    r"|high|thumb|bass|drone|short)(?: [A-Ga-g]\b)?(?: string| line| row)?)"
)
_AT = r"(?:is )?(?:on|at|is|=|:|goes|as) (?:on |at )?(?:the )?(?:very )?{0}(?: line| row)?(?! of)"
_SIDE_IS = r"{0} (?:line|row),? (?:(?:is|=|for|means|being) (?:the |my )?|(?:the|my) )"
# "the lines from top to bottom are the first string down to the fifth"
_FROM_TO = rare(
    r"\b(?P<from>top|bottom) (?:down |up )?to (?:the )?(?:top|bottom)\b,? (?:line )?(?:\w+ )?"
    r"(?:is|are|=|:|being)? ?(?:from )?(?:the |my )?(?:strings? )?"
    r"(?P<first>[1-8](?:st|nd|rd|th)?|first|fifth|fourth|sixth)\b"
    r" ?(?:string|line)?(?: ?down| ?up)? (?:to|through) ",
    re.IGNORECASE,
    cues=("top", "bottom"),
)


@cache
def _lines_named(side: str) -> re.Pattern[str]:
    """Words on which string the line at this side is, either way round."""
    before = f"{_STRING.format('a')} {_AT.format(side)}"
    words = rf"\b{before}|\b{_SIDE_IS.format(side)}{_STRING.format('b')}"
    return rare(words, re.IGNORECASE, cues=("top",) if side is _TOP else ("bottom", "low"))


_ABOUT_LINES = re.compile(r"\b(?:top|bottom|low|lowest)\b|upside", re.IGNORECASE)
_UPSIDE = rare(
    r"\b(?:rows|lines|strings|tab|typed|stands?|written|is|are) (?:\w+ )?upside[ -]down",
    cues=("upside",),
)
_BOTH_SIDES = rare(r"\btop\b.*\bbottom\b|\bbottom\b.*\btop\b", re.IGNORECASE)
_TOP, _BOTTOM = "top", "(?:bottom|low|lowest)"
_ORDINALS = {"fourth": 4, "fifth": 5, "sixth": 6}
_LOWEST = ("low", "lowest", "thumb", "bass", "drone", "short")


def upside_down(state: ReadingState) -> None:
    """Turn systems over that have string 1 at the bottom: by their labels, or else by those of
    the system before, or else by the notes of all systems."""
    instrument = state.instrument
    by_notes = _by_words(state) or _by_notes(state.blocks, instrument)
    current: tuple[bool, str] | None = None
    said = False
    blocks = []
    declared = _declared(state)
    for block in state.blocks:
        systems = []
        for system in block.systems:
            by_labels = _by_labels(system.rows, instrument, declared)
            if by_labels is not None:
                current = (by_labels, "the labels name the strings from the bottom up")
            over, reason = current or by_notes
            if over and not said:
                said = True
                first = system.rows[0]
                state.problems.add(
                    kinds.UPSIDE_DOWN,
                    f"the rows stand upside down, string {instrument.strings} on top: {reason}",
                    first.line.place(first.start),
                )
            systems.append(System(system.rows[::-1]) if over else system)
        blocks.append(replace(block, systems=tuple(systems)))
    state.blocks = blocks


def _declared(state: ReadingState) -> set[tuple[str, ...]]:
    """The tunings that the words spell letter by letter, string 1 first, in small letters."""
    strings = state.instrument.strings
    found = set()
    for index, line in enumerate(state.lines):
        if index in state.in_block or "tun" not in line.text.lower():
            continue
        for run in _SPELLED.findall(line.text):
            letters = [letter.lower() for letter in _ONE.findall(run)]
            if len(letters) == strings:
                found.add(tuple(letters[::-1]))
    return found


def _by_words(state: ReadingState) -> tuple[bool, str] | None:
    """What the words say of the top line or the bottom line, None if nothing."""
    strings = state.instrument.strings
    for text in _paragraphs(state):
        if not _ABOUT_LINES.search(text):
            continue
        if _UPSIDE.search(text):
            return True, "the words say so"
        if match := _FROM_TO.search(text):
            string = _string_of(match["first"], strings)
            if string in (1, strings):
                return (string == strings) == (match["from"].lower() == "top"), "the words say so"
        for side in _TOP, _BOTTOM:
            for match in _lines_named(side).finditer(text):
                named = next(word for word in match.groups() if word)
                string = _string_of(named, strings)
                if string in (1, strings):
                    over = (string == strings) == (side is _TOP)
                    return over, "the words say so"
    return _by_words_told(state)


def _paragraphs(state: ReadingState) -> Iterator[str]:
    """The lines of words that follow each other, joined: a sentence may go on in the next."""
    together: list[str] = []
    for index, line in enumerate(state.lines):
        if index in state.in_block or line.blank:
            if together:
                yield " ".join(together)
            together = []
        else:
            together.append(line.text.strip())
    if together:
        yield " ".join(together)


def _by_words_told(state: ReadingState) -> tuple[bool, str] | None:
    """What words tell in their own way of the top line or the bottom line."""
    strings = state.instrument.strings
    for index, line in enumerate(state.lines):
        if index in state.in_block or line.blank:
            continue
        if _BOTH_SIDES.search(line.text):
            continue  # which of the two is meant is not sure
        for found in told(line.text, "string_order"):
            if isinstance(found.value, tuple) and found.value[0] in (1, strings):
                number, top = found.value
                return (number == strings) == top, "the words say so"
    return None


def _string_of(word: str, strings: int) -> int:
    """The string that a word names; 0 for none."""
    word = word.lower()
    if word in _LOWEST:
        return strings
    if word in ("high", "highest", "first"):
        return 1
    if word in _ORDINALS:
        return _ORDINALS[word]
    return int(word[0]) if word[0].isdigit() else 0


def _by_labels(
    rows: Sequence[Row], instrument: Instrument, declared: Set[tuple[str, ...]] = frozenset()
) -> bool | None:
    """What the labels say, None if nothing: they spell a tuning one way or the other, or the
    short string's small letter stands at the top. Their letters count for more than their case,
    and a declared tuning for more than those that are usual."""
    labels = [row.string_label for row in rows]
    if not all(labels):
        numbers = [row.label for row in rows]
        if all(n.isdigit() for n in numbers):
            return int(numbers[0]) > int(numbers[-1])
        return None
    spelled = tuple(
        label[0].upper() + label[1:].replace("♯", "#").replace("♭", "b") for label in labels
    )
    tunings = {tuple(p.letter for p in tuning.pitches) for tuning in instrument.tunings}
    small = tuple(label.lower() for label in spelled)
    for known, letters in ((declared, small), (tunings, spelled)):
        forward, backward = letters in known, letters[::-1] in known
        if forward != backward:
            return backward
    if instrument.short_string and labels[0][0].islower() != labels[-1][0].islower():
        return labels[0][0].islower()
    return False if forward else None


def _by_notes(blocks: Sequence[Block], instrument: Instrument) -> tuple[bool, str]:
    """A short string has no frets below its peg: if the bottom rows have some, often, and the
    top rows have none, the rows are upside down."""
    short = instrument.short_string
    if short is None:
        return False, ""
    frets: dict[str, Counter[bool]] = {"top": Counter(), "bottom": Counter()}
    for block in blocks:
        for system in block.systems:
            for name, row in (("top", system.rows[0]), ("bottom", system.rows[-1])):
                for figure in row.figures:
                    frets[name][1 <= int(figure[:3]) <= short.peg_fret] += 1
    impossible = frets["bottom"][True]
    top = frets["top"]
    if impossible >= 3 and not top[True] and top[False] >= 3:
        return True, (
            f"the bottom row has {impossible} frets that string {short.string} does not have, "
            "the top row none"
        )
    return False, ""
