"""What a typed syllable says: its text, and whether its word goes on."""

from __future__ import annotations


def syllable_of(lyric: str) -> tuple[str, bool]:
    """The text of a syllable, and True if a hyphen behind it says that its word goes on. A hyphen
    alone is text."""
    if lyric.endswith("-") and len(lyric) > 1:
        return lyric[:-1], True
    return lyric, False
