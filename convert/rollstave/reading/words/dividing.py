"""A line of headings divided at commas, wide gaps, dashes and brackets."""

from __future__ import annotations

import re
from functools import lru_cache

from msgspec import Struct

from rollstave.instruments.known import Known
from rollstave.patterns import rare
from rollstave.reading.words.tuning_words import could_be_tuning, is_tuning, now_known


class Piece(Struct, frozen=True):
    """A piece of a line: where it starts, its text, and what divides it from the one before
    (``""`` for a wide gap and for the first)."""

    start: int
    text: str
    divider: str = ""


# A period after one of these, or after a single letter, ends no sentence.
_SHORTENED = "".join(
    rf"(?<!\b{word})"
    for word in (
        *("Mr", "Mrs", "Dr", "St", "No", "Nr", "vs", "ca", "arr", "trad", "std", "reg", "appr"),
        *("approx", "gtr", "vol", "Jr", "Sr"),
    )
)
# But after a key, or after the last letter of a tuning: "Key of G. 4/4", "g D G B D. 4/4".
_SHORTENED += r"(?:(?<!\b[A-Za-z])|(?<=\w\s[A-G])(?<!by\s[A-G])|(?<=#\s[A-G]))"
WIDE = 3  # blanks that divide by themselves
# The character that a divider begins with is looked at first: most are letters, and begin none.
_DIVIDER = re.compile(
    r"(?=[\s,;()\[\].!?])(?:"
    r"\s*[,;]\s*|\s+-{1,3}\s+|(?<!\d)\s+/\s+|\s+/\s+(?=[^\s\d])|\s{3,}|\s+(?:[|•·]|//)\s+"
    r"|\s+[~*]{2,5}\s+|\s*[()\[\]]\s*(?:-{1,3}\s+)?|\s*\.{3,}\s*"
    rf"|(?=[.!?]+\s+\S){_SHORTENED}(?<![.!?])[.!?]+\s+"
    r"|(?=\s+capo(?:ed)?\b)(?<!\bno)(?<!\bstring)(?<!5th)(?<!fifth)\s+"
    r"|\s+(?:and|&|with)\s+(?=(?:the\s+)?(?:capo|5th|fifth|key|tuned|tuning|spike)\b)"
    r")",
    re.IGNORECASE,
)
# Strings named by their numbers: "1=D, 2=B, 3=G, 4=D, 5=g".
_BY_NUMBER = rare(
    r"(?:(?<!\w)[1-8]\s?=\s?[A-Ga-g][#b♯♭]?[,;]?\s*){4,}(?<=[A-Ga-g#b♯♭])", cues=("=",)
)
_BRACKETS = re.compile(r"[(\[]([^()\[\]]*)[)\]]")


def pieces(text: str) -> tuple[Piece, ...]:
    """The pieces of a line that are not empty. The brackets of a tuning stay with what stands
    before them: ``sawmill (gDGCD)``."""
    return _pieces(text, now_known())


@lru_cache(maxsize=128)  # many rules ask for the same line
def _pieces(text: str, known: Known) -> tuple[Piece, ...]:
    kept = [
        m.span()
        for m in _BRACKETS.finditer(text)
        if m.start() and is_tuning(m[1]) and could_be_tuning(_last_words(text[: m.start()]))
    ]
    kept += [m.span() for m in _BY_NUMBER.finditer(text)] if "=" in text else []
    found: list[Piece] = []
    at, divider = 0, ""
    for match in _DIVIDER.finditer(text):
        start = match.start()
        for opened, closed in kept:
            if opened < match.end() and start < closed:
                start = closed  # what follows the bracket may divide by itself
        rest = text[start : match.end()]
        if start > match.start() and not rest.strip() and len(rest) < WIDE:
            continue
        if _add(found, text, at, start, divider):
            divider = ""
        at = match.end()
        divider = (divider + rest).strip()
    _add(found, text, at, len(text), divider)
    return tuple(found)


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
