"""Right-hand patterns as data: one entry for each note of a pattern, all notes even.

T, I and M are thumb, index and middle finger (common practice). The finger orders of the
eight-note rolls are common practice, quoted from memory; the six-note ones follow from them by
the same hand. Strings are those of a fixed hand: I takes string 2, M string 1, T strings 3, 4
and 5. ``t`` stands for a thumb note that carries the melody: string 3 or 4 as the tune goes.
"""

from __future__ import annotations

# Name: (fingers, strings). "t" in strings: the melody string of the moment, 3 or 4;
# "o": the other one of the two.
EIGHT: dict[str, tuple[str, str]] = {
    "forward": ("TIMTIMTM", "t21521o1"),
    "forward, thumb on string 5": ("TIMTIMTM", "t2152151"),
    "backward": ("MITMITMT", "12512515"),
    "backward, to the melody": ("MITMITMT", "12512t15"),
    "forward-reverse": ("TIMTMITM", "t21512t1"),
    "alternating thumb": ("TITMTITM", "t251o251"),
    "paired, from string 4": ("TITIMITI", "42521232"),
    "paired, from string 3": ("TITIMITI", "32521242"),
}
SIX: dict[str, tuple[str, str]] = {
    "forward": ("TIMTIM", "t21521"),
    "backward": ("MITMIT", "12512t"),
    "forward-reverse": ("TIMTMI", "t21512"),
    "alternating thumb": ("TITMTI", "t251o2"),
}
# Down-picking: (slots, what): a nail stroke on the melody string, a brush over strings 1 to 3
# or a single upper string, and the thumb on string 5. Common practice.
DOWN_PICKING_EIGHT: tuple[tuple[int, str], ...] = (
    (2, "t"), (1, "b"), (1, "5"), (2, "o"), (1, "b"), (1, "5"),
)  # fmt: skip
DOWN_PICKING_SIX: tuple[tuple[int, str], ...] = (
    (2, "t"), (1, "b"), (1, "5"), (1, "b"), (1, "5"),
)  # fmt: skip
