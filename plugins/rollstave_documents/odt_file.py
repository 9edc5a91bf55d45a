"""OpenDocument texts. The text of the body, with boxes and tables; notes, what was deleted under
review, headers and footers stay out.

Elements are those of OpenDocument 1.3, part 3 (5, "Text Content"; 6.1.2 to 6.1.5, white space), in
the tree that odfpy reads.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any

from rollstave import DocumentText, TabError
from rollstave_documents.bounds import MOST_TEXT, check_package
from rollstave_documents.lines import Lines
from rollstave_documents.recognising import damaged

_WHAT = "OpenDocument text"
_PARAGRAPHS = {"p", "h"}
_LEFT_OUT = {"tracked-changes", "note", "annotation", "annotation-end", "ruby-text", "forms"}


def read(data: bytes) -> DocumentText:
    """The text of a document. Raises TabError."""
    check_package(data, _WHAT, r"[^/]*\.xml|META-INF/.*")
    try:
        body = _body(data)
        lines = Lines()
        _Walk(lines).block(body)
    except TabError:
        raise
    except Exception as error:  # of a damaged file, the library raises whatever it runs into
        raise damaged(f"this {_WHAT} is damaged: {type(error).__name__}: {error}") from error
    return lines.text(_WHAT)


def _body(data: bytes) -> Any:
    from odf.opendocument import load

    document = load(io.BytesIO(data))
    text = getattr(document, "text", None)
    if text is None or not text.childNodes:
        raise damaged(f"this {_WHAT} cannot be read: it is locked with a password, or empty")
    return text


def _name(node: Any) -> str:
    """The local name of an element; "" for characters."""
    return str(node.qname[1]) if hasattr(node, "qname") else ""


class _Walk:
    """Goes through the body once and counts its paragraphs, empty ones too."""

    def __init__(self, lines: Lines) -> None:
        self._lines = lines
        self._count = 0
        self._blanks = 0

    def block(self, parent: Any) -> None:
        for child in parent.childNodes:
            name = _name(child)
            if name == "table-row":
                cells = [c for c in child.childNodes if _name(c) in ("table-cell",)]
                self._lines.row([list(self._paragraphs(cell)) for cell in cells])
            elif name in _PARAGRAPHS:
                for text, place in self._paragraph(child):
                    self._lines.add(text, place)
            elif name and name not in _LEFT_OUT:
                self.block(child)

    def _paragraphs(self, parent: Any) -> Iterator[tuple[str, str]]:
        for child in parent.childNodes:
            if _name(child) in _PARAGRAPHS:
                yield from self._paragraph(child)
            elif _name(child) and _name(child) not in _LEFT_OUT:
                yield from self._paragraphs(child)

    def _paragraph(self, paragraph: Any) -> Iterator[tuple[str, str]]:
        """A paragraph, and those of the boxes that hang on it."""
        self._count += 1
        boxes: list[Any] = []
        text = _collapsed(list(self._pieces(paragraph, boxes)))
        yield text, f"paragraph {self._count}"
        for box in boxes:
            yield from self._paragraphs(box)

    def _pieces(self, element: Any, boxes: list[Any]) -> Iterator[tuple[str, bool]]:
        """The characters of a paragraph: as they stand in the file, or, with True, meant so."""
        for child in element.childNodes:
            name = _name(child)
            if not name:
                yield str(child.data), False
            elif name == "s":
                yield " " * self._blanks_of(child), True
            elif name in ("tab", "line-break"):
                yield "\t" if name == "tab" else "\n", True
            elif name == "text-box":
                boxes.append(child)
            elif name not in _LEFT_OUT:
                yield from self._pieces(child, boxes)

    def _blanks_of(self, space: Any) -> int:
        """How many blanks ``text:s`` stands for. Raises TabError if all of them are too many."""
        count = max(1, int(space.getAttribute("c") or 1))
        self._blanks += count
        if self._blanks > MOST_TEXT:
            raise damaged(f"this {_WHAT} has more than {MOST_TEXT:,} blanks", "too-large")
        return count


def _collapsed(pieces: list[tuple[str, bool]]) -> str:
    """White space as OpenDocument has it (6.1.2): blanks of the file count as one, and none at the
    start of a paragraph."""
    out: list[str] = []
    after_blank = True
    for piece, meant in pieces:
        if meant:
            out.append(piece)
            after_blank = False
            continue
        for char in piece:
            blank = char in " \t\r\n"
            if not (blank and after_blank):
                out.append(" " if blank else char)
            after_blank = blank
    return "".join(out)
