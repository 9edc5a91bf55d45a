"""Collecting the lines of a document, each with the words for where it is."""

from __future__ import annotations

from collections.abc import Sequence

from rollstave import DocumentText
from rollstave_documents.bounds import check_text


class Lines:
    """Lines in the order in which they are read, and their places."""

    def __init__(self) -> None:
        self._texts: list[str] = []
        self._places: list[str] = []

    def add(self, text: str, place: str = "") -> None:
        """A line, or several that break within one paragraph: these are counted in it."""
        parts = text.split("\n")
        for number, part in enumerate(parts, start=1):
            within = f", line {number}" if len(parts) > 1 and place else ""
            self._texts.append(part.rstrip())
            self._places.append(place + within)

    def row(self, cells: Sequence[Sequence[tuple[str, str]]]) -> None:
        """A row of a table: cells of a line each are one line, others come one after another."""
        if all(len(cell) == 1 and "\n" not in cell[0][0] for cell in cells) and cells:
            self.add("  ".join(cell[0][0] for cell in cells), cells[0][0][1])
            return
        for cell in cells:
            for text, place in cell:
                self.add(text, place)

    def gap(self) -> None:
        """An empty line, unless the last one is empty."""
        if self._texts and self._texts[-1]:
            self.add("")

    def text(self, what: str, title: str = "") -> DocumentText:
        """All of it. Raises TabError if that is too long."""
        whole = check_text("\n".join(self._texts), what)
        return DocumentText(text=whole + "\n", places=tuple(self._places), title=title)
