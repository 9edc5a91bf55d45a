"""Further tunes of a file, seen from the whole of it before its lines are read one by one.

A name between two systems may be that of a part as well. What makes a tune of it is that the words
before the first tab speak of so many tunes, or that the measures of another version are numbered
anew. Common practice, no source: letters with two tunes in them, and hand-outs that have a tune
plain and in full.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

from msgspec.structs import replace

from rollstave.patterns import rare
from rollstave.problems import Place
from rollstave.reading.beside import attach
from rollstave.reading.beside.mixed import words_of
from rollstave.reading.page.decode import Line
from rollstave.reading.state import ReadingState
from rollstave.reading.words import titles
from rollstave.reading.words.exercises import is_practised
from rollstave.reading.words.headings import read_headings
from rollstave.reading.words.section_names import read_section
from rollstave.vocabulary import problems as kinds

_NUMBERS = {"both": 2, "two": 2, "2": 2, "couple": 2, "three": 3, "3": 3, "four": 4, "4": 4}
_TUNES = (
    *("tunes", "songs", "pieces", "numbers", "waltzes", "reels", "jigs", "polkas", "hornpipes"),
    *("airs", "marches", "ones", "lullabies"),
)
# "here are the two I promised", "both in G", "three little tunes".
_SO_MANY = rare(
    r"\b(?P<number>both|two|three|four|couple|[234])\b"
    r"(?:\s+of)?(?:\s+(?!ways|parts|times|bars|versions)[\w-]+){0,2}?"
    rf"\s+(?:{'|'.join(_TUNES)})\b"
    r"|\bthe\s+(?P<these>two|three|four)\s+(?:that\s+)?(?:I|we|you|he|she)\b"
    r"|(?:^|[.!?:;]\s+)both\s+(?P<are>(?:are\s+)?(?:in|on|for)\b)",
    re.IGNORECASE,
    cues=("both", "two", "three", "four", *_TUNES),
)
_VERSION = rare(
    r"\W*(?:the\s+)?(?:[\w-]+\s+){1,2}(?:version|variant|setting)\b(?:\s*[(,:-].*)?\W*$"
    r"|\W*(?:version|setting)\s+(?:\d|[A-D]|one|two|three)\b.{0,40}$",
    re.IGNORECASE,
    cues=("version", "variant", "setting"),
)
_OVER = 4  # lines over a system in which its numbers stand
_FEWEST_WORDS = 2  # of a name
_COUNTED = re.compile(r"\s*1(?:\s+\d{1,3})+\s*$")


def find_further_tunes(state: ReadingState) -> None:
    """Find the lines at which further tunes begin, besides those that show it by themselves."""
    if len(state.block_at) < 2 or state.exercises:
        return
    state.further.update(dict.fromkeys(_told(state), ""))
    if not state.further:
        state.further.update(dict.fromkeys(_numbered_names(state), "numbered"))
    if not state.further:
        state.further.update(dict.fromkeys(_numbered_anew(state), "version"))


def _told(state: ReadingState) -> list[int]:
    """The names between systems, where the words before say that there are so many tunes."""
    first = min(state.block_at)
    head = [line.text for line in state.lines[:first] if not line.blank]
    match = _SO_MANY.search("\n".join(head)) if head else None
    if match is None:
        return []
    number = match["number"] or match["these"] or "both"
    names = [i for i in range(first) if _is_name(state, i, own=False)]
    further = [i for i in range(first + 1, len(state.lines)) if _is_name(state, i)]
    return further if names and len(further) == _NUMBERS[number.lower()] - 1 else []


_WITH_NUMBER = rare(
    r"\W{0,3}(?:(?:no|nr|tune|song)\.?\s*(?=\d+(?P<apart>\s)))?"
    r"(?:(?:no|nr|tune|song)\.?\s*)?(?P<number>\d{1,2})(?(apart)\s*[.):-]{0,2}|\s*[.):])\s+"
    r"(?P<name>[^\W\d_].*?)(?:\s*[(,;]|\s{2,}|\s+-{1,2}\s|\s*$)",
    re.IGNORECASE,
)


_NEAR = 10  # lines from a name to its rows


def _numbered_names(state: ReadingState) -> list[int]:
    """The names with the numbers 2, 3 and so on between systems, where one with 1 stands over the
    first: of a handout with several tunes."""
    first, last = min(state.block_at), max(state.block_at)
    found: list[int] = []
    practised = 0
    for index in range(last):
        match = _WITH_NUMBER.match(state.lines[index].text) if index not in state.in_block else None
        name = match["name"] if match else ""
        if match is None or len(name.split()) < _FEWEST_WORDS or not titles.looks_named(name):
            continue
        if int(match["number"]) != len(found) + 1 or (not found and index > first):
            return []
        if not any(later in state.in_block for later in range(index, index + _NEAR)):
            return []
        found.append(index)
        practised += is_practised(name)
    return found[1:] if 2 * practised <= len(found) else []


def _is_name(state: ReadingState, index: int, *, own: bool = True) -> bool:
    """True for a line that is written as names are and stands by itself before a system; under
    tab, if ``own``."""
    line = state.lines[index]
    text = line.text.strip()
    if index in state.in_block or not titles.could_be_title(line):
        return False
    above = state.lines[index - 1] if index else None
    below = state.lines[index + 1] if index + 1 < len(state.lines) else None
    if not (above is None or above.blank) or not (below is None or below.blank):
        return False
    return (
        len(text.split()) >= _FEWEST_WORDS
        and titles.looks_named(titles.undressed(text))
        and words_of(line, attach.ABOVE) is None
        and read_section(line) is None
        and read_headings(line, head=True) is None
        and (not own or _before_rows(state, index))
    )


def _before_rows(state: ReadingState, index: int) -> bool:
    """True if rows follow a line, with nothing but what stands over rows and facts between."""
    for later in range(index + 1, len(state.lines)):
        if later in state.in_block:
            return True
        line = state.lines[later]
        if not (line.blank or words_of(line, attach.ABOVE) or read_headings(line, head=True)):
            return False
    return False


def _numbered_anew(state: ReadingState) -> Iterator[int]:
    """The headings of versions whose measures are numbered from 1 again, after the first."""
    before = False
    for start in sorted(state.block_at):
        numbers = _numbers_over(state, start)
        if numbers is None:
            continue
        heading = _version_over(state, numbers)
        if heading is not None and before:
            yield heading
        before = before or heading is not None


def _numbers_over(state: ReadingState, start: int) -> int | None:
    """The index of the line over a system that numbers its measures from 1."""
    for index in range(start - 1, max(-1, start - 1 - _OVER), -1):
        line = state.lines[index]
        if line.blank or index in state.in_block:
            return None
        if _COUNTED.match(line.text):
            return index
    return None


def _version_over(state: ReadingState, index: int) -> int | None:
    """The index of the heading of a version that stands next above a line."""
    for above in range(index - 1, -1, -1):
        line: Line = state.lines[above]
        if above in state.in_block:
            return None
        if not line.blank:
            return above if _VERSION.match(line.text) else None
    return None


def share_headings(state: ReadingState) -> None:
    """Give each version the headings of its tune that it has none of itself, and say so; and each
    tune with a number what stands over all of them."""
    _share_with_numbered(state)
    for before, tune in pairwise(state.tunes):
        if not tune.version:
            continue
        place = Place(tune.first_line, 1)
        own = {heading.key for heading in tune.headings}
        shared = [replace(h, place=place) for h in before.headings if h.key not in own]
        tune.headings[:0] = shared
        name = before.title.text if before.title is not None else "the tune before"
        state.problems.add(
            kinds.TITLE_LINE,
            "the measures of this version are numbered from 1 again: it is read as a tune of its "
            f"own, {name!r} once more",
            place,
        )


def _share_with_numbered(state: ReadingState) -> None:
    numbered = {state.lines[i].number for i, how in state.further.items() if how == "numbered"}
    first = state.tunes[0] if state.tunes else None
    if not numbered or first is None or first.title is None:
        return
    over = [h for h in first.headings if h.place.line < first.title.place.line]
    for tune in state.tunes:
        if tune.first_line in numbered:
            place = Place(tune.first_line, 1)
            own = {heading.key for heading in tune.headings}
            tune.headings[:0] = [replace(h, place=place) for h in over if h.key not in own]
