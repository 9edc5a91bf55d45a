"""Telling a MusicXML file from a tab by its first bytes."""

from __future__ import annotations

# A document type may be long before the root comes; it names the root.
_ROOTS = ("<score-partwise", "<score-timewise", "DOCTYPE score-partwise", "DOCTYPE score-timewise")


def is_musicxml(data: bytes) -> bool:
    """True if the bytes begin as a MusicXML file does, plain or compressed (a zip archive)."""
    if data.startswith(b"PK\x03\x04"):
        return b"META-INF/container.xml" in data or b".musicxml" in data[:4096]
    start = data[:16000]
    if start.startswith((b"\xff\xfe", b"\xfe\xff")):
        text = start.decode("utf-16", "ignore")
    else:
        text = start.decode("utf-8", "ignore")
    text = text.lstrip("\ufeff \t\r\n")
    return text.startswith(("<?xml", "<!DOCTYPE", *_ROOTS)) and any(r in text for r in _ROOTS)
