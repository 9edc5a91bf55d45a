"""Sheets of exercises: several short ones in a file, each with a heading of its own.

A sheet is seen as a whole, before its lines are read one by one, since one heading alone may as
well be a title, an ending or a remark. Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from enum import Enum
from itertools import pairwise
from statistics import median_low

from msgspec import Struct
from msgspec.structs import replace

from rollstave.grid.typed import Bar, GridMeasure
from rollstave.patterns import rare
from rollstave.reading.beside import attach
from rollstave.reading.beside.mixed import words_of
from rollstave.reading.ledger import Use
from rollstave.reading.page.decode import Line
from rollstave.reading.rows.records import Block
from rollstave.reading.state import ReadingState
from rollstave.reading.words import titles
from rollstave.reading.words.directions import read_direction
from rollstave.reading.words.dividing import pieces
from rollstave.reading.words.headings import bare_heading, read_headings
from rollstave.reading.words.section_names import read_section, undressed_name
from rollstave.reading.words.taking import begin_section
from rollstave.reading.words.title_line import split_title
from rollstave.vocabulary.exercises import CALLED, NUMBERS, PRACTISED
from rollstave.vocabulary.headings import HEADINGS

_LONGEST = 70  # characters of a heading
_MOST_WORDS = 7  # of one without a number
_LETTERS = 3  # of fingers and chords; a word has more
_MOST_LEFT_OUT = 20  # numbers of a book's exercises, of which some are on the sheet
# What is longer than this is a tune that has a number, if nobody calls it an exercise.
_MOST_SYSTEMS, _MOST_MEASURES, _USUAL_MEASURES = 3, 8, 4
_OPENING = frozenset(row.key for row in HEADINGS if row.opens)


class _How(Enum):
    """What makes a heading of a line."""

    CALLED = "called an exercise"
    NUMBER = "a number before words"
    LETTER = "a letter before words"
    NAME = "words of the trade"


# What may be longer, in systems and measures, where words say that something is practised.
_MOST_PRACTISED = {_How.NUMBER: (8, 32), _How.LETTER: (8, 32), _How.NAME: (4, 16)}
_WHOLE = tuple(word for word in CALLED if len(word) > 4)  # that a sheet is called in its plural
_At = tuple[int, int]  # a gap, and the index of a line


class _Heading(Struct, frozen=True):
    """A line that may head an exercise, and in which gap it stands. ``number`` is 0 where it has
    none."""

    gap: int
    index: int
    how: _How
    number: int
    words: str


_NUMBER = rf"(?P<number>\d{{1,3}}|(?<=[\s#])(?:[a-z](?![a-z])|{'|'.join(NUMBERS)}))"
_CALLED = rare(
    rf"\W*(?:{'|'.join(CALLED)})\.?\s*(?:no\.?|nr\.?|#)?\s*{_NUMBER}(?!\w)(?P<rest>.*)",
    re.IGNORECASE,
    cues=CALLED,
)
_NUMBERED = rare(
    r"\W{0,3}(?:(?:no|nr|lesson|day|week)\.?\s*|#\s*)?\(?(?P<number>\d{1,3})"
    r"(?:\s*[.):]|\s+-{1,2}(?=\s)|(?<=#\d)|(?<=#\d\d)|$)(?P<rest>.*)",
    re.IGNORECASE,
)
_LETTERED = rare(r"\(?(?P<number>[a-zA-Z])[.)]\s*(?P<rest>[^\W\d_]{2}.*)")
_CHANGE = rare(r"\b[A-G][#b]?m?7?(?:\s*(?:to|and|-|->|→|/|,)\s*[A-G][#b]?m?7?)+(?!\w)")


Gap = Sequence[tuple[int, Line]]  # the lines before some systems, with their indices


class Size(Struct, frozen=True):
    """How much stands between two gaps: systems, and measures in them."""

    systems: int
    measures: int


def find_exercises(state: ReadingState) -> None:
    """Find the headings of a sheet of exercises; there are none in any other file."""
    blocks = [state.block_at[start] for start in sorted(state.block_at)]
    if len(blocks) < 2:
        return
    ends = [0, *(block.end for block in blocks)]
    gaps = [
        [(index, state.lines[index]) for index in range(end, block.start)]
        for end, block in zip(ends, blocks, strict=False)
    ]
    found = headings_in(gaps, [_size(block) for block in blocks])
    first = min(found, default=len(state.lines))
    outside = (i for i in range(first + 1, len(state.lines)) if i not in state.in_block)
    if not any(_opens_tune(state.lines[index]) for index in outside):
        state.exercises = found


def headings_in(gaps: Sequence[Gap], sizes: Sequence[Size]) -> dict[int, str]:
    """The headings of exercises by the index of their line, where the lines of each gap and the
    size of what follows it are those of a sheet; else nothing."""
    said = "\n".join(line.text for gap in gaps for _, line in gap).casefold()
    for how in _How:
        cues = _CUES.get(how)
        if cues is not None and not any(cue in said for cue in cues):
            continue  # nearly always; what comes costs more
        found = _FINDERS[how](gaps)
        if _is_sheet(found, sizes, gaps):
            return {heading.index: heading.words for heading in found}
    return {}


def heading_of_exercise(state: ReadingState, index: int) -> bool:
    """Begin the exercise that a line heads."""
    words = state.exercises.get(index)
    if words is None:
        return False
    state.ledger.claim_line(state.lines[index], Use.SECTION)
    begin_section(state, state.lines[index], words, "")
    return True


def ended_exercises(
    state: ReadingState, measures: Sequence[GridMeasure]
) -> list[GridMeasure] | None:
    """The measures with a final bar at the end of each exercise, which is a piece of its own, and
    with a repeat that ends in an exercise beginning there, too."""
    names = set(state.exercises.values())
    starts = [at for at, measure in enumerate(measures) if measure.section in names]
    if len(starts) < 2:
        return None
    result = list(measures)
    for start, end in pairwise([*starts, len(measures)]):
        bars = [bar for m in measures[start:end] for bar in (m.left, m.right)]
        begins = next((b for b in bars if b in (Bar.REPEAT_START, Bar.REPEAT_END)), None)
        if begins is Bar.REPEAT_END:
            result[start] = replace(result[start], left=Bar.REPEAT_START)
        if result[end - 1].right in (Bar.NONE, Bar.SINGLE, Bar.DOUBLE):
            result[end - 1] = replace(result[end - 1], right=Bar.FINAL)
    return result


def _series(
    gaps: Sequence[Gap], read: Callable[[_At, Line], _Heading | None], most: int = 1
) -> list[_Heading]:
    """The headings that are numbered one after the other, one in a gap; ``most`` is how far a
    number may lie from the one before."""
    found: list[_Heading] = []
    for number, gap in enumerate(gaps):
        here = [h for i, line in gap if (h := read((number, i), line)) is not None]
        if found:
            here = [h for h in here if 0 < h.number - found[-1].number <= most][:1]
        found += here[-1:]
    return found


def _called(gaps: Sequence[Gap]) -> list[_Heading]:
    def read(at: _At, line: Line) -> _Heading | None:
        match = _CALLED.match(line.text) if len(line.text) < 2 * _LONGEST else None
        return match and _heading(at, line, _How.CALLED, match)

    return _series(gaps, read, most=_MOST_LEFT_OUT)


def _numbered(gaps: Sequence[Gap]) -> list[_Heading]:
    def read(at: _At, line: Line) -> _Heading | None:
        text = line.text.strip()
        match = _NUMBERED.match(text) if any(map(str.isdecimal, text[:8])) else None
        # A number alone may be an ending's.
        if match is None or (match["rest"].strip() == "" and text[:1].isdecimal()):
            return None
        if not any(map(str.isalpha, match["rest"] or text)) or not _are_words(line):
            return None
        return _heading(at, line, _How.NUMBER, match)

    found = _series(gaps, read)
    lines = dict(item for gap in gaps for item in gap)
    tunes = sum(bool(split_title(lines[h.index], 0, h.words)[1]) for h in found)
    if tunes > 1 or _name_tunes(found):
        return []  # those with a tuning or a time each are tunes
    return found


def _name_tunes(found: Sequence[_Heading]) -> bool:
    """True for words behind numbers that are written as names are and practise nothing."""
    names = [(_NUMBERED.match(h.words) or {"rest": ""})["rest"].strip(" .-") for h in found]
    practised = sum(is_practised(name) for name in names)
    named = all(titles.looks_named(name) and " " in name for name in names if name)
    return named and all(names) and 2 * practised <= len(names)


def _lettered(gaps: Sequence[Gap]) -> list[_Heading]:
    def read(at: _At, line: Line) -> _Heading | None:
        text = line.text.strip()
        if ")" not in text[1:3] and "." not in text[1:3]:
            return None
        match = _LETTERED.match(text) if _are_words(line) else None
        return match and _heading(at, line, _How.LETTER, match)

    found = _series(gaps, read)
    return found if found and found[0].number == 1 else []


def _named(gaps: Sequence[Gap]) -> list[_Heading]:
    """Words right over the rows of each system, or of each but some, of which most are of the
    trade."""
    found = []
    for number, gap in enumerate(gaps):
        place = _last_words(gap)
        if place is not None and _is_name(gap, place):
            index, line = gap[place]
            words = _undressed(line)
            found.append(_Heading(gap=number, index=index, how=_How.NAME, number=0, words=words))
    if len(found) == 2 and not any(not line.blank for i, line in gaps[0] if i < found[0].index):
        return []  # the first may as well be the title
    practised = sum(is_practised(heading.words) for heading in found)
    return found if 2 * practised >= max(3, len(found)) else []


_FINDERS: dict[_How, Callable[[Sequence[Gap]], list[_Heading]]] = {
    _How.CALLED: _called,
    _How.NUMBER: _numbered,
    _How.LETTER: _lettered,
    _How.NAME: _named,
}

# What is somewhere in a text that a finder finds something in.
_CUES = {_How.CALLED: CALLED, _How.NAME: (*PRACTISED, " to ", "->", "→")}


def _heading(at: _At, line: Line, how: _How, match: re.Match[str]) -> _Heading | None:
    words = _undressed(line)
    if len(words) > _LONGEST or read_headings(line):
        return None
    gap, index = at
    return _Heading(gap=gap, index=index, how=how, number=_value(match["number"]), words=words)


def _value(number: str) -> int:
    """A number in figures, in words or as a letter."""
    if number.isdecimal():
        return int(number)
    word = number.lower()
    return NUMBERS.index(word) + 1 if word in NUMBERS else ord(word) - ord("a") + 1


def _undressed(line: Line) -> str:
    """The words of a heading, without the signs that make one of it."""
    text = line.text.strip()
    inside = undressed_name(text) if text[:1] in "-*=~_<" or text.startswith(("# ", "##")) else None
    return inside or text.strip(" *=~_\t")


def _are_words(line: Line) -> bool:
    """True for a line that is nothing that stands over a system, such as an ending and chords."""
    return words_of(line, attach.ABOVE) is None and not titles.is_ruler(line)


def _last_words(gap: Gap) -> int | None:
    """Where in a gap the last line stands that is nothing that stands over a system."""
    for place in reversed(range(len(gap))):
        line = gap[place][1]
        words = line.text.split()
        if not words or "  " in line.text.strip():
            continue  # set apart, as over a system
        # "Pinch" is a direction to the hand where it does not begin a line.
        alone = line.text[:1].isalpha() and len(words) == 1 and len(line.text) > _LETTERS
        if len(words) > _MOST_WORDS or (alone and is_practised(line.text)) or _are_words(line):
            return place
    return None


def _is_name(gap: Gap, place: int) -> bool:
    """True for a few words set apart that could head an exercise."""
    line = gap[place][1]
    words = _undressed(line)
    above = gap[place - 1][1] if place else None
    return (
        (above is None or above.blank or titles.is_ruler(above))
        and 0 < len(words.split()) <= _MOST_WORDS
        and "  " not in words
        and (words[0].isupper() or words[0].isdecimal())
        and words[-1] not in ".,;!?"
        and read_headings(line, head=True) is None
        and read_section(line) is None
        and read_direction(words, 0, False, line.place(0)) is None
    )


def is_practised(words: str) -> bool:
    """True for words of the trade, which say what an exercise is for."""
    folded = words.casefold()
    return (
        any(f" {word}" in f" {folded}" for word in PRACTISED) or _CHANGE.search(words) is not None
    )


def _is_sheet(headings: Sequence[_Heading], sizes: Sequence[Size], gaps: Sequence[Gap]) -> bool:
    """True if headings make exercises of what follows them: two at least, short ones, and nothing
    before the first. They may be longer where words say that something is practised."""
    if len(headings) < 2 or headings[0].gap > 0:
        return False
    if headings[0].how is _How.CALLED:
        return True
    ends = [*(heading.gap for heading in headings[1:]), len(sizes)]
    stretches = [sizes[h.gap : end] for h, end in zip(headings, ends, strict=True)]
    systems = [sum(size.systems for size in stretch) for stretch in stretches]
    measures = [sum(size.measures for size in stretch) for stretch in stretches]
    if _says_practice(headings, gaps):
        most_systems, most_measures = _MOST_PRACTISED[headings[0].how]
        return max(systems) <= most_systems and max(measures) <= most_measures
    return (
        max(systems) <= _MOST_SYSTEMS
        and max(measures) <= _MOST_MEASURES
        and median_low(measures) <= _USUAL_MEASURES
    )


def _says_practice(headings: Sequence[_Heading], gaps: Sequence[Gap]) -> bool:
    """True if most headings have words of the trade, or a line before the first calls what comes
    exercises."""
    if 2 * sum(is_practised(heading.words) for heading in headings) > len(headings):
        return True
    before = [line.text.casefold() for index, line in gaps[0] if index < headings[0].index]
    return any(f" {word}s" in f" {text} " for text in before for word in _WHOLE)


def _opens_tune(line: Line) -> bool:
    """True for a heading that a tune of its own begins with."""
    if any(heading.key in _OPENING for heading in read_headings(line, head=True) or ()):
        return True
    if not any(map(str.isupper, line.text)) or len(line.text) > titles.LONGEST_LINE:
        return False
    # "G tuning g D G B D.  Key of G.  3/4." says two facts and more.
    said = {
        found.key
        for piece in pieces(line.text)
        if (found := bare_heading(line, piece.start, piece.text)) is not None
    }
    return len(said & _OF_A_TUNE) > 1


_OF_A_TUNE = frozenset(("tuning", "key", "time"))


def _size(block: Block) -> Size:
    """The systems of a block, and about how many measures they have: what stands between the bars
    of their first rows."""
    rows = [system.rows[0] for system in block.systems]
    filled = [[cell for cell in row.body.split("|") if cell.strip(" :*")] for row in rows]
    return Size(systems=len(rows), measures=sum(max(1, len(cells)) for cells in filled))
