"""Which finger of the picking hand strikes which string.

``HANDS`` is the table. Common practice, no source: three-finger playing on a fixed hand has the
thumb on strings 5, 4 and 3, index on 2, middle on 1; down-picking strikes with the nail of the
index finger and takes string 5 with the thumb.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from rollstave.score.model import Finger

T, I, M = Finger.THUMB, Finger.INDEX, Finger.MIDDLE  # noqa: E741


@dataclass(frozen=True, slots=True)
class Hand:
    """A way of picking: its name, the finger of each string from string 1, and whether several
    strings struck at once are a brush of one finger."""

    name: str
    fingers: tuple[Finger, ...]
    brushes: bool = False

    def finger(self, string: int) -> Finger:
        return self.fingers[min(string, len(self.fingers)) - 1]


FIXED_HAND = Hand("fixed hand", (M, I, T, T, T))
DOWN_PICKING = Hand("down-picking", (I, I, I, I, T), brushes=True)
_WORDS = ((re.compile(r"down|claw|frail|rap|knock", re.IGNORECASE), DOWN_PICKING),)


def hand_of(style: str) -> Hand:
    """The hand that a style heading means; the fixed hand if it says nothing of it."""
    return next((hand for words, hand in _WORDS if words.search(style)), FIXED_HAND)
