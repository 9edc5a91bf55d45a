"""Word documents. The text of the body, with boxes and tables; what was deleted, comments, headers
and footers stay out, and so does everything that a link leads to.

Elements are those of Office Open XML (ECMA-376, part 1, 17), found in the tree that python-docx
reads: its own paragraphs leave out insertions under review and text boxes.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from typing import Any

from rollstave import DocumentText, TabError
from rollstave_documents.bounds import check_package
from rollstave_documents.lines import Lines
from rollstave_documents.recognising import damaged

_WHAT = "Word document"
_W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
_SIGNS = {
    f"{_W}tab": "\t",
    f"{_W}br": "\n",
    f"{_W}cr": "\n",
    f"{_W}noBreakHyphen": "-",
    f"{_W}softHyphen": "",
}
# Deleted or moved away under review, instructions of fields, and the second version of what an
# older program cannot draw.
_LEFT_OUT = {
    f"{_W}del",
    f"{_W}moveFrom",
    f"{_W}instrText",
    f"{_W}pPr",
    f"{_W}rPr",
    "{http://schemas.openxmlformats.org/markup-compatibility/2006}Fallback",
}
_BOX = f"{_W}txbxContent"


def read(data: bytes) -> DocumentText:
    """The text of a document. Raises TabError."""
    check_package(data, _WHAT, r"(?:word|_rels|docProps)/.*|.*\.(?:xml|rels)")
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
    from docx.oxml import parse_xml
    from docx.package import Package

    part = Package.open(io.BytesIO(data)).main_document_part
    # That of a document with macros is of a class that does not know its own XML.
    root: Any = part.element if hasattr(part, "element") else parse_xml(part.blob)
    body = root.find(f"{_W}body")
    if body is None:
        raise ValueError("it has no body")
    return body


class _Walk:
    """Goes through the body once and counts its paragraphs, empty ones too."""

    def __init__(self, lines: Lines) -> None:
        self._lines = lines
        self._count = 0

    def block(self, parent: Any) -> None:
        for child in parent:
            if child.tag == f"{_W}tbl":
                self._table(child)
            elif child.tag == f"{_W}p":
                for text, place in self._paragraph(child):
                    self._lines.add(text, place)
            elif child.tag not in _LEFT_OUT:
                self.block(child)

    def _table(self, table: Any) -> None:
        for row in table.iter(f"{_W}tr"):
            if next(row.iterancestors(f"{_W}tbl")) is not table:
                continue  # of a table in a cell, whose paragraphs come with that cell
            cells = [cell for cell in row.iter(f"{_W}tc") if self._of_row(cell, row)]
            self._lines.row(
                [
                    [
                        line
                        for p in cell.iter(f"{_W}p")
                        if self._stands(p)
                        for line in self._paragraph(p)
                    ]
                    for cell in cells
                ]
            )

    @staticmethod
    def _of_row(cell: Any, row: Any) -> bool:
        return next(cell.iterancestors(f"{_W}tr")) is row

    @staticmethod
    def _stands(paragraph: Any) -> bool:
        """True unless the paragraph is in a box, which comes after its own paragraph."""
        return next(paragraph.iterancestors(_BOX), None) is None

    def _paragraph(self, paragraph: Any) -> Iterator[tuple[str, str]]:
        """A paragraph, and those of the boxes that hang on it."""
        self._count += 1
        boxes: list[Any] = []
        yield "".join(_text(paragraph, boxes)), f"paragraph {self._count}"
        for box in boxes:
            for inner in box.iterchildren(f"{_W}p"):
                yield from self._paragraph(inner)


def _text(element: Any, boxes: list[Any]) -> Iterator[str]:
    """The characters of a paragraph. Boxes in it are put on the list."""
    for child in element:
        if child.tag == f"{_W}t":
            yield child.text or ""
        elif child.tag in _SIGNS:
            yield _SIGNS[child.tag]
        elif child.tag == _BOX:
            boxes.append(child)
        elif child.tag not in _LEFT_OUT:
            yield from _text(child, boxes)
