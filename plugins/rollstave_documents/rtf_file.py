"""RTF documents (Rich Text Format 1.9.1), by striprtf. Pictures, objects and links stay out."""

from __future__ import annotations

import re

from rollstave import DocumentText
from rollstave_documents.bounds import check_text
from rollstave_documents.lines import Lines
from rollstave_documents.recognising import damaged

_WHAT = "RTF document"
_MOST_DEPTH = 10_000  # groups in each other; word processors write some dozen
_LARGEST = 20_000_000  # bytes, most of them pictures
# The library looks for links with a pattern whose time grows with the square of a line's length,
# and would put their addresses among the words: it is not shown any. For the same reason it gets a
# table of typefaces that says no more than their code pages.
_FIELD = re.compile(r"\\field(?![a-z])")
_FONT = re.compile(r"\\f(\d{1,5})(?!\d)[^;{}\n]{0,300}?\\fcharset(\d{1,3})(?!\d)")
_BRACE = re.compile(r"\\.|[{}]", re.DOTALL)


def read(data: bytes) -> DocumentText:
    """The text of a document. Raises TabError."""
    from striprtf.striprtf import rtf_to_text

    if len(data) > _LARGEST:
        raise damaged(
            f"this {_WHAT} has {len(data) / 1e6:.0f} MB, and one is read up to "
            f"{_LARGEST / 1e6:.0f} MB; take the pictures out of it",
            "too-large",
        )
    text = data.lstrip(b"\xef\xbb\xbf \t\r\n").decode("cp1252", "replace")
    _check(text)
    try:
        plain = rtf_to_text(_with_plain_fonts(_FIELD.sub(r"\\fieldx", text)), errors="replace")
    except Exception as error:  # of a damaged file, the library raises whatever it runs into
        raise damaged(f"this {_WHAT} is damaged: {type(error).__name__}: {error}") from error
    # Characters beyond the first 65,536 are written as two halves.
    plain = plain.encode("utf-16-le", "surrogatepass").decode("utf-16-le", "replace")
    lines = Lines()
    for number, line in enumerate(check_text(plain, _WHAT).split("\n"), start=1):
        lines.add(line.replace("\r", ""), f"line {number}")
    return lines.text(_WHAT)


def _check(text: str) -> None:
    """Raises TabError for a text that ends in the middle, or that would take the library long."""
    depth = 0
    for brace in _BRACE.finditer(text):
        depth += {"{": 1, "}": -1}.get(brace[0], 0)
        if depth == 0:
            return
        if depth > _MOST_DEPTH:
            raise damaged(f"this {_WHAT} has more than {_MOST_DEPTH:,} groups in each other")
    raise damaged(f"this {_WHAT} is damaged: it ends in the middle")


def _with_plain_fonts(text: str) -> str:
    """The text with a table of typefaces that names nothing but their code pages."""
    start = text.find("{\\fonttbl")
    if start < 0:
        return text.replace("\\fonttbl", "\\fonttblx")
    depth, end = 0, len(text)
    for brace in _BRACE.finditer(text, start):
        depth += {"{": 1, "}": -1}.get(brace[0], 0)
        if depth == 0:
            end = brace.end()
            break
    fonts = "".join(f"{{\\f{n}\\fcharset{c} x;}}" for n, c in _FONT.findall(text, start, end))
    return f"{text[:start]}{{\\fonttbl{fonts}}}{text[end:].replace('fonttbl', 'fonttblx')}"
