"""Lines that say how long a voice holds its notes: ``V2 h q q``."""

from __future__ import annotations

import re

from rollstave.patterns import rare

_VOICE = rare(r"\s*v(?:oice)?\s?(?P<number>[1-4])\s*:?\s+", re.IGNORECASE)
_HELD = r"[1-9]?[whqest](?:\.{0,2}|3)(?:\+[whqest](?:\.{0,2}|3))*"
_HELD_WORD = rare(rf"{_HELD}(?:,{_HELD})*", re.IGNORECASE)


def times_of_voice(text: str) -> list[tuple[str, int]] | None:
    """The words of such a line, each with the number of the voice before it, and where they start;
    None for any other line. A figure before a letter is the string: ``4h``."""
    text = text.replace("|", " ")
    label = _VOICE.match(text)
    if label is None:
        return None
    found = list(re.finditer(r"\S+", text[label.end() :]))
    if not found or not all(_HELD_WORD.fullmatch(word[0]) for word in found):
        return None
    return [(f"{label['number']}:{w[0].lower()}", w.start() + label.end()) for w in found]
