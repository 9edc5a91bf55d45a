"""What stands around a tab on its page: fences, numbers of pages, boxes around words."""

from __future__ import annotations

import re
from collections.abc import Sequence

from rollstave.patterns import rare
from rollstave.reading.ledger import Use
from rollstave.reading.state import ReadingState
from rollstave.vocabulary.headings import HEADINGS

_PAGE = rare(r"(?:- ?)?(?:page|p\.) ?\d{1,4}(?: of \d{1,4})?(?: ?-)?", re.IGNORECASE)
_PAGE_NUMBER = rare(r"(-{1,3}) ?\d{1,3} ?\1")  # believed between empty lines
# A line of words in a box: the sides are no bars.
_SIDES = ("|", "#")
_A_WORD = rare(r"[^\W\d_]{3}")
# A line of a table of words, and the line that rules its head off.
_TABLE = rare(r"\s*\|.*[^\s|:-].*\|.*\|?\s*$|\s*\|[\s|:-]*-{2}[\s|:-]*$")
_TABLE_RULE = rare(r"[|:\s-]+")
_HEADING_NAMES = "|".join(row.words for row in HEADINGS if row.words) + "|(?:what|heading|field)"
_SCISSORS = rare(
    r"[-=_ .]{2,}(?:8<|>8|\u2702)[-=_ .]*(?:(?:snip|cut|cut here|tab)[-=_ .]*)?"
    r"(?:(?:8<|>8|\u2702)[-=_ .]*)?",
    re.IGNORECASE,
)
# "Tuning . . . . gDGBD": dots, or a line, lead from a name to what is said of it.
_LEADER = rare(
    r"\s*(?P<name>[^\W\d_](?:[\w',/-]|\s(?=\w)){1,24}?)\s*(?P<leads>\.{4,}|(?:\s?\.){4,}|_{4,}"
    r"|(?<=\s)\.{2,3}(?=\s)|\.(?=\s\s))"
    r"\s*(?P<value>[^\s._|-].*)"
)
_LED_AGAIN = rare(r"\.{3}|_{3}|(?:\. ){3}")  # a row with dots or a line between its frets
_FEWEST_LED = 3  # lines that are a form, whatever their names are
_FENCE = rare(r"\s*(?:```|~~~)\w*\s*$")


def page_numbers(state: ReadingState) -> None:
    """Blank the number of a page between dashes (``- 3 -``) that stands between empty lines."""
    lines = state.lines
    found = [
        index
        for index, line in enumerate(lines)
        if line.text.lstrip()[:1] == "-"
        and _PAGE_NUMBER.fullmatch(line.text.strip())
        and (index == 0 or lines[index - 1].blank)
        and (index + 1 == len(lines) or lines[index + 1].blank)
    ]
    for index in found:
        _blank(state, index)


def fences(state: ReadingState) -> None:
    """Blank the fences of code."""
    for index, line in enumerate(state.lines):
        if ("```" in line.text or "~~~" in line.text) and _FENCE.match(line.text):
            _blank(state, index)


def scissors(state: ReadingState) -> None:
    """Blank a line along which a page is cut: ``-----8<-----``."""
    for index, line in enumerate(state.lines):
        text = line.text
        if ("8<" in text or ">8" in text or "\u2702" in text) and _SCISSORS.fullmatch(text.strip()):
            _blank(state, index)


def page_heads(state: ReadingState) -> None:
    """Blank a line that says no more than ``page 2 of 3``."""
    for index, line in enumerate(state.lines):
        text = line.text.strip()
        if text[:1] in ("-", "p", "P") and _PAGE.fullmatch(text):
            _blank(state, index)


def boxes(state: ReadingState) -> None:
    """Blank the sides of a box around words."""
    for index, line in enumerate(state.lines):
        text = line.text
        bare = text.strip()
        if bare[:1] not in _SIDES or not _in_a_box(bare):
            continue
        left, right = len(text) - len(text.lstrip()), len(text.rstrip()) - 1
        for side in (left, right):
            state.ledger.claim(line, side, side + 1, Use.FRAME)
        inside = f"{text[left + 1 : right]} {text[right + 1 :]}"
        state.lines[index] = line.with_text(f"{' ' * (left + 1)}{inside}")


