"""Counts that are typed as words: ``one-and-two-and-three-and-``, ``One and two and``.

Common practice, no source: a teacher counts aloud and types what is said over the notes.
"""

from __future__ import annotations

import re

from rollstave.patterns import rare

_NUMBERS = ("one", "two", "three", "four", "five", "six")
_SPOKEN = "|".join(_NUMBERS)
_LINE = rare(
    rf"[\s|.-]*one[\s|.,-]+(?:(?:{_SPOKEN}|and|&|e|a|ee|uh)[\s|.,-]*)+",
    re.IGNORECASE,
    cues=("one",),
)
_WORD = rare(rf"(?:{_SPOKEN})(?![a-z])|[.,-]", re.IGNORECASE, cues=(*_NUMBERS, ".", ",", "-"))
_FEWEST = 2  # different numbers of a line


def _figure(match: re.Match[str]) -> str:
    word = match[0].lower()
    return (str(_NUMBERS.index(word) + 1) if word in _NUMBERS else "").ljust(len(word))


def with_figures(text: str) -> str:
    """A line of counts with figures for its words, each in its column; other lines as they are."""
    if not _LINE.fullmatch(text):
        return text
    numbers = {w for w in re.findall(r"[a-z]+", text.lower()) if w in _NUMBERS}
    return _WORD.sub(_figure, text) if len(numbers) >= _FEWEST else text
