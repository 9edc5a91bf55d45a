"""Lines that are drawn alike are rows, whatever they are drawn with.

A system shows itself: a few lines have one character for the most of them, another (or none) in
the same columns of all, and figures. Which characters these are is asked of the lines. Common
practice, no source.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

from rollstave.patterns import rare
from rollstave.reading.page.decode import Line
from rollstave.reading.rows.finding import as_row, is_remark, label_of
from rollstave.reading.rows.records import Row
from rollstave.reading.state import ReadingState

_FEWEST_STRINGS = 3  # of an instrument
_MOST_STRINGS = 8
_MOST_GAP = 2  # empty lines between two rows
_FEWEST_FILLS = 3  # in a row, and a share of it
_SHARE = 0.3
_SHORTEST = 5  # characters of a row
_FRONT = 10  # characters that a label takes at the most
_LONGEST = 1_000  # characters of a row that are looked at column by column
_FILLS = frozenset("-=_.~+:*,'^`%#/\\\"·•;!\u00b0")
_BARS = "|+!I:;/[]{}*#\\"
# What a row has besides its label, its fill and its bars.
_SIGNS = frozenset("0123456789oOxXhHpPsSbBtTrRvlimnk()<>[]{}~^*/\\'.:= -|")
_WORD = rare(r"[^\W\d_]{4,}")
_BODY_BEHIND_LABEL = rare(r"\s*[A-Ga-g][#b]?\s*(?P<body>\S.*)")


def rows_drawn_alike(state: ReadingState) -> None:
    """Take lines for rows that are drawn alike with other characters than dashes and bars."""
    run: list[int] = []
    blanks = others = 0
    lines, rows = state.lines, state.rows
    for index, line in enumerate(lines):
        text = line.text
        if not text[_SHORTEST:] or text.isspace():
            if text and text[0] != " ":
                others += 1
                blanks = 0
            else:
                blanks += 1
            continue
        row = rows[index]
        if (row is None or "|" not in row.body[1:]) and _may_be_one(line):
            if blanks > _MOST_GAP or others > 1:
                _take(state, run)
                run = []
            run.append(index)
            blanks = others = 0
        else:
            others += 1
            blanks = 0
    _take(state, run)


def _may_be_one(line: Line) -> bool:
    if len(line.text) > _LONGEST or _WORD.search(_without_words_behind(line.text), _FRONT):
        return False
    return not is_remark(line)


_A_WORD = rare(r"[^\W\d_]{3}")


def _without_words_behind(text: str) -> str:
    """The text without what stands behind the last wide gap, if it has a word in it."""
    gap = text.rstrip().rfind("  ")
    return text[:gap] if gap > 0 and _A_WORD.search(text, gap) else text


def _take(state: ReadingState, run: Sequence[int]) -> None:
    """Make rows of the lines of a run that are drawn with one fill."""
    if len(run) < _FEWEST_STRINGS:
        return
    lines = [state.lines[index] for index in run]
    counted = Counter(c for line in lines for c in line.text if c in _FILLS)
    for fill, _ in counted.most_common(2):
        groups = _groups(state, run, fill)
        for one, other in pairwise([*groups, []]):
            # A lone line between them may be a remark.
            split = len(one) < _FEWEST_STRINGS or len(other) < _FEWEST_STRINGS
            near = one and other and other[0] - one[-1] == _ONE_BETWEEN and split
            for group in (one, [*one, *other]) if near else (one,):
                made = _rows([state.lines[index] for index in group], fill)
                for at, row in zip(group, made or (), strict=False):
                    state.rows[at] = row


_ONE_BETWEEN = 2  # how far apart two lines are that have one between


def _groups(state: ReadingState, run: Sequence[int], fill: str) -> list[list[int]]:
    """The lines of a run with a fill, those together that follow each other as far apart as the
    first two do."""
    groups: list[list[int]] = []
    for index in run:
        if not _has(state.lines[index].text, fill):
            continue
        group = groups[-1] if groups else []
        step = group[1] - group[0] if len(group) > 1 else _MOST_GAP + 1
        between = state.lines[group[-1] + 1 : index] if group else []
        if group and index - group[-1] <= step and all(line.blank for line in between):
            group.append(index)
        else:
            groups.append([index])
    return groups


def _has(text: str, fill: str) -> bool:
    number = text.count(fill)
    return number >= _FEWEST_FILLS and number >= _SHARE * len(text.strip())


def _rows(lines: Sequence[Line], fill: str) -> list[Row] | None:
    """The rows that lines are, if all of them are drawn with a fill and the same bars."""
    if not len(lines) >= _FEWEST_STRINGS or not any(c.isdigit() for x in lines for c in x.text):
        return None
    bar, columns = _bar([line.text for line in lines], fill)
    if bar:
        if (fill, bar) == ("-", "|"):
            return None
        texts = [_plain(line.text, fill, bar, columns) for line in lines]
    else:
        found = _with_bars(lines, fill)
        if found is None:
            return None
        texts = found
    made = [as_row(line.with_text(text)) for line, text in zip(lines, texts, strict=True)]
    rows = [row for row in made if row is not None]
    return rows if len(rows) == len(lines) else None


def _bar(texts: Sequence[str], fill: str) -> tuple[str, list[int]]:
    """The character that stands in the same columns of all lines, and which these are."""
    found: dict[str, list[int]] = {}
    for column in range(max(map(len, texts))):
        here = {text[column : column + 1] for text in texts}
        if len(here - {""}) == 1 and len(here) == 1:
            (char,) = here
            if char in _BARS and char != fill:
                found.setdefault(char, []).append(column)
    best = max(found, key=lambda char: len(found[char]), default="")
    if not best or len(found[best]) < 2:  # behind the labels, and at the end
        return "", []
    return best, found[best]


def _plain(text: str, fill: str, bar: str, columns: Sequence[int]) -> str:
    """A line with dashes for its fill and ``|`` for its bars."""
    first = columns[0] if columns[0] <= _FRONT + 4 else 0
    body = text[first:]
    if bar in _SIGNS:
        body = "".join("|" if first + i in columns else c for i, c in enumerate(body))
    else:
        body = body.replace(bar, "|")
    return text[:first] + body.replace(fill, "-")


def _with_bars(lines: Sequence[Line], fill: str) -> list[str] | None:
    """The lines of one measure without bars, with one on either side: each has a label and a body
    as long as the others."""
    if not len(lines) <= _MOST_STRINGS:
        return None
    texts = []
    widths = set()
    for line in lines:
        match = _BODY_BEHIND_LABEL.fullmatch(line.text)
        if match is None or not set(match["body"]) <= (_SIGNS | {fill}) - {" "}:
            return None
        if "|" in line.text:
            return None
        texts.append(f"{line.text[: match.start('body') - 1]}|{match['body'].replace(fill, '-')}|")
        widths.add(len(match["body"]))
        if not label_of(texts[-1])[0]:
            return None
    return texts if len(widths) == 1 else None
