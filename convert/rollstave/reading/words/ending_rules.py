"""Rules for endings on lines of their own: ``1.`` over an empty line, ``and the fourth time:``."""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec.structs import replace

from rollstave.grid.typed import Bar, LineKind
from rollstave.patterns import rare
from rollstave.reading.beside import attach
from rollstave.reading.beside.line_words import Word
from rollstave.reading.labelling.judge import sure_of
from rollstave.reading.ledger import Use
from rollstave.reading.state import ReadingState
from rollstave.reading.words.over_rules import rows_after
from rollstave.reading.words.parts_played import ORDINALS, goes_on
from rollstave.reading.words.taking import note_line

_ORDINAL = rf"(?:{'|'.join(ORDINALS)})"
_FIRST_FEW = {"two": 2, "three": 3, "four": 4, "2": 2, "3": 3, "4": 4}
# "bar four, for the": which measure it is may be said before in which pass it is played.
_BAR = rare(
    r"\s*[(\[]?(?:the\s+)?(?:last\s+|final\s+)?(?:bar|measure)(?:\s+(?:\d{1,3}|[a-z]+))?\s*[,:(-]?\s+"
    r"(?=(?:for|on|the|and|then|first|second|third|fourth|\d)\b|\d)",
    re.IGNORECASE,
)
_SAID = rare(
    r"\s*[(\[]?(?:(?:and|then|for|on)\s+)*(?:the\s+)?"
    rf"(?:(?P<which>{_ORDINAL}(?:(?:\s*,\s*|\s*(?:,\s*)?(?:and|&)\s+)(?:the\s+)?{_ORDINAL})*)"
    rf"|first\s+(?P<few>{'|'.join(_FIRST_FEW)})|(?P<last>last|final))\s+"
    r"(?:times?|endings?|go(?:es)?|rounds?)\b(?P<more>\s+[\w' ]{1,64})?\s*(?P<stop>[:)\].]*)\s*$",
    re.IGNORECASE,
    cues=("time", "ending", "go", "round"),
)
# "First time end it like this and go back to the start of this row": the rows are those below.
_POINTS = rare(r"\b(?:like\s+this|this\s+way)\b(?!\s+one)", re.IGNORECASE, cues=("this",))
_FROM_ROW = rare(
    r"\bback\s+to\s+the\s+(?:start|beginning)\s+of\s+(?:this|that|the)\s+(?:row|line)\b",
    re.IGNORECASE,
    cues=("back to", "back"),
)
_INSIDE = 8  # columns from the left end: the number stands over a later measure
_BARE = rare(r"\s*[\[(|]?\d(?:\s?[,-]\s?\d)*(?:[.)\]:]|st|nd|rd)[_\-. ]*[|\]]?\s*$")


def ending_in_words(state: ReadingState, index: int) -> bool:
    """Take a sentence with a colon that says in which pass the next rows are played. It is kept as
    words, too."""
    line = state.lines[index]
    front = _BAR.match(line.text)
    match = _SAID.match(line.text[front.end() :] if front else line.text)
    if match is None or not state.tune.measures:
        return False
    points = match["more"] is not None and _POINTS.search(match["more"]) is not None
    rows = rows_after(state, index)
    if rows is None and (points or not match["more"]):
        rows = _rows_below(state, index)  # under chords or counts
    if rows is None:
        return False
    close = rows == index + 1 or (match["which"] and "ending" in match[0].lower())
    if ":" not in match["stop"] and not points and (match["more"] or not close):
        return False  # a remark, unless it is all that stands right over the rows
    before = [m.ending for m in state.tune.measures if m.ending]
    numbers = _passes(match, before)
    if not numbers or (numbers[0] > 1 and not before and goes_on(match["more"] or "")):
        return False
    state.tune.said_endings.append(len(state.tune.measures))
    if points and _FROM_ROW.search(match["more"]):
        _open_at_row(state)
    _over(state, index, rows, ",".join(map(str, numbers)))
    note_line(state, line)
    return True


def _open_at_row(state: ReadingState) -> None:
    """Open a repeat at the first measure of the system before."""
    measures = state.tune.measures
    last = measures[-1].system
    first = next(index for index, m in enumerate(measures) if m.system == last)
    measures[first] = replace(measures[first], left=Bar.REPEAT_START)


def _passes(match: re.Match[str], before: Sequence[str]) -> Sequence[int]:
    """The passes that words name; the last one is that behind the endings before it."""
    if match["few"]:
        return range(1, _FIRST_FEW[match["few"].lower()] + 1)
    if match["which"]:
        return sorted({ORDINALS[word] for word in re.findall(_ORDINAL, match["which"].lower())})
    last = max((int(c) for ending in before for c in ending if c.isdigit()), default=0)
    return [last + 1] if last else []


def ending_before_a_gap(state: ReadingState, index: int) -> bool:
    """Take the number of an ending between which and its rows a line is empty."""
    line = state.lines[index]
    inside = len(line.text) - len(line.text.lstrip()) >= _INSIDE
    rows = _rows_below(state, index)
    found = attach.classify(line, attach.ABOVE) if rows is not None else None
    if rows is None or found is None or found[0] is not LineKind.ENDINGS:
        return False
    if len(found[1]) > 1 and inside:  # each over its own measure
        state.ledger.claim_line(line, Use.WORD)
        state.over.extend((LineKind.ENDINGS, word, line) for word in found[1])
        return True
    if not (state.tune.measures or inside):
        return False
    if not _BARE.match(line.text) and sure_of(state, index) != "ending":
        return False
    number = found[1][0].text
    known = {m.ending for m in state.tune.measures}
    if not number.startswith("1") and known == {None}:  # the number of something else
        return False
    if number.startswith("1") and not _goes_on(state, index):
        return False
    state.ledger.claim_line(line, Use.WORD)
    _over(state, index, rows, number)
    return True


_MOST_BETWEEN = 3  # lines of chords and counts between the number of an ending and its rows


def _rows_below(state: ReadingState, index: int) -> int | None:
    """The index of the rows that come next, with nothing but empty lines, chords and counts before
    them; there must be an empty line."""
    later, between = index + 1, 0
    if later < len(state.lines) and not state.lines[later].blank:
        return None
    while later < len(state.lines) and later not in state.block_at:
        line = state.lines[later]
        if not line.blank:
            found = attach.classify(line, attach.ABOVE)
            between += 1
            if found is None or found[0] not in _WITH_ENDINGS or between > _MOST_BETWEEN:
                return None
        later += 1
    return later if later in state.block_at else None


_WITH_ENDINGS = (LineKind.CHORDS, LineKind.COUNTS)


def _goes_on(state: ReadingState, index: int) -> bool:
    """True if a second ending stands further down: a lone ``1.`` may be the number of a tune."""
    return any(
        _BARE.match(line.text) and line.text.strip(" [(|").startswith("2")
        for line in state.lines[index + 1 : index + 40]
    ) or any(
        re.match(r"\s*[\[(|]?2[.)\]:]", line.text) for line in state.lines[index + 1 : index + 40]
    )


def _over(state: ReadingState, index: int, rows: int, number: str) -> None:
    """Put the number of an ending over the first measure of the rows."""
    block = state.block_at[rows]
    start = block.systems[0].rows[0].start if block.systems else 0
    text = state.lines[index].text
    own = len(text) - len(text.lstrip())
    at = own if own >= start + _INSIDE and _BARE.match(text) else start + 1
    state.over.append((LineKind.ENDINGS, Word(number, at), state.lines[index]))
