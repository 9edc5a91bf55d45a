"""A line of headings divided at commas, wide gaps, dashes and brackets."""

from __future__ import annotations

import re

from msgspec import Struct

from rollstave.reading.words.tuning_words import could_be_tuning, is_tuning


class Piece(Struct, frozen=True):
    """A piece of a line: where it starts, its text, and what divides it from the one before
    (``""`` for a wide gap and for the first)."""

    start: int
    text: str
    divider: str = ""


_DIVIDER = re.compile(
    r"\s*[,;]\s*|\s{3,}|\s+-{1,3}\s+|\s+[|•·]\s+|(?<!\d)\s+/\s+|\s+/\s+(?=[^\s\d])|\s*[()\[\]]\s*(?:-{1,3}\s+)?"
    r"|(?<!\bno)(?<!\bstring)(?<!5th)(?<!fifth)\s+(?=capo(?:ed)?\b)"
    r"|\s+(?:and|&|with)\s+(?=(?:the\s+)?(?:capo|5th|fifth|key|tuned|tuning|spike)\b)",
    re.IGNORECASE,
)
_BRACKETS = re.compile(r"[(\[]([^()\[\]]*)[)\]]")


def pieces(text: str) -> list[Piece]:
    """The pieces of a line that are not empty. The brackets of a tuning stay with what stands
    before them: ``sawmill (gDGCD)``."""
    kept = [
        m.span()
        for m in _BRACKETS.finditer(text)
        if m.start() and is_tuning(m[1]) and could_be_tuning(_last_words(text[: m.start()]))
    ]
    found: list[Piece] = []
    at, divider = 0, ""
    for match in _DIVIDER.finditer(text):
        if any(start < match.end() and match.start() < end for start, end in kept):
            continue
        if _add(found, text, at, match.start(), divider):
            divider = ""
        at = match.end()
        divider = (divider + match[0]).strip()
    _add(found, text, at, len(text), divider)
    return found


def _last_words(text: str) -> str:
    """What stands before a bracket, after the last comma, dash or gap."""
    words = re.split(r"[,;:]|\s-{1,3}\s|\s{3,}", text)[-1].strip()
    return re.sub(r"\s*tuning$", "", words, flags=re.IGNORECASE)


def _add(found: list[Piece], text: str, start: int, end: int, divider: str) -> bool:
    words = text[start:end]
    if not words.strip():
        return False
    found.append(Piece(start + len(words) - len(words.lstrip()), words.strip(), divider))
    return True
