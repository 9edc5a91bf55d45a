"""Which way the hand or the pick strikes, typed over or under the rows: D and U, arrows, v and ^.

Common practice, no source: ``D`` and ``d`` is a down-stroke and ``U`` an up-stroke, so is an arrow
that points down or up and ``v`` beside ``^``; ``n``, and the sign that it stands for, is a
down-stroke beside ``v``. A legend may say it otherwise. Without one both signs of a pair must stand
on one line, and more lines begin with a down-stroke: an arrow along the strings of the tab points
up for a down-stroke, so those who draw it so are left in doubt.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from rollstave.patterns import rare
from rollstave.reading.page.decode import Line
from rollstave.reading.state import ReadingState
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.hands import STROKE_ARROWS, STROKE_PAIRS, STROKES

Meant = Mapping[str, int]  # the row of a sign in STROKES

_FARTHEST = 6  # lines between rows and a line of strokes
_LONGEST = 400  # characters of a line that may be one of strokes
_FEWEST = 3  # words of a line that shows a pair
_WAY = r"(?P<way>down|up)(?:\b|(?=str|pick|bow))"
_SIGN = r"(?P<sign>[A-Za-z]|[^\w\s=:.,;'\"()|-])"
_SAID = (
    rare(
        rf"(?<!\S)[\"'(]?{_SIGN}[\"')]?\s*(?:=|:|\bis\b|\bmeans\b|\bfor\b|\s-\s)\s*"
        rf"(?:(?:the|an?|strum|pick|strike|brush|stroke)\s+)*{_WAY}",
        re.IGNORECASE,
        cues=("down", "up"),
    ),
    rare(
        rf"(?<!\w){_WAY}(?:\W?(?:strokes?|strums?|picks?))?\s*(?:=|:|\bis\b|\bare\b)\s*"
        rf"(?:an?\s+)?[\"'(]?{_SIGN}(?!\w)",
        re.IGNORECASE,
        cues=("down", "up"),
    ),
)
_EMPTY = re.compile(r"[\s|:.-]*")
_REMARK = re.compile(r"(?:\s{2,}|\s*\()[^\W\d_].*$")


def stroke_signs(state: ReadingState) -> None:
    """Put plain signs for strokes where lines beside rows hold nothing else and a legend, or the
    lines themselves, say what they are."""
    beside = list(_beside_rows(state))
    if not beside:
        return
    told = _legend(state)
    meant = told or _pair([state.lines[index] for index, _ in beside])
    if not meant:
        return
    read: list[Line] = []
    for index, under in beside:
        line = state.lines[index]
        found = _signs(line.text, meant)
        if found is None:
            continue
        # A D over the rows names a chord.
        if not under and len({meant[sign] for _, sign in found}) < len(STROKES):
            continue
        read.append(line)
        state.lines[index] = line.with_text(_put(line.text, found, meant))
    if read:
        state.problems.add(
            kinds.STROKES,
            f"{_words(meant)} the rows are read as down-strokes and up-strokes",
            read[0].place(0),
        )


def _words(meant: Meant) -> str:
    return " and ".join(meant) + (" beside" if len(meant) > 1 else " stands beside")


def _put(text: str, found: list[tuple[int, str]], meant: Meant) -> str:
    """The line with plain signs, and with the remark behind them as it is."""
    for at, sign in found:
        row = STROKES[meant[sign]]
        plain = row.arrow if sign in STROKE_ARROWS else row.sign
        text = text[:at] + plain.ljust(len(sign)) + text[at + len(sign) :]
    return text


def _signs(text: str, meant: Meant) -> list[tuple[int, str]] | None:
    """The signs of a line with their places, or None if it has something else; a remark may stand
    behind them."""
    first = text.lstrip(" |:.-")[:1]
    if not first or not any(sign[0] == first for sign in meant):
        return None  # nearly always
    found: list[tuple[int, str]] = []
    longest = sorted(meant, key=len, reverse=True)
    at = 0
    while at < len(text):
        sign = next((s for s in longest if text.startswith(s, at)), "")
        if sign:
            found.append((at, sign))
        elif not _EMPTY.fullmatch(text[at]):
            behind = bool(found) and _REMARK.match(text, found[-1][0] + len(found[-1][1]))
            return found if behind else None
        at += len(sign) or 1
    return found or None


def _legend(state: ReadingState) -> Meant:
    """What the tab's own words say of signs; the other sign of a pair follows from one."""
    found: dict[str, int] = {}
    for index, line in enumerate(state.lines):
        if index in state.in_block or line.blank:
            continue
        for pattern in _SAID:
            for match in pattern.finditer(line.text):
                way = STROKES[0].words == match["way"].lower()
                found.setdefault(match["sign"], 0 if way else 1)
    if len(found) == 1:
        ((sign, row),) = found.items()
        other = next((p[1 - row] for p in STROKE_PAIRS if p[row] == sign), "")
        found |= {other: 1 - row} if other else {}
    return found if len(set(found.values())) == len(STROKES) else {}


def _pair(lines: list[Line]) -> Meant:
    """The first pair that stands on a line by itself, most such lines with a down-stroke first."""
    for pair in STROKE_PAIRS:
        meant = {sign: row for row, sign in enumerate(pair)}
        typed = [found for line in lines if (found := _signs(line.text, meant))]
        shown = [f for f in typed if len(f) >= _FEWEST and len({s for _, s in f}) == len(pair)]
        if shown and 2 * sum(meant[found[0][1]] == 0 for found in shown) > len(shown):
            return meant
    return {}


def _beside_rows(state: ReadingState) -> Iterator[tuple[int, bool]]:
    """The indices of lines of words that touch rows, or others that do, and whether they stand
    under them."""
    lines, rows = state.lines, state.in_block
    found: dict[int, bool] = {}
    for index in sorted(rows):
        for step in (1, -1):
            at = index + step
            while 0 <= at < len(lines) and at not in rows and abs(at - index) <= _FARTHEST:
                if lines[at].blank or len(lines[at].text) > _LONGEST:
                    break
                found[at] = found.get(at, False) or step > 0
                at += step
    yield from sorted(found.items())
