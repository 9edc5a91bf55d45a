"""What the letters of a line of durations last, in ticks, 24 to a quarter note."""

from __future__ import annotations

from fractions import Fraction

_LETTERS = {"w": 96, "h": 48, "q": 24, "e": 12, "s": 6, "t": 3}


def is_silent(text: str) -> bool:
    """True for the letter of a rest, which is typed in brackets: ``(q)``."""
    return text.startswith("(")


def letters_to_ticks(text: str) -> int | None:
    """Ticks of ``q.``, ``e3``, ``h+e``, and of a rest ``(q)``; None for anything else."""
    total = Fraction(0)
    for part in text.lower().strip("()").split("+"):
        if not part or part[0] not in _LETTERS:
            return None
        value = Fraction(_LETTERS[part[0]])
        rest = part[1:]
        if rest in (".", ".."):
            value *= Fraction(3, 2) if rest == "." else Fraction(7, 4)
        elif rest == "3":
            value *= Fraction(2, 3)
        elif rest:
            return None
        total += value
    return int(total) if total.denominator == 1 else None
