"""What stands before the lines: numbers of a listing, quote marks, a mail writer's initials."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

from rollstave.patterns import rare
from rollstave.reading.ledger import Use
from rollstave.reading.page.decode import Line
from rollstave.reading.state import ReadingState

# "12:", "12  ", and "000300*" of a punched card, which go up by as much from line to line.
_LINE_NUMBER = re.compile(r"\s*(\d{1,6})(?:[:.)|]?(?:\s|$)|\*\s?)")
_SIGN_AND_GAP = rare(r"\s*([#/*}:;%!\]{|]{1,3})(?:\s|$)")
_INITIALS = rare(r"\s*([A-Z]{2,4}|[A-Z][a-z]{1,9})>")
_COLON_AND_GAP = re.compile(r"\s*:(?:\s|$)")
_BAR_AND_GAP = re.compile(r"\s*\|(?:\s|$)")
_QUOTE = rare(r"\s*(?:>\s?)+")
_LEGEND = rare(r">\s*(?:=|:|-\s|(?:is|means)\b|[a-z])")
_INDENTED = rare(r"\s{3,}>\s")  # one line alone: the sign of a legend
_FEWEST_LINES = 6
_A_WORD = rare(r"[^\W\d_]{3}")
_LINE_ENDS = ("\\", "|", ";", "$")
_FEWEST_INDENTED = 3
_CLOSELY = 4  # one quoted line in so many with its text right behind the mark


def line_numbers(state: ReadingState) -> None:
    """Take off the numbers of the lines, if every line that is not blank has one and they count
    on."""
    if _are_numbered(state.lines):
        _take_off(state, _LINE_NUMBER)


def bars_and_colons(state: ReadingState) -> None:
    """Take off a bar or a colon before every line, words and all, as some programs quote."""
    if not state.fronted and (front := _quoting_sign(state.lines)):
        _take_off(state, front)


def initials(state: ReadingState) -> None:
    """Take off the initials of whom a mail quotes (``MQ> ``), where many lines have them."""
    if state.fronted:
        return
    found = Counter(
        match[1]
        for line in state.lines
        if ">" in line.text and (match := _INITIALS.match(line.text))
    )
    who, times = found.most_common(1)[0] if found else ("", 0)
    if times >= _FEWEST_LINES:
        _take_off(state, re.compile(rf"\s*{who}>\s?"))


# "[Sat 09:12] Nan D.: here it comes", "14:05 - Nan: here it comes".
_STAMP = rare(
    r"\s*\[?(?:[^\W\d_]{2,10},?\s+|[\d./-]{6,10},?\s+)?\d{1,2}[:.]\d{2}(?::\d{2})?(?:\s?[ap]m)?\]?"
    r"\s+(?:-\s+)?(?P<who>[A-Z][^\s:|]*(?:\s[^\s:|]+){0,3}):(?:\s|$)",
    re.IGNORECASE,
)
_FEWEST_STAMPS = 3


def chat_stamps(state: ReadingState) -> None:
    """Take off when a line was sent and by whom, where several lines have it."""
    found = [
        (index, match)
        for index, line in enumerate(state.lines)
        if ":" in line.text and (match := _STAMP.match(line.text))
    ]
    if len(found) < _FEWEST_STAMPS:
        return
    for index, match in found:
        line = state.lines[index]
        state.ledger.claim(line, 0, match.end(), Use.FRAME)
        state.lines[index] = line.without(0, match.end())


def quote_marks(state: ReadingState) -> None:
    """Take off the ``>`` of a mail that is quoted, once or several times over."""
    indented = sum(
        _INDENTED.match(line.text) is not None for line in state.lines if ">" in line.text
    )
    close = _quoted_closely(state.lines)
    alone = [line for line in state.lines if ">" in line.text and _QUOTE.match(line.text)]
    if len(alone) == 1 and _LEGEND.match(alone[0].text):
        return  # "> = accent": nobody quotes one line
    for index, line in enumerate(state.lines):
        if ">" in line.text and (match := _QUOTE.match(line.text)):
            if indented < _FEWEST_INDENTED and _INDENTED.match(line.text):
                continue
            end = match.end()
            if match[0].endswith(" ") and _depth(match[0]) in close:
                end -= 1  # the line's own blank
            state.ledger.claim(line, 0, end, Use.FRAME)
            state.lines[index] = line.without(0, end)


def _depth(front: str) -> int:
    return front.count(">")


def _quoted_closely(lines: Sequence[Line]) -> set[int]:
    """The depths of quoting at which no blank follows the last mark: many lines have their text
    right behind it. A blank is a line's own there, as before counts over their notes."""
    marks: Counter[int] = Counter()
    closely: Counter[int] = Counter()
    for line in lines:
        match = _QUOTE.match(line.text) if ">" in line.text else None
        if match is not None and match.end() < len(line.text):
            marks[_depth(match[0])] += 1
            closely[_depth(match[0])] += match[0].endswith(">")
    return {depth for depth, number in marks.items() if _CLOSELY * closely[depth] > number}


