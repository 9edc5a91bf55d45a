"""Ways of picking, as data: what each finger of the picking hand takes, and at what cost.

``HANDS`` is the table. Rules, common practice, no source: three-finger playing on a fixed hand
has the thumb on strings 5, 4 and 3, index on 2, middle on 1; in bluegrass style the thumb also
takes string 2 and the index string 3; two-finger playing has thumb and index only; down-picking
strikes with the nail of the index finger and takes string 5 with the thumb. No finger plays two
eighth notes in a row at speed if another can take one, and none two sixteenths. The numbers are
ours: only their order matters, and 1 is about what it costs to move a finger to the next string.
"""

from __future__ import annotations

import re

from msgspec import Struct

from rollstave.score.records import Finger

T, I, M = Finger.THUMB, Finger.INDEX, Finger.MIDDLE  # noqa: E741

_FAR = 30.0  # a finger that can reach a string, but never does by choice
# The fifth string is the thumb's; where a sixteenth note before it was, too, the index finger's.
_SHORT = 200.0
_NOT = 2500.0


class Hand(Struct, frozen=True):
    """A way of picking.

    ``costs`` has for each finger the cost of each string from string 1; a finger that is not in
    it is not used. ``repeat`` is the cost of the same finger twice within an eighth note,
    ``cross`` of a finger on a string nearer to string 1 than the finger after it was just now.
    ``brush`` is the finger that strikes several strings in one go; ``brushes`` says that several
    strings at once are always struck so.
    """

    name: str
    costs: dict[Finger, tuple[float, ...]]
    repeat: float
    cross: float = 1.0
    brush: Finger = Finger.THUMB
    brushes: bool = False

    def __hash__(self) -> int:
        return hash(self.name)  # a dict has none

    def cost(self, finger: Finger, string: int) -> float:
        """What it costs to strike a string with a finger."""
        row = self.costs[finger]
        return row[min(string, len(row)) - 1]

    def finger(self, string: int) -> Finger:
        """The finger that a string belongs to, whatever comes before or after."""
        return min(self.costs, key=lambda finger: self.cost(finger, string))


FIXED_HAND = Hand(
    "fixed hand",
    {T: (_FAR, 3.0, 0.0, 0.0, 0.0), I: (2.0, 0.0, 2.0, 4.0, _SHORT), M: (0.0, 2.5, 4.0, 6.0, _NOT)},
    repeat=4.2,
    cross=5.0,
)
BLUEGRASS = Hand(
    "bluegrass",
    {T: (6.0, 0.6, 0.0, 0.0, 0.0), I: (1.5, 0.0, 0.6, 2.0, _SHORT), M: (0.0, 1.5, 4.0, 6.0, _NOT)},
    repeat=6.5,
)
TWO_FINGER = Hand(
    "two-finger",
    {T: (4.0, 0.8, 0.0, 0.0, 0.0), I: (0.0, 0.2, 1.0, 3.0, _SHORT)},
    repeat=4.5,
)
DOWN_PICKING = Hand(
    "down-picking",
    {I: (0.0, 0.0, 0.0, 0.0, 6.0), T: (8.0, 4.0, 4.0, 4.0, 0.0)},
    repeat=0.0,
    cross=0.0,
    brush=I,
    brushes=True,
)
HANDS = {hand.name: hand for hand in (FIXED_HAND, BLUEGRASS, TWO_FINGER, DOWN_PICKING)}
_WORDS = (
    (re.compile(r"down|claw|frail|rap|knock", re.IGNORECASE), DOWN_PICKING),
    (re.compile(r"two.?finger|2.?finger", re.IGNORECASE), TWO_FINGER),
    (re.compile(r"blue ?grass", re.IGNORECASE), BLUEGRASS),
)


def hand_of(style: str) -> Hand:
    """The hand that a style heading means; the fixed hand if it says nothing of it."""
    return next((hand for words, hand in _WORDS if words.search(style)), FIXED_HAND)
