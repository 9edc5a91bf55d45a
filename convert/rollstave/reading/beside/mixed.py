"""Lines that hold two kinds of words: chords and Fine, letters and pinch. Both are kept."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

from rollstave.grid.typed import LineKind
from rollstave.patterns import rare
from rollstave.reading.beside import attach
from rollstave.reading.beside.line_words import Table, Word
from rollstave.reading.page.decode import Line

Words = Sequence[tuple[LineKind, Word]]

# What may stand between words of another kind, and the kinds that it stands among.
_SAID = (
    r"(?:d\.? ?[cs]\.?|da\s+capo|dal\s+segno)(?:\s+al\s+(?:fine|coda))?(?![\w.])"
    r"|to\s+coda\b\s*[𝄌⊕⌖]?|(?<!\w)(?:fine|segno|coda)\b|𝄋|𝄌|⊕|⌖|§"
)
_JUMP = rare(rf"[(\[]\s*(?:{_SAID})\s*[)\]]|{_SAID}|\(\+\)", re.IGNORECASE, cues=attach.JUMP_CUES)
# An ending's number with its dot or bracket, among chords.
_ENDING = re.compile(
    r"(?<!\S)[\[|(]?[1-9](?:\s?[,-]\s?[1-9])*(?:[.):]|st|nd|rd)?[.)\]:_|-]+(?!\S)|(?<!\S)[\[|][1-9](?!\S)"
)
# Where the left hand sounds a note, how it does stands among the letters of the other: H, po.
_HAND = re.compile(
    r"(?<!\S)(?:(?P<p>P)|[Hh]o?|HO|PO|po|S[Ll]?|sl|(?:pinch|pi?n|brush|br|strum)[.!]?|[↑↓v^])(?!\S)"
)
_AMONG: tuple[tuple[LineKind, re.Pattern[str], tuple[LineKind, ...]], ...] = (
    (LineKind.HAND, _HAND, (LineKind.PICKING,)),
    (LineKind.ENDINGS, _ENDING, (LineKind.CHORDS,)),
    (
        LineKind.JUMPS,
        _JUMP,
        (LineKind.CHORDS, LineKind.COUNTS, LineKind.PICKING, LineKind.ENDINGS),
    ),
)


def words_of(line: Line, table: Table) -> Words | None:
    """The words of a line over or under a system with the kind of each, or None: one kind for all,
    or one kind and what may stand among its words."""
    return _words_of(line.text, table)


@lru_cache(maxsize=256)  # the lines over a system are asked about once for each of them
def _words_of(text: str, table: Table) -> Words | None:
    line = Line(1, text, text)
    if found := attach.classify(line, table):
        return tuple((found[0], word) for word in found[1])
    text = attach.with_endings_in_figures(text)
    for kind, pattern, hosts in _AMONG:
        among = list(pattern.finditer(text))
        allowed = tuple(row for row in table if row[0] in hosts) if among else ()
        if not allowed:
            continue
        rest = pattern.sub(lambda m: " " * len(m[0]), text)
        if found := attach.classify(line.with_text(rest), allowed):
            words = [(found[0], word) for word in found[1]]
            words += [(kind, Word(_spoken(kind, m), m.start())) for m in among]
            return tuple(sorted(words, key=lambda item: item[1].start))
    return None


def _spoken(kind: LineKind, match: re.Match[str]) -> str:
    """Among the letters of fingers, a ``P`` is a pinch; an ending is its number."""
    if kind is LineKind.ENDINGS:
        return re.sub(r"[^\d,-]|-$", "", match[0])
    said = match[0] if match[0] == "(+)" else match[0].strip("()[] ")
    return "pinch" if match.groupdict().get("p") else said.strip().rstrip(".!")
