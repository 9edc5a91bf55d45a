"""Clean, aligned tab as text: ``write_text`` is the one way in."""

from rollstave.writing.text.document import write_text

__all__ = ["write_text"]
