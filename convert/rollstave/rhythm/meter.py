"""The meter: a time signature, what is known of it beforehand, and its name in words.

Lengths are in quarter notes.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction

from msgspec import Struct


class Meter(Struct, frozen=True):
    """A time signature; ``symbol`` is ``"cut"``, ``"common"`` or empty for figures."""

    count: int
    unit: int
    symbol: str = ""

    @property
    def length(self) -> Fraction:
        """A full measure in quarter notes."""
        return Fraction(4 * self.count, self.unit)

    @property
    def compound(self) -> bool:
        """True for 6/8, 9/8, 12/8: the beat is a dotted note."""
        return self.unit >= 8 and self.count % 3 == 0 and self.count > 3

    @property
    def beat(self) -> Fraction:
        """One beat in quarter notes: 1 in 4/4, 2 in 2/2, 3/2 in 6/8."""
        return Fraction(12, self.unit) if self.compound else Fraction(4, self.unit)

    def __str__(self) -> str:
        return f"{self.count}/{self.unit}"


class MeterPrior(Struct, frozen=True):
    """What is known of the meter before the notes are looked at: how many tunes of that sort are
    in which meter (by its name, ``"6/8"``), and in words what sort it is."""

    reason: str
    counts: Mapping[str, int]


def parse_meter(text: str) -> Meter | None:
    """Read ``4/4``, ``cut time``, ``C|``, ``common time``; None if it is no meter."""
    words = text.strip().lower()
    if words in ("cut", "cut time", "c|", "alla breve"):
        return Meter(2, 2, "cut")
    if words in ("common", "common time", "c"):
        return Meter(4, 4, "common")
    match = re.match(r"(\d{1,2})\s*/\s*(\d{1,2})(?!\d)", words)
    if match is None:
        return None
    count, unit = int(match[1]), int(match[2])
    if unit not in (1, 2, 4, 8, 16, 32) or not 1 <= count <= 32:
        return None
    return Meter(count, unit)
