"""The striking hand, as data: its fingers, which way it strikes, and what legends call either.

``HAND_WORDS`` are the hands that ``--hand`` takes: the word that is typed, and the name in
``deciding.hands``. Common practice where no source is named.
"""

from __future__ import annotations

from msgspec import Struct


class FingerRow(Struct, frozen=True):
    """A finger of the striking hand: its letter in the score and under the tab of a banjo, its
    letter under that of a guitar (from the Spanish names: pulgar, indice, medio, anular), what it
    is called, and whether a banjo's fixed hand plays with it."""

    letter: str
    guitar: str
    words: str
    fixed_hand: bool = True


FINGERS = (
    FingerRow("T", "p", "thumb"),
    FingerRow("I", "i", "index finger"),
    FingerRow("M", "m", "middle finger"),
    FingerRow("A", "a", "ring finger", fixed_hand=False),
    FingerRow("C", "c", "little finger", fixed_hand=False),
)


class StrokeRow(Struct, frozen=True):
    """A way in which a hand or a pick strikes: its name, the field of an event that keeps it, the
    sign that stands for it on a line of nothing else, such a sign that also says that several
    strings are brushed, the letter that is typed, and the words of a legend."""

    name: str
    field: str
    sign: str
    arrow: str
    letter: str
    words: str


STROKES = (
    StrokeRow(
        name="down-stroke",
        field="down_stroke",
        sign="\u2293",
        arrow="\u21d3",
        letter="D",
        words="down",
    ),
    StrokeRow(
        name="up-stroke",
        field="up_stroke",
        sign="\u2228",
        arrow="\u21d1",
        letter="U",
        words="up",
    ),
)
STROKE_LETTERS = {sign: row.letter for row in STROKES for sign in (row.sign, row.arrow)}
# The pairs in which they are typed without a legend, down and up. Arrows are brushes, too, where
# several strings are struck.
STROKE_PAIRS = (
    *(
        ("D", "U"),
        ("d", "u"),
        ("\u2193", "\u2191"),
        ("v", "^"),
        ("n", "v"),
        ("n", "V"),
        ("\u2293", "V"),
    ),
    *(("\u2293", "v"), ("\u2293", "\u2228"), ("down", "up"), ("Down", "Up"), ("dn", "up")),
)
STROKE_ARROWS = "\u2193\u2191v^"

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
