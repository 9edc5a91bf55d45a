"""Frets typed as letters: a is an open string, b the first fret, as in old lute books.

Source: French lute tablature of the sixteenth and seventeenth centuries (from memory): a, b, c and
so on, without j. Those who type from such books keep the letters, with a row for each string.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec.structs import replace

from rollstave.patterns import rare
from rollstave.reading.rows.records import Row
from rollstave.reading.state import ReadingState
from rollstave.vocabulary import problems as kinds

_FEWEST = 6  # letters of a file
_FIGURE = re.compile(r"\d")
_ONLY = rare(r"[-|:=.\s*a-m]*")
_LETTER = re.compile(r"[a-m]")
_WITH_J = "abcdefghijklm"
_WITHOUT_J = "abcdefghiklm"
_WIDE = 10  # from this fret on there are two figures


def letters_for_frets(state: ReadingState) -> None:
    """Put figures for letters where no row of a file has a figure, nothing but such letters stands
    in the rows, an open string is among them and more than one letter is."""
    found = [row for row in state.rows if row is not None]
    if not found or any(_FIGURE.search(row.body) for row in found):
        return  # nearly always
    typed = "".join(letter for row in found for letter in _LETTER.findall(row.body))
    letters = set(typed)
    if len(typed) < _FEWEST or len(letters) < 2 or "a" not in letters or not _are_letters(found):
        return
    order = _WITH_J if "j" in letters else _WITHOUT_J
    if any(re.search(f"[{order[_WIDE:]}](?!-)", row.body) for row in found):
        return  # there is no room for two figures, so the letters stay, which is said
    first = next(row for row in found if _LETTER.search(row.body))
    state.rows = [row and _with_figures(row, order) for row in state.rows]
    at = _LETTER.search(first.line.text, first.start)
    state.problems.add(
        kinds.LETTERS_FOR_FRETS,
        "no row has a figure: letters are read as frets, a for an open string, b for fret 1, c for "
        "fret 2 and so on; if they are not, type the frets as numbers",
        first.line.place(at.start() if at else first.start),
    )


def _are_letters(rows: Sequence[Row]) -> bool:
    """True if nothing but letters of frets stands in the rows, no two of them side by side."""
    return all(
        _ONLY.fullmatch(row.body) is not None and re.search(r"[a-m]{2}", row.body) is None
        for row in rows
    )


def _with_figures(row: Row, order: str) -> Row:
    """The row with figures; one of two takes the dash behind its letter, so that columns stay."""
    body = list(row.body)
    for at, letter in enumerate(body):
        fret = order.find(letter) if letter.isalpha() else -1
        if fret < 0:
            continue
        body[at] = str(fret)[0]
        if fret >= _WIDE:
            body[at + 1] = str(fret)[1]
    text = row.line.text[: row.start] + "".join(body) + row.line.text[row.end :]
    return replace(row, line=row.line.with_text(text))
