"""Which tunes may be tried things on, and which are reported on."""

from __future__ import annotations


def is_for_tuning(number: int) -> bool:
    """True if solvers and weights may be fitted to the tune of this number (counted from 0).

    Numbers that are multiples of 5, 0 among them, are for reports only. Corpus tunes and roll
    tunes follow the same rule, each by their own numbers.
    """
    return number % 5 != 0
