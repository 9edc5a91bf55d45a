"""Names of rolls by the fingers that play them.

``ROLLS`` is the table of finger orders: common practice, from memory. The fixed hand (common
practice) gives a finger to each string: thumb 5, 4, 3, index 2, middle 1.
"""

from __future__ import annotations

from collections.abc import Sequence

ROLLS: dict[str, str] = {
    "TIMTIMTM": "forward roll",
    "MITMITMT": "backward roll",
    "TIMTMITM": "forward-reverse roll",
    "TITMTITM": "alternating thumb roll",
    "TITIMITI": "paired pattern",
    "TIMTIM": "forward roll in three",
    "MITMIT": "backward roll in three",
}
_FINGERS = {1: "M", 2: "I", 3: "T", 4: "T", 5: "T"}


def fingers(strings: Sequence[int]) -> str:
    """The fingers of single strings under a fixed hand, one letter each."""
    return "".join(_FINGERS.get(string, "T") for string in strings)


def roll_name(strings: Sequence[int], kinds: str) -> str | None:
    """The name of the roll that single, picked notes make, or None."""
    if any(kind in "lpb" for kind in kinds):
        return None
    return ROLLS.get(fingers(strings))
