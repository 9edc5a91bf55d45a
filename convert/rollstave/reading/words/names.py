"""The name of a tune in a sentence: ``This one is called Nettle Hill and goes in sawmill``."""

from __future__ import annotations

import re
from functools import cache

from rollstave.patterns import rare
from rollstave.reading.words.tuning_words import could_be_tuning

_SMALL = "of|in|the|at|on|and|for|a|an|to|with|over|under|o'|by|from"
_CAPITAL = r"[A-Z][\w'’-]*"
_NAME = rf"{_CAPITAL}(?:\s(?:(?:{_SMALL})\s){{0,2}}{_CAPITAL})*"
_SHORTEST = 4  # letters of a name of one word
# What a sentence has and a name hardly.
SPEAKS = rare(
    r"\b(?:i|i'm|you|it|it's|is|are|was|this|that|here|here's|my|me|we|he|she|found|wanted|goes"
    r"|called|have|sorry|somebody|otherwise)\b",
    re.IGNORECASE,
)


@cache
def _ways() -> tuple[tuple[re.Pattern[str], int], ...]:
    """The ways to name a tune, the surest first, and how many words a name needs there."""
    calls = (
        r"\b(?i:(?:tune|song|piece|name|title)\s+is|call(?:ed|\s+(?:it|this(?:\s+one)?))|titled|entitled"
        r"|known\s+as"
        r"|by\s+the\s+name\s+of)"
    )
    shows = (
        r"\b(?i:here(?:'s|\s+is|\s+it\s+is|\s+you\s+are)?|that\s+was|this\s+(?:one\s+)?is"
        r"|you\s+(?:wanted|asked\s+for)|(?:start|rest)\s+of|(?:tab|version|part)\s+(?:of|for)"
        r"|how\s+I\s+play|do\s+you\s+know)"
    )
    return (
        (re.compile(rf"{calls},?\s+[\"“]?(?P<n>{_NAME})"), 1),
        (re.compile(r"[\"“](?P<n>[A-Z][^\"“”\n]{2,60}?)[,.!]?[\"”](?!\s+(?i:tuning))"), 1),
        (re.compile(rf"{shows}[,:]?\s+(?=(?P<n>{_NAME}))"), 2),
        (re.compile(rf"\b[Ii]t'?s\s+(?P<n>{_NAME})"), 2),
        (re.compile(rf"[.!?]\s+(?P<n>{_NAME})(?=,\s+(?:key|in\s|tuned|capo|standard|an?\s))"), 2),
        (re.compile(r"(?<![\w'])(?P<n>[A-Z][A-Z'’]{2,}(?:\s(?:[A-Z'’]{2,}|A))+)(?![\w'])"), 2),
    )


def is_sentence(text: str, fewest: int = 5) -> bool:
    """True for words, ``fewest`` or more, of which a good share is small and which speak to
    somebody."""
    words = re.findall(r"[^\W\d_][\w']*", text)
    small = [w for w in words if w[0].islower() and w not in _SMALL.split("|")]
    return (
        len(words) >= fewest
        and 5 * len(small) >= 2 * len(words)
        and SPEAKS.search(text) is not None
    )


def presents(text: str) -> bool:
    """True for words that begin as a sentence does that shows a tune: ``That was Nettle Hill``."""
    calls, _, shows, *_ = _ways()
    found = calls[0].match(text.strip()) or shows[0].match(text.strip())
    asks = _ASKS.search(text) is not None
    return asks or (found is not None and SPEAKS.match(text.strip()) is not None)


# Somebody asks for a tab, or answers: "anyone got a tab for Nettle Hill?"
_ASKS = rare(
    r"\b(?:anyone|anybody|somebody|someone|got|have|want|need|looking|request\w*)\b.{0,24}"
    r"\b(?:tab|version|chords)\s+(?:for|of|to)\b",
    re.IGNORECASE,
    cues=("tab", "version", "chords"),
)


def is_called(text: str) -> bool:
    """True for words that say what the tune is called, or have a name in quotes."""
    return any(way.search(text) is not None for way, _ in _ways()[:2])


def named_in(text: str) -> list[tuple[str, int]]:
    """The names of tunes in a text by the surest way in which it has one, and where they begin."""
    for pattern, fewest in _ways():
        found = [
            (" ".join(match["n"].split()), match.start("n"))
            for match in pattern.finditer(text)
            if _is_name(match["n"], fewest)
        ]
        if found:
            return found
    return []


def _is_name(text: str, fewest: int) -> bool:
    words = text.split()
    if len(words) < fewest or could_be_tuning(text):
        return False
    return len(words) > 1 or len(text) >= _SHORTEST