def tables(state: ReadingState) -> None:
    """Take a table of facts apart: names of headings in its first column, or over its columns.
    A colon stands for the bar between a name and its value, or is put in."""
    lines = state.lines
    index = 0
    while index < len(lines):
        end = index
        while (
            end < len(lines)
            and lines[end].text.lstrip()[:1] == "|"
            and _TABLE.match(lines[end].text)
        ):
            end += 1
        found = [i for i in range(index, end) if not _TABLE_RULE.fullmatch(lines[i].text.strip())]
        if len(found) > 1:
            _take_table(state, index, end, found)
        index = max(end, index + 1)


def leaders(state: ReadingState) -> None:
    """Put a colon for the dots that lead from the name of a heading to its value; in a form, for
    those of every name."""
    found = {
        index: match
        for index, line in enumerate(state.lines)
        if (".." in line.text or ". " in line.text or "___" in line.text)
        and (match := _LEADER.fullmatch(line.text))
        and not _LED_AGAIN.search(match["value"])
    }
    named = [index for index, match in found.items() if is_heading(match["name"])]
    form = len(found) >= _FEWEST_LED and 2 * len(named) >= len(found)
    for index in found if form else named:
        line, (start, end) = state.lines[index], found[index].span("leads")
        state.ledger.claim(line, start, end, Use.FRAME)
        text = line.text[:start].rstrip() + ":"
        state.lines[index] = line.with_text(text.ljust(end) + line.text[end:])


def _take_table(state: ReadingState, start: int, end: int, found: Sequence[int]) -> None:
    """Put the lines of a table right if its names are those of headings."""
    cells = {i: _cells(state.lines[i].text) for i in found}
    if all(len(row) == 2 for row in cells.values()):
        ruled = start in cells and start + 1 < end and start + 1 not in found
        headed = ruled and not is_heading(cells[start][0][1])
        facts = found[1:] if headed else found
        named = sum(is_heading(cells[i][0][1]) for i in facts)
        if 2 * named <= len(facts):
            return
        for i in facts:
            _beside(state, i, cells[i])
        if headed:  # | Fact | Value |
            _blank(state, start)
    elif len(found) == 2:
        names, values = (cells[i] for i in found)
        named = sum(is_heading(name) for _, name in names)
        if len(names) != len(values) or 2 * named <= len(names):
            return
        _under_names(state, found, names, values)
    else:
        return
    for i in range(start, end):
        if i not in found:
            _blank(state, i)


def _under_names(
    state: ReadingState,
    found: Sequence[int],
    names: Sequence[tuple[int, str]],
    values: Sequence[tuple[int, str]],
) -> None:
    """Put the values of a table with their names in place of the names' line; what is no heading
    stays where it is."""
    head, typed = found
    _blank(state, head)
    line = state.lines[typed]
    for side, char in enumerate(line.text):
        if char == "|":
            state.ledger.claim(line, side, side + 1, Use.FRAME)
    plain = line.with_text(line.text.replace("|", " "))
    facts = rest = plain
    for (_, name), (at, value) in zip(names[::-1], values[::-1], strict=True):
        end = at + len(value)
        if is_heading(name):
            facts = facts.without(at, at, f"   {name.strip()}: ")
            rest = rest.with_text(rest.text[:at] + " " * len(value) + rest.text[end:])
        else:
            facts = facts.without(at, end)
    state.lines[head] = facts
    state.lines[typed] = rest


def _beside(state: ReadingState, index: int, cells: Sequence[tuple[int, str]]) -> None:
    line = state.lines[index]
    text = list(line.text)
    bars = [i for i, char in enumerate(text) if char == "|"]
    for number, bar in enumerate(bars):
        state.ledger.claim(line, bar, bar + 1, Use.FRAME)
        text[bar] = ":" if number == 1 else " "
    state.lines[index] = line.with_text("".join(text))


def _cells(text: str) -> list[tuple[int, str]]:
    """The cells of a line of a table with the places where they begin."""
    found = []
    at = text.index("|") + 1
    for cell in text[at:].rstrip().removesuffix("|").split("|"):
        found.append((at, cell))
        at += len(cell) + 1
    return found


def is_heading(name: str) -> bool:
    """True for a word that names a heading, as in a table."""
    return re.fullmatch(_HEADING_NAMES, name.strip(" *_:"), re.IGNORECASE) is not None


def _blank(state: ReadingState, index: int) -> None:
    line = state.lines[index]
    state.ledger.claim(line, 0, len(line.text), Use.FRAME)
    state.lines[index] = line.with_text(" " * len(line.text))


def _in_a_box(text: str) -> bool:
    inside = text[1:-1]
    return (
        text[-1:] == text[:1]
        and inside[:1].isspace()
        and text[0] not in inside
        and "--" not in inside
        and _A_WORD.search(inside) is not None
    )
