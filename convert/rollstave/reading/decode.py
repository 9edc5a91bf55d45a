"""Bytes to lines of text, with the typographer's characters put back to the typist's."""

from __future__ import annotations

import codecs
import unicodedata
from dataclasses import dataclass

from rollstave.problems import Place, Problem, Severity, TabError

TAB_WIDTH = 8
# One character for one character, so that columns stay where they are.
_PLAIN = str.maketrans(
    {
        **dict.fromkeys("‐‑‒–—―−─━╌┄┈⎯", "-"),
        **dict.fromkeys("│┃¦╎║❘｜┆", "|"),
        **dict.fromkeys("├┤┼┌┐└┘╟╢", "|"),
        **dict.fromkeys("\u00a0\u2007\u202f\u2009\u2002\u2003", " "),
        **dict.fromkeys("’‘′", "'"),
        **dict.fromkeys("“”″", '"'),
        "×": "x",
    }
)
_BYTE_ORDER_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the file: its number from 1, its text with tabs expanded, and as it was typed.

    ``columns`` maps an index of ``text`` to the typed column (from 0) where tabs moved it.
    """

    number: int
    text: str
    typed: str
    columns: tuple[int, ...] | None = None

    def place(self, index: int) -> Place:
        """The place in the file of ``text[index]``."""
        if self.columns is None:
            return Place(self.number, index + 1)
        if index < len(self.columns):
            return Place(self.number, self.columns[index] + 1)
        return Place(self.number, len(self.typed) + 1)

    @property
    def blank(self) -> bool:
        return not self.text.strip()


def decode(data: bytes) -> str:
    """Text of a file in UTF-8, UTF-16 with a mark, or else Windows-1252; raises TabError.

    A file with control characters that no text has is refused as binary.
    """
    for mark, encoding in _BYTE_ORDER_MARKS:
        if data.startswith(mark):
            try:
                return data[len(mark) :].decode(encoding)
            except UnicodeDecodeError:
                break
    if b"\0" in data or _share_of_controls(data) > 0.05:
        raise TabError(
            (
                Problem(
                    Severity.ERROR,
                    "binary",
                    "this is not a text file; save the tab as plain text and try again",
                    Place(1, 1),
                ),
            )
        )
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def _share_of_controls(data: bytes) -> float:
    sample = data[:4096]
    controls = sum(1 for byte in sample if byte < 32 and byte not in b"\t\n\r\f\x1a\x1b")
    return controls / len(sample) if sample else 0.0


def split_lines(text: str) -> list[Line]:
    """Lines with any line ending; tabs become spaces, look-alikes of dash and bar become plain."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    lines = []
    for number, typed in enumerate(text.split("\n"), start=1):
        plain = typed.translate(_PLAIN)
        if not plain.isascii():
            plain = "".join(" " if unicodedata.category(c) in ("Cc", "Cf") else c for c in plain)
        if "\t" in plain:
            expanded, columns = _expand(plain)
            lines.append(Line(number, expanded.rstrip(), typed, columns))
        else:
            lines.append(Line(number, plain.rstrip(), typed))
    return lines


def _expand(text: str) -> tuple[str, tuple[int, ...]]:
    out: list[str] = []
    columns: list[int] = []
    for index, char in enumerate(text):
        width = TAB_WIDTH - len(out) % TAB_WIDTH if char == "\t" else 1
        out.extend(" " * width if char == "\t" else char)
        columns.extend([index] * width)
    return "".join(out), tuple(columns)
