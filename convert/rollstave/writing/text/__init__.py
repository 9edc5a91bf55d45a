"""Clean, aligned tab as text: ``write_text`` is the way in, ``typing_of``
tells too what is read otherwise."""

from rollstave.writing.text.document import typing_of, write_text

__all__ = ["typing_of", "write_text"]
