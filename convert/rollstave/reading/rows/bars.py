"""Systems whose bars or labels are typed another way: one habit a function."""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence

from msgspec.structs import replace

from rollstave.patterns import rare
from rollstave.problems import Severity
from rollstave.reading.ledger import Use
from rollstave.reading.page.decode import Line
from rollstave.reading.rows.fills import BAR_LOOKALIKES, bars_in
from rollstave.reading.rows.finding import as_row, body_end
from rollstave.reading.rows.records import LETTER, Row
from rollstave.reading.state import ReadingState
from rollstave.vocabulary import problems as kinds

_LEAST_GROUP = 6  # columns between two gaps: less is a beat, not a measure
_FEWEST_BARS = 2
_STROKES = rare(r"\|+")
_DOUBLE = 2  # strokes of a bar, where one is a beat's
_MOST_BEATS = 12  # of a measure
_OF_A_BEAT = 4  # columns: more are a measure
# Strings named by their numbers; only a whole system of them is believed.
_NUMBER_LABEL = rare(
    r"\s*(?:(?:string|str\.?|st\.?|s|no\.?)(?![a-z]) ?#?)?"
    r"(?:(?P<number>[1-9])(?:st|nd|rd|th)?|(?P<word>[a-z]{3,6}))(?:[ -]?string)?"
    rf"(?: ?[=(:]? ?(?P<letter>{LETTER})\)?)?"
    r"(?:\s*[-=>.:)\]]?(?=\|)|\s*[:)](?!\|)|\s+(?=[-|]))",
    re.IGNORECASE,
)
# Their beginnings are enough: people type them short, and as they sound.
_NUMBER_WORDS = (
    *(("fir", 1), ("one", 1), ("sec", 2), ("two", 2), ("thi", 3), ("thr", 3), ("fo", 4)),
    *(("fif", 5), ("fiv", 5), ("six", 6), ("sev", 7), ("eig", 8)),
)
_LETTER_AND_NUMBER = rare(
    rf"\s*(?P<letter>{LETTER}) ?[(\[](?P<number>[1-9])[)\]]\s*(?=[|:-])(?P<word>)"
)


def other_bars(state: ReadingState, rows: Sequence[Row]) -> list[Row] | None:
    """Put ``|`` for another bar, where a system has none but behind its labels and at its end: a
    character that every row has as often, in the same columns but for one row."""
    if any("|" in row.line.text[row.start + 2 : row.end - 3] for row in rows):
        return None
    # A bar behind the label is none of the others.
    barred = any("|" in row.line.text for row in rows)
    texts = [row.line.text for row in rows]
    best: list[tuple[int, ...]] = []
    for char in BAR_LOOKALIKES:
        if sum(char in text for text in texts) < len(rows) - 1:
            continue  # looking at every column takes long
        columns = [
            tuple(
                i
                for i, c in enumerate(row.line.text)
                if c == char
                and (row.start if barred else -1) < i < row.end
                and "|" not in row.line.text[max(0, i - 1) : i + 2]  # else a repeat's dot
            )
            for row in rows
        ]
        usual = max(columns, key=columns.count)
        if not usual or columns.count(usual) < len(rows) - 1:
            continue
        if any(len(c) != len(usual) for c in columns):
            continue
        if not best or len(usual) > len(best[0]):  # dots of repeats stand at fewer bars
            best = columns
    if not best:
        return None
    return [_rebarred(row, places) for row, places in zip(rows, best, strict=True)]


def gaps_as_bars(state: ReadingState, rows: Sequence[Row]) -> list[Row] | None:
    """Put ``|`` in the gaps that all rows have in the same columns, where they have no bar at all
    and the gaps are as far apart as bars."""
    if any("|" in row.line.text for row in rows):
        return None
    start, end = max(row.start for row in rows), max(row.end for row in rows)
    gaps = [
        column
        for column in range(start + 1, end)
        if all(column >= row.end or row.line.text[column] == " " for row in rows)
    ]
    firsts = [g for g in gaps if g - 1 not in gaps]
    inner = [g for g in firsts if any(g + 1 < row.end for row in rows)]
    edges = [start - 1, *inner, end]
    groups = [b - a for a, b in itertools.pairwise(edges)]
    # The first group may be a pickup.
    if not inner or min(groups[1:]) <= _LEAST_GROUP:
        return None
    state.problems.add(
        kinds.GAPS_AS_BARS,
        "this system has no bar lines; the gaps that stand in all its rows are read as bar lines",
        rows[0].line.place(rows[0].start),
    )
    # Each measure begins right behind its bar, as the first does.
    bars = [next(n for n in itertools.count(g) if n + 1 not in gaps) for g in inner]
    found = [_rebarred(row, [g for g in bars if g < len(row.line.text)]) for row in rows]
    # The rest of a wide gap takes no time.
    out = [n for g, bar in zip(inner, bars, strict=True) for n in range(g, bar)][::-1]
    if not out or not _move_words_along(state, rows, out, all_or_none=True):
        return found
    return [_without(state, row, out) for row in found]


