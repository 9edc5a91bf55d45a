"""A songbook as one PDF; ``document.py`` puts it together."""

from rollstave.writing.book.document import write_book
from rollstave.writing.book.plan import BookPlan

__all__ = ["BookPlan", "write_book"]
