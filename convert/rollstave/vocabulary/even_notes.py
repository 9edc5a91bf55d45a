"""How people say that all notes of a tune last as long as each other: ``every note is a quarter``.

Patterns are regular expressions over small letters without accents, whose group ``note`` is the
value. Common practice, no source.
"""

from __future__ import annotations

from rollstave.vocabulary.spoken_values import NOTE_WORDS

_NOTE = "|".join(sorted(NOTE_WORDS, key=len, reverse=True))
_BEATS = "beats?|counts?|pulses?|schlag|temps|tiempo|tel|battito|slag"  # a quarter note each
# Behind it no part of something else ("half a step"), and no place where only it holds.
_ENDS = (
    r"\b(?!\s+(?:a|an|of|steps?|tones?|beats?|counts?|as|the|bars?|measures?|in|for|on|at|until"
    r"|till|from)\b)"
)
_VALUE = (
    rf"(?P<note>half\s+a\s+beat|{_NOTE}|1/4|1/8|1/16|{_BEATS})s?(?:[- ]?(?:notes?|noten?))?{_ENDS}"
)
_ONE = r"(?:(?:as|for|exactly|just|only|all|an?|one|1|ein(?:e|en)?|une?|una|des|un|een)\s+){0,3}"
_WHAT = r"(?:notes?|numbers?|figures?|digits?|frets?|pick|stroke|pluck)"

# What stands in every text that one of the patterns finds.
EVEN_CUES = ("note", "number", "figure", "digit", "fret", "pick", "stroke", "pluck", "zahl", "noot")
EVEN_NOTES: tuple[str, ...] = (
    rf"\b(?:every|each|all)(?:\s+(?:single|of|the|one|these|my))*\s+{_WHAT}(?:\s+(?:here|you\s+see"
    r"|in\s+(?:it|this|the\s+tune)))?\s*(?:(?:is|are|=|equals?|lasts?|gets?|counts?|means?|has|have"
    rf"|stands?\s+for|takes?|worth|played)\s+){{1,2}}{_ONE}{_VALUE}",
    rf"\b{_WHAT}\s+are\s+all\s+{_ONE}{_VALUE}",
    rf"\b(?:nothing\s+but|all\s+in|only)\s+(?P<note>{_NOTE})(?:[- ]?notes){_ENDS}",
    rf"\b(?P<note>{_NOTE})[- ]?notes\s+(?:throughout|only|all\s+(?:the\s+way|through)){_ENDS}",
    rf"\b(?:jede|alle)\s+(?:note|noten|zahl|zahlen)\s+(?:ist|sind|=|zahlt|zahlen)\s+{_ONE}{_VALUE}",
    rf"\b(?:chaque\s+note|toutes\s+les\s+notes)\s+(?:est|sont|vaut|valent)\s+{_ONE}{_VALUE}",
    rf"\b(?:elke\s+noot|alle\s+noten)\s+(?:is|zijn)\s+{_ONE}{_VALUE}",
)
# What takes it back, where it stands before.
NOT_ALL = (
    r"\b(?:almost|nearly|not|mostly|hardly|nicht|presque|most|fast|unless|until|if)\s+(?:\w+\s+)?$"
)
