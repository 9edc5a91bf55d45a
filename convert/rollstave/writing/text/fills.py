"""Words that look like a row of a tab which is typed without dashes."""

from __future__ import annotations

from rollstave.patterns import rare

_FILLS = "=_.~·•+:*,'^`"  # what people type for dashes
_WORD = rare(r"[^\W\d_]{3}")
_FEWEST = 3  # signs of a fill in a row


def looks_filled(text: str) -> bool:
    """True for words that may be a row of another fill than dashes: no word, and a sign again and
    again."""
    return not _WORD.search(text) and any(text.count(sign) >= _FEWEST for sign in _FILLS)
