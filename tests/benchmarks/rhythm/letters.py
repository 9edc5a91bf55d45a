"""A line of duration letters under a system, and the conventions it follows.

``w h q e s t`` are whole, half, quarter, eighth, sixteenth and thirty-second notes; one dot adds
a half, two add three quarters; ``3`` after the letter makes it a third of the next longer note
(``e3 e3 e3`` fill a quarter). A duration that no one letter says is a sum: ``h+e``.
The letter stands under its note column and says the time until the next onset in the measure or
its end, since tab does not show rests; a rest at the start of a measure has no letter.
"""

from __future__ import annotations

from fractions import Fraction

from .model import ArrangedMeasure

LETTERS = {
    "w": Fraction(4),
    "h": Fraction(2),
    "q": Fraction(1),
    "e": Fraction(1, 2),
    "s": Fraction(1, 4),
    "t": Fraction(1, 8),
}


def _spellings() -> dict[Fraction, str]:
    found: dict[Fraction, str] = {}
    for suffix, factor in (
        ("", Fraction(1)),
        (".", Fraction(3, 2)),
        ("3", Fraction(2, 3)),
        ("..", Fraction(7, 4)),
    ):
        for letter, value in LETTERS.items():
            found.setdefault(value * factor, letter + suffix)
    return found


SPELLINGS = _spellings()


def letter_label(duration: Fraction) -> str:
    """The letters of a duration, the longest part of a sum first."""
    if duration in SPELLINGS:
        return SPELLINGS[duration]
    for first in sorted(SPELLINGS, reverse=True):
        if first < duration and duration - first in SPELLINGS:
            return f"{SPELLINGS[first]}+{SPELLINGS[duration - first]}"
    longest = max(v for v in SPELLINGS if v < duration)
    return f"{SPELLINGS[longest]}+{letter_label(duration - longest)}"


def letter_labels(measure: ArrangedMeasure) -> list[str]:
    """Letters for each event of a measure."""
    return [letter_label(e.duration) for e in measure.events]
