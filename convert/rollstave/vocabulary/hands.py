"""The hands that ``--hand`` takes: the word that is typed, and the name in ``deciding.hands``."""

from __future__ import annotations

# A test keeps them together with the table of hands.
HAND_WORDS = {
    "fixed-hand": "fixed hand",
    "bluegrass": "bluegrass",
    "two-finger": "two-finger",
    "down-picking": "down-picking",
}
# What a legend calls that which a letter under the rows means: how its words begin, and how it is
# commonly typed. A brush is an arrow, and P among letters of fingers a pinch.
MEANT_BY_LETTERS = (
    (r"(?:(?:the|my|your|with)\s+)*thumb", "T"),
    (r"(?:(?:the|my|your|with)\s+)*(?:index|first\s+finger|pointer|forefinger)", "I"),
    (r"(?:(?:the|my|your|with)\s+)*(?:middle|second\s+finger|long\s+finger)", "M"),
    (r"(?:(?:the|my|your|with)\s+)*(?:finger(?:\s?nail)?|nail)\b", "I"),
    (r"(?:(?:the|a)\s+)*(?:brush|strum)", "v"),
    (r"(?:(?:the|a)\s+)*pinch", "P"),
)
