"""The hands that ``--hand`` takes: the word that is typed, and the name in ``deciding.hands``."""

from __future__ import annotations

# A test keeps them together with the table of hands.
HAND_WORDS = {
    "fixed-hand": "fixed hand",
    "bluegrass": "bluegrass",
    "two-finger": "two-finger",
    "down-picking": "down-picking",
}
