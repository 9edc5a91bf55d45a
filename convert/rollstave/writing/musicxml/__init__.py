"""MusicXML 4.0 for exchange: one part of two staves, notation and tab."""

from rollstave.writing.musicxml.document import write_musicxml

__all__ = ["write_musicxml"]
