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


# What a time is called without figures; "cut time" and "waltz time" as well as "cut".
_CALLED: dict[str, tuple[int, int, str]] = {
    **dict.fromkeys(("cut", "c|", "|c", "¢", "alla breve"), (2, 2, "cut")),
    **dict.fromkeys(("common", "c"), (4, 4, "common")),
    "waltz": (3, 4, ""),
}
_SPELLED = {"two": 2, "three": 3, "four": 4, "six": 6, "eight": 8, "nine": 9, "twelve": 12}
_UNITS = (1, 2, 4, 8, 16, 32)


def parse_meter(text: str) -> Meter | None:
    """Read ``4/4``, ``cut time``, ``C|``, ``common time``; None if it is no meter.

    More words may stand around figures (``jig, 6/8``), in brackets behind a name (``cut (2/2)``).
    """
    words = text.strip().lower().rstrip(".")
    match = re.search(r"(?<![\d/])(\d{1,2})\s*/\s*(\d{1,2})(?![\d/])", words)
    match = match or re.fullmatch(r"(\d{1,2})[-:](\d{1,2})(?: time)?", words)
    name = re.sub(r"[-\s]+", " ", words.partition("(")[0].partition(",")[0]).strip()
    called = _CALLED.get(name.removesuffix(" time"))
    if match is None and called is None:
        parts = name.removesuffix(" time").split()
        numbers = [_SPELLED[part] for part in parts if part in _SPELLED]
        if len(parts) != 2 or len(numbers) != 2:
            return None
        count, unit = numbers
    elif match is not None:
        count, unit = int(match[1]), int(match[2])
    if called is not None and (match is None or (count, unit) == called[:2]):
        return Meter(*called)
    return Meter(count, unit) if unit in _UNITS and 1 <= count <= 32 else None
