"""Telling a MusicXML file from a tab by its first bytes."""

from __future__ import annotations


def is_musicxml(data: bytes) -> bool:
    """True if the bytes begin as a MusicXML file does."""
    start = data[:64].lstrip(b"\xef\xbb\xbf \t\r\n")
    opens = start.startswith((b"<?xml", b"<!DOCTYPE", b"<score-partwise"))
    return opens and b"<score-partwise" in data[:8000]