def line_ends(state: ReadingState) -> None:
    """Take off a sign that ends every line, words and all: the backslash of a hard line break."""
    lines = [line for line in state.lines if line.text]
    last = Counter([line.text[-1] for line in lines])
    for sign in _LINE_ENDS:
        if last[sign] < _FEWEST_LINES:
            continue
        ended = [line for line in lines if line.text.endswith(sign)]
        words = [
            line
            for line in ended
            if "--" not in line.text and line.text[:1] != "|" and _A_WORD.search(line.text)
        ]  # lines of stems end with a bar, too
        if sign == "|" and len(ended) < len(lines):
            continue  # rows end with it anyhow
        if len(ended) >= _FEWEST_LINES and 5 * len(ended) >= 4 * len(lines) and len(words) > 2:
            break
    else:
        return
    for index, line in enumerate(state.lines):
        if line.text.endswith(sign):
            end = len(line.text) - 1
            state.ledger.claim(line, end, end + 1, Use.FRAME)
            state.lines[index] = line.with_text(line.text[:end].rstrip())


def _are_numbered(lines: Sequence[Line]) -> bool:
    found: list[tuple[int, int]] = []
    for line in lines:
        if line.blank:
            continue
        match = _LINE_NUMBER.match(line.text)
        if match is None:
            return False
        found.append((line.number, int(match[1])))
    if len(found) < _FEWEST_LINES:
        return False
    steps = {
        (after - number) / (later - line) for (line, number), (later, after) in pairwise(found)
    }
    return len(steps) == 1 and steps.pop() > 0


def _quoting_sign(lines: Sequence[Line]) -> re.Pattern[str] | None:
    typed = [line.text for line in lines if not line.blank]
    if len(typed) < _FEWEST_LINES:
        return None
    if all(_COLON_AND_GAP.match(text) for text in typed):
        return _COLON_AND_GAP
    if not all(_BAR_AND_GAP.match(text) for text in typed):
        return _common_front(typed)
    return _BAR_AND_GAP if any(text.count("|") == 1 for text in typed) else None


def _common_front(typed: Sequence[str]) -> re.Pattern[str] | None:
    """A sign that stands before all lines but a few at their head, as before comments."""
    first = next((i for i, text in enumerate(typed) if _SIGN_AND_GAP.match(text)), None)
    if first is None or 2 * first > len(typed) or len(typed) - first < _FEWEST_LINES:
        return None
    match = _SIGN_AND_GAP.match(typed[first])
    assert match is not None
    front = re.compile(rf"\s*{re.escape(match[1])}(?:\s|$)")
    quoted = [front.match(text) is not None for text in typed[first:]]
    if match[1] == "|" and not any(_A_WORD.search(text) for text in typed[first:]):
        return None  # the bar that rows begin with
    return front if 10 * sum(quoted) >= 9 * len(quoted) else None


def _take_off(state: ReadingState, front: re.Pattern[str]) -> None:
    state.fronted = True
    for index, line in enumerate(state.lines):
        if match := front.match(line.text):
            state.ledger.claim(line, 0, match.end(), Use.FRAME)
            state.lines[index] = line.without(0, match.end())
