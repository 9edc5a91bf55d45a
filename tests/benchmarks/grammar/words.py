"""Words shared by the tables: pitch letters, invented people, titles, sentences."""

from __future__ import annotations

import re
from random import Random

FIRST = (
    "Larkspur",
    "Ferry",
    "Heron",
    "Willow",
    "Lantern",
    "Kettle",
    "Jetty",
    "Tollhouse",
    "Marsh",
    "Osier",
    "Pepperpot",
    "Thimble",
    "Gatepost",
    "Cowslip",
    "Rowlock",
    "Candle",
)
SECOND = (
    "Hop",
    "Waltz",
    "Lane",
    "Landing",
    "Morning",
    "Reel",
    "Jig",
    "Stroll",
    "Fancy",
    "March",
    "at the Mill",
    "over the Water",
    "on the Step",
    "in the Reeds",
    "for Supper",
    "Lullaby",
)
PEOPLE = (
    "Orla Finch",
    "Wick Tansley",
    "Maud Pellow",
    "Jory Quill",
    "Hesper Lamb",
    "Ned Oxlip",
    "Tibby Crane",
    "Amos Sedge",
)


def letters(written: str) -> list[str]:
    """The pitch letters of a written tuning, with their accidentals."""
    return re.findall(r"[A-Ga-g][#b]?(?![b#])", written)


def section_of(heading: str) -> str:
    """The section that a part's heading names, without the signs around it."""
    name = heading.strip("[]-*#|: ")
    if re.fullmatch(r"\(\w+\)|== .* ==|\w\.", name):
        return name.strip("()=. ")
    return name


def title(random: Random) -> str:
    return f"{random.choice(FIRST)} {random.choice(SECOND)}"


def with_signs(text: str) -> str:
    """Pitch letters with the signs of printed music."""
    return re.sub(r"(?<=[A-Ga-g])b", "\u266d", text.replace("#", "\u266f"))
