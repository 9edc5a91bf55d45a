"""Parts that are played more than once, and how often."""

from __future__ import annotations

import re
from collections.abc import Mapping

from msgspec import Struct

from rollstave.patterns import rare

_NUMBERS = {"twice": 2, "two": 2, "thrice": 3, "three": 3, "four": 4, "six": 6, "eight": 8}


# Which of several, by the words for it, from 1.
ORDINALS: Mapping[str, int] = {
    word: number
    for words in (
        "first second third fourth fifth sixth seventh eighth ninth tenth",
        "1st 2nd 3rd 4th",
    )
    for number, word in enumerate(words.split(), start=1)
}
MOST_NOTES = 400  # lines of words of a tune that are looked at: each may ask for all measures


_GOES_ON = rare(
    r"\b(?:go(?:es|ing)?|carry)\s+(?:on|straight)\b|\bcontinu",
    re.IGNORECASE,
    cues=("go", "carry", "continu"),
)


def goes_on(text: str) -> bool:
    """True for words that lead on: ``the second time go on here`` opens no ending where none was
    before."""
    return _GOES_ON.search(text) is not None


class Part(Struct, frozen=True):
    """A stretch of measures, from ``start`` to before ``end``, that is played ``times`` times."""

    start: int
    end: int
    times: int


def number_of(text: str) -> int:
    """How often words say: 2 for ``twice``, 3 for ``3 x``; 1 where they say nothing."""
    digits = re.search(r"\d+", text)
    if digits:
        return int(digits[0])
    return _NUMBERS.get(text.lower().split()[0], 1)
