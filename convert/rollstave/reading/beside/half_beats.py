"""What people count the second half of a beat by: ``&`` in most tabs, and any one sign in others.

Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

_SIGNS = "/x*'uy^,o."
_BETWEEN = (0.4, 0.66)  # of the way from a beat to the next, where its second half is counted
_LONGEST = 3  # letters of a word for it: "a", "an", "und"
_FEWEST_NUMBERS = 3
_WORD = re.compile(r"\S+")
Words = Sequence[tuple[str, int]]  # each with the column where it begins


def with_ands(text: str, known: re.Pattern[str]) -> str:
    """A line of counts with ``&`` for the one sign that stands between its beats.

    A word of letters is that only half the way from number to number. One that is a part of the
    beat by itself (``known``), as the ``a`` of ``1 a 2 a``, stays: all of the tune tells.
    """
    words = [(match[0], match.start()) for match in _WORD.finditer(text)]
    others = {word for word, _ in words if not word.isdecimal()}
    numbers = sum(word.isdecimal() for word, _ in words)
    if len(others) != 1 or numbers < _FEWEST_NUMBERS or "1" not in [word for word, _ in words[:2]]:
        return text
    (sign,) = others
    if known.fullmatch(sign):
        return text
    letters = sign.isalpha() and len(sign) <= _LONGEST
    if sign not in _SIGNS and not (letters and _half_way(words)):
        return text
    return re.sub(rf"(?<!\S){re.escape(sign)}(?!\S)", "&".ljust(len(sign)), text)


_NAME = re.compile(r"\b(?!lali|tili)(?:l[ia]|ti)[a-z]{2,}", re.IGNORECASE)


def are_none(text: str) -> bool:
    """True for what could all be counted and is none: the sign of a coda, ``Line 1``."""
    return text.strip() == "(+)" or _NAME.search(text) is not None


def _half_way(words: Words) -> bool:
    """True if what stands between two numbers in a row stands in their middle, on the whole."""
    shares = [
        (at - before_at) / (after_at - before_at)
        for (before, before_at), (sign, at), (after, after_at) in zip(
            words, words[1:], words[2:], strict=False
        )
        if before.isdecimal()
        and after.isdecimal()
        and not sign.isdecimal()
        and int(after) == int(before) + 1
    ]
    middle = sum(shares) / len(shares) if shares else 0.0
    return _BETWEEN[0] <= middle <= _BETWEEN[1]
