"""Remarks under a system: those that point up at a measure (``^ hold the F with your ring
finger``), and those behind letters or counts."""

from __future__ import annotations

import re
from collections.abc import Sequence

from msgspec import Struct

from rollstave.patterns import rare
from rollstave.reading.page.decode import Line

_POINTS = re.compile(r"(?:^|(?<=\s))(?:\^|↑|/\\)[\s_-]*(?=\w)")
_A_WORD = rare(r"[^\W\d_]{2}")
_PIECE = rare(r"\S+(?:\s\S+)*")
_NEAR = 4  # columns between a remark and the line on which it goes on


class Remark(Struct):
    """A remark: where its arrow stands, its words, and the pieces of lines that they are."""

    start: int
    text: str
    pieces: list[tuple[Line, int, int]]


def points(line: Line) -> bool:
    """True if words of a line point up; signs alone are strokes of a hand."""
    return _A_WORD.search(line.text) is not None and _POINTS.search(line.text) is not None


def goes_on(taken: Sequence[Line], line: Line) -> bool:
    """True if a line goes on with the remarks of those above it: each of its pieces stands under
    the beginning of one, or a little to the right of its arrow."""
    above = next((other for other in reversed(taken) if points(other)), None)
    if above is None or above.number + 2 < line.number or not any(map(str.isalpha, line.text)):
        return False
    starts = [m.start() for m in _POINTS.finditer(above.text)]
    pieces = [m.start() for m in _PIECE.finditer(line.text)]
    return bool(pieces) and all(
        any(0 <= piece - start <= _NEAR for start in starts) for piece in pieces
    )


def remarks(under: Sequence[Line]) -> list[Remark]:
    """The remarks that point at measures, each with its further lines."""
    found: list[Remark] = []
    for line in under:
        arrows = list(_POINTS.finditer(line.text)) if points(line) else []
        if arrows:
            for arrow, after in zip(arrows, [*arrows[1:], None], strict=True):
                end = after.start() if after else len(line.text.rstrip())
                words = line.text[arrow.end() : end].strip()
                found.append(Remark(arrow.start(), words, [(line, arrow.start(), end)]))
            front = line.text[: arrows[0].start()]
            if front.strip():  # words before the first arrow are part of what it says
                first = found[-len(arrows)]
                begin = len(front) - len(front.lstrip())
                first.text = f"{front.strip()} {first.text}"
                first.pieces = [(line, begin, first.pieces[0][2])]
        elif found:
            for piece in _PIECE.finditer(line.text):
                over = [r for r in found if 0 <= piece.start() - r.start <= _NEAR]
                if over:
                    over[-1].text += " " + piece[0]
                    over[-1].pieces.append((line, piece.start(), piece.end()))
    return found


def remark_behind(line: Line) -> int | None:
    """Where a remark in brackets begins that stands behind letters or counts, after a gap, or
    None. Letters in brackets may be chords or fingers; a remark has words."""
    text = line.text.rstrip()
    start = text.rfind("(")
    if start < 3 or not text.endswith(")") or text[start - 1 : start].strip():
        return None
    return start if any(len(word) > 3 for word in text[start + 1 : -1].split()) else None