def bars_at_beats(state: ReadingState, rows: Sequence[Row]) -> list[Row] | None:
    """Take out single bars between double ones, where they stand at beats: in the same columns of
    all rows, as many in each measure, and so close that no measure is between two."""
    found = {tuple(m.span() for m in _STROKES.finditer(r.line.text, 0, r.end)) for r in rows}
    if len(found) != 1:
        return None
    spans = next(iter(found))
    doubles = [i for i, (start, end) in enumerate(spans) if end - start == _DOUBLE]
    beats = {b - a - 1 for a, b in itertools.pairwise(doubles)}
    if len(doubles) < _FEWEST_BARS or len(beats) != 1 or not 0 < next(iter(beats)) < _MOST_BEATS:
        return None
    inner = spans[doubles[0] : doubles[-1] + 1]
    if max(b[0] - a[1] for a, b in itertools.pairwise(inner)) > _OF_A_BEAT:
        return None
    single = [start for start, end in inner if end - start == 1]
    # Of a double bar one stroke stays.
    out = sorted([*single, *(start for start, end in inner if end - start == _DOUBLE)])[::-1]
    _move_words_along(state, rows, out)
    return [_without(state, row, out) for row in rows]


def _without(state: ReadingState, row: Row, columns: Sequence[int]) -> Row:
    line = row.line
    for at in columns:
        state.ledger.claim(line, at, at + 1, Use.FRAME)
        line = line.without(at, at + 1)
    return as_row(line) or replace(row, line=line)


def _move_words_along(
    state: ReadingState, rows: Sequence[Row], columns: Sequence[int], all_or_none: bool = False
) -> bool:
    """Take the same columns out of the lines that touch the rows, where nothing stands there; False
    if something does in one of them, which stays as it is with those behind it, or all do."""
    numbers = [line.number for line in state.lines]
    first, last = (numbers.index(row.line.number) for row in (rows[0], rows[-1]))
    moved: dict[int, Line] = {}
    whole = True
    for step, index in ((-1, first - 1), (1, last + 1)):
        while 0 <= index < len(numbers) and not state.lines[index].blank:
            line = state.lines[index]
            if state.rows[index] is not None:
                break
            if any(line.text[at : at + 1].strip() for at in columns):
                whole = False
                break
            for at in columns:
                if at < len(line.text):
                    line = line.without(at, at + 1)
            moved[index] = line
            index += step
    if whole or not all_or_none:
        for index, line in moved.items():
            state.lines[index] = line
    return whole


def bars_in_few_rows(state: ReadingState, rows: Sequence[Row]) -> list[Row] | None:
    """Put bars into rows that have none, where a row or two have some in the same columns, and
    the others nothing but dashes there: who is in a hurry bars the top row and the bottom one."""
    columns = [[at for at in bars_in(row.line.text) if at < row.end] for row in rows]
    barred = [found for found in columns if len(found) >= _FEWEST_BARS]
    bare = [row for row, found in zip(rows, columns, strict=True) if not found]
    if not barred or len(barred) + len(bare) < len(rows) or 2 * len(barred) > len(rows):
        return None
    if any(found != barred[0] for found in barred):
        return None
    if not all(row.line.text[at : at + 1] in ("-", " ", "") for row in bare for at in barred[0]):
        return None
    state.problems.add(
        kinds.BARS_DIFFER,
        "bars stand in few of these rows; they are read as bars of all",
        rows[0].line.place(rows[0].start),
        Severity.NOTICE,
    )
    model = rows[columns.index(barred[0])].line.text
    return [_barred_as(row, model, barred[0]) if row in bare else row for row in rows]


def _barred_as(row: Row, model: str, columns: Sequence[int]) -> Row:
    """A row with the bars of another, and the dots of its repeats."""
    text = list(row.line.text)
    for at in (i for column in columns for i in (column, column - 1, column + 1)):
        if at < len(text) and model[at : at + 1] in ("|", ":") and text[at] in "- ":
            text[at] = model[at]
    line = row.line.with_text("".join(text))
    return as_row(line) or replace(row, line=line)


def numbers_as_labels(state: ReadingState, rows: Sequence[Row]) -> list[Row] | None:
    """Take string numbers for labels, if every row has one and they count up or down by one.
    Where every number has a letter beside it, that is the label."""
    found = []
    letters, numbers = [], []
    for row in rows:
        match = _number_before(row)
        if match is None:
            return None
        letters.append(match["letter"])
        numbers.append(_number_of(match))
        found.append(_numbered(row, match))
    up = list(range(1, len(rows) + 1))
    if numbers not in (up, up[::-1]):
        return None
    if all(letters):
        return [replace(row, label=letter) for row, letter in zip(found, letters, strict=True)]
    return found


def with_numbers(rows: Sequence[Row]) -> list[Row] | None:
    """The rows with the numbers of their strings as labels, None if one has no number."""
    found = [(row, _number_before(row)) for row in rows]
    if not all(match for _, match in found):
        return None
    return [_numbered(row, match) for row, match in found if match is not None]


def _number_before(row: Row) -> re.Match[str] | None:
    text = row.line.text
    return None if row.label else _NUMBER_LABEL.match(text) or _LETTER_AND_NUMBER.match(text)


def _numbered(row: Row, match: re.Match[str]) -> Row:
    start = match.end()
    end = body_end(row.line.text, start)
    return Row(line=row.line, label=str(_number_of(match)), start=start, end=end)


def _number_of(match: re.Match[str]) -> int:
    """The string that a figure or a word names, 0 for a word that names none."""
    if match["number"]:
        return int(match["number"])
    word = match["word"].lower()
    return next((number for start, number in _NUMBER_WORDS if word.startswith(start)), 0)


def _rebarred(row: Row, columns: Sequence[int]) -> Row:
    text = list(row.line.text)
    for column in columns:
        text[column] = "|"
    line = row.line.with_text("".join(text))
    made = as_row(line) or replace(row, line=line)
    behind = line.text[made.end : row.end]  # where no dashes follow each other it is music, too
    frets = set(behind) <= set("-0123456789 ") and "-" in behind
    return replace(made, end=row.end) if frets else made
