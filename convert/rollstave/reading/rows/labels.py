"""Rows whose labels are typed another way: one habit a function.

What the trade types is common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec.structs import replace

from rollstave.patterns import rare
from rollstave.reading.rows.finding import as_row, body_end
from rollstave.reading.rows.records import LETTER, Row
from rollstave.reading.state import ReadingState

_GLUED = rare(rf"\s*(?P<letter>{LETTER})(?=[\d(<xXoO{{])")
_BARE = re.compile(
    rf"\s*(?P<label>{LETTER}[0-9']?)\s?[|!:]+[\s|]*-{{0,2}}"
    r"(?:(?<=[-|!])(?P<fret>\d{1,2}|[oOxX]))?\s*"
)
_WORDS = rare(
    r"\s*(?P<words>(?=[^|]*[A-Za-z])[A-Za-z0-9][A-Za-z0-9.' ]{0,14}?)\s*(?:[-:=)>\]]\s*)?(?=\|)"
)
_ALONE = rare(rf"\s*(?P<label>{LETTER})")  # believed between two rows
_SHORT = 40  # characters: more is no bare label
_LAST_LETTER = rare(rf"(?:^|\s)(?P<letter>{LETTER})$")


def frets_after_labels(state: ReadingState, rows: Sequence[Row]) -> list[Row] | None:
    """Take a figure right after a label for a fret: no bar stands between, and other rows have
    the letter alone, with their bodies from the same column on."""
    if not [row for row in rows if row.line.text[row.start : row.start + 1] not in ("|", "!", "")]:
        return None
    alone = {
        row.start
        for row in rows
        if row.label and row.label == row.string_label and _ends_at_letter(row, blank=True)
    }
    # The letters of an earlier system, where all strings are struck right at the beginning.
    known = [row.string_label for row in rows] == list(state.labels)
    changed = list(rows)
    for index, row in enumerate(rows):
        match = _GLUED.match(row.line.text)
        if match is None or row.start == match.end() or (row.label and not _ends_at_letter(row)):
            continue
        if match.end() not in alone and not known:
            continue
        changed[index] = replace(row, label=match["letter"], start=match.end())
    return changed if changed != list(rows) else None


_NUMBERED = rare(r"\s*(?:[a-z]{1,6}\s?)?(?P<number>[1-8])(?:st|nd|rd|th)?\W*\|", re.IGNORECASE)
_BARE_NUMBER = rare(
    r"\s*(?:[a-z]{1,6}\s?)?(?P<number>[1-8])(?:st|nd|rd|th)?\W*[|!][|!:\s-]*",
    re.IGNORECASE,
)


def _bare_number(state: ReadingState, index: int) -> None:
    """Put dashes where the number of a string is all that is typed of it: the row beside it has
    the number before or after."""
    lines, rows = state.lines, state.rows
    match = _BARE_NUMBER.fullmatch(lines[index].text)
    if match is None:
        return
    for beside in (index - 1, index + 1):
        row = rows[beside] if 0 <= beside < len(rows) else None
        near = None if row is None else _NUMBERED.match(row.line.text)
        if row is None or near is None:
            continue
        if abs(int(near["number"]) - int(match["number"])) == 1:
            bar = row.line.text.index("|")
            body = re.sub(r"[^|:]|(?<!\|):(?!\|)", "-", row.line.text[bar:])
            made = as_row(
                lines[index].with_text(lines[index].text.partition("|")[0].ljust(bar) + body)
            )
            if made is not None:
                rows[index] = made
            return


_BAR_ALONE = rare(r"\s*\|(?P<few>[-\d(<hpxX)>/~]{0,12})\s*")


def _bare_bar(state: ReadingState, index: int) -> Row | None:
    """The row of a string of which the bar and what is struck early are all that is typed: a row
    without a label stands beside it, and its bar in the same column."""
    line = state.lines[index]
    match = _BAR_ALONE.fullmatch(line.text)
    if match is None:
        return None
    bar = line.text.index("|")
    for beside in (index - 1, index + 1):
        row = state.rows[beside] if 0 <= beside < len(state.rows) else None
        if row is None or row.label or row.line.text.find("|") != bar:
            continue
        length = len(row.line.text.rstrip())
        text = line.text.rstrip().ljust(length, "-")
        return Row(line=line.with_text(text), label="", start=row.start, end=length)
    return None


def _ends_at_letter(row: Row, blank: bool = False) -> bool:
    """True if the body starts right where the label ends: no bar or colon between, and no blank,
    unless labels may be filled up with one to the width of the widest."""
    before, after = row.line.text[: row.start], row.line.text[row.start : row.start + 1]
    before = before.rstrip() if blank else before
    return before.endswith(row.label) and after not in "|!:"


def words_before_bars(state: ReadingState, rows: Sequence[Row]) -> list[Row] | None:
    """Take words before the first bar for labels, where all rows have some: ``high E |``."""
    if all(row.label for row in rows):
        return None
    found = []
    for row in rows:
        if row.label and row.body[:1] == "|":
            found.append(row)
            continue
        match = None if row.label else _WORDS.match(row.line.text)
        if match is None:
            return None
        letter = _LAST_LETTER.search(match["words"])
        label = letter["letter"] if letter else ""
        start = match.end()
        found.append(replace(row, label=label, start=start, end=body_end(row.line.text, start)))
    if len({row.start for row in found}) > 1:
        return None
    return found if all(row.label for row in found) else [replace(row, label="") for row in found]


def _among_rows(state: ReadingState, index: int) -> bool:
    """True if a line has rows on both sides, or on one a line that is as short as itself."""
    beside = [i for i in (index - 1, index + 1) if 0 <= i < len(state.lines)]
    return all(
        state.rows[i] is not None or _BARE.fullmatch(state.lines[i].text) is not None
        for i in beside
    )


_FEWEST_STRINGS = 3  # of an instrument


def _between_systems(state: ReadingState, index: int) -> bool:
    """True where the labels of the rows right above a line are those of the rows right below it,
    so that these are systems, and a letter between them is the name of a part."""
    end = start = index
    while start and state.rows[start - 1] is not None:
        start -= 1
    while end + 1 < len(state.rows) and state.rows[end + 1] is not None:
        end += 1
    above, below = (
        [row.string_label for row in state.rows[a:b] if row is not None]
        for a, b in ((start, index), (index + 1, end + 1))
    )
    return len(below) >= _FEWEST_STRINGS and above == below


def bare_labels(state: ReadingState) -> None:
    """Put dashes where a label and a bar are all that is typed of a string between labelled rows:
    nothing is played on it."""
    lines, rows = state.lines, state.rows
    # Upwards too, as several may stand over the first row with something in it.
    for index in (*range(len(lines)), *reversed(range(len(lines)))):
        line = lines[index]
        if rows[index] is not None or not 0 < len(line.text) < _SHORT:
            continue
        if line.text[0] in "| " and (row := _bare_bar(state, index)) is not None:
            rows[index] = row
            continue
        match = _BARE.fullmatch(line.text) or _ALONE.fullmatch(line.text)
        if match is None:
            _bare_number(state, index)
            continue
        beside = [rows[i] for i in (index - 1, index + 1) if 0 <= i < len(rows)]
        model = next((row for row in beside if row is not None and row.label), None)
        if model is None or ("|" not in line.text and None in beside):
            continue  # a letter and a colon head a part, too
        if "|" not in line.text and _between_systems(state, index):
            continue
        body = re.sub(r"[^|:]|(?<!\|):(?!\|)", "-", model.body)
        text = line.text[: match.end("label")].ljust(model.start) + body
        if "fret" in match.re.groupindex and match["fret"]:
            if not _among_rows(state, index):
                continue
            text = line.text[: match.end("fret")] + text[match.end("fret") :]
        made = as_row(line.with_text(text))
        if made is not None:
            rows[index] = made
