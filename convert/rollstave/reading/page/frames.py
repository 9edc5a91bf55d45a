"""What stands around a tab on its page: fences, numbers of pages, boxes around words."""

from __future__ import annotations

import re

from rollstave.patterns import rare
from rollstave.reading.ledger import Use
from rollstave.reading.state import ReadingState

_PAGE = rare(r"(?:- ?)?(?:page|p\.) ?\d{1,4}(?: of \d{1,4})?(?: ?-)?", re.IGNORECASE)
_PAGE_NUMBER = rare(r"(-{1,3}) ?\d{1,3} ?\1")  # believed between empty lines
# A line of words in a box: the sides are no bars.
_SIDES = ("|", "#")
_A_WORD = rare(r"[^\W\d_]{3}")
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
