"""Note values as a line of letters has them."""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from rollstave.vocabulary.note_values import NOTE_VALUES

_LONGEST = 64  # quarter notes, of what is typed as a sum of note values
LENGTHS = {value.letter: value.length for value in NOTE_VALUES if value.letter}
_LETTERS = {length: letter for letter, length in LENGTHS.items()}


@lru_cache(maxsize=256)
def value_sign(duration: Fraction) -> str | None:
    """``q.`` for a dotted quarter, ``e3`` for a triplet eighth, ``h+e`` for a sum; None for what
    has no sign, or would need a long row of them."""
    if duration > _LONGEST:
        return None
    for value, letter in _LETTERS.items():
        for factor, dots in ((1, ""), (Fraction(3, 2), "."), (Fraction(7, 4), "..")):
            if duration == value * factor:
                return letter + dots
        if duration == value * Fraction(2, 3):
            return letter + "3"
    for factor, sign in ((1, ""), (Fraction(2, 3), "3")):
        for value, letter in _LETTERS.items():
            if value * factor < duration:
                rest = value_sign(duration - value * factor)
                if rest:
                    return f"{letter}{sign}+{rest}"
                break
    return None
