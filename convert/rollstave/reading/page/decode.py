"""Bytes to lines of text, with the typographer's characters put back to the typist's."""

from __future__ import annotations

import codecs
import re
import unicodedata

from msgspec import Struct
from msgspec.structs import replace

from rollstave.problems import Place, TabError
from rollstave.vocabulary import problems as kinds

TAB_WIDTH = 8
# More than a thousand tunes. What is larger is no tab, or a collection that is better divided:
# a file is read as a whole, with some hundred bytes of memory for each of its own.
LARGEST = 4_000_000  # bytes
# What is read in ten seconds and some hundred megabytes of memory, of each by itself.
MOST_LINES, MOST_BARS, MOST_NOTES = 40_000, 60_000, 60_000
MOST_WORDS, MOST_TABS = 100_000, 400_000  # a tab character is up to eight columns
MOST_DIGITS = 1_000  # of one number; Python reads 4,300
# Of one row between two bar lines: a measure is held in memory whole while it is written.
MOST_IN_A_CELL = 4_000
# And of all together: how much work one is, in some ten microseconds, and how much there may be.
# That is four hundred kilobytes of tab, about a hundred and sixty tunes; --largest of
# tests/benchmarks/growth_dimensions.py measures texts that are just let in.
_WORK = (("figures", 17), ("bar lines", 7), ("lines", 10), ("words", 7))
MOST_WORK = 900_000
MOST_TUNES = 1_000  # of one file
_LITTLE = MOST_WORK // 30  # characters that cannot be too much: none is more work than that
# One character for one character, so that columns stay where they are.
_PLAIN = str.maketrans(
    {
        **dict.fromkeys("‐‑‒–—―−─━╌╍┄┅┈┉═⎯﹣－¯\u00ad", "-"),
        **dict.fromkeys("│┃¦╎╏║‖∥❘｜┆┇┊┋▏∣ǀ", "|"),
        **dict.fromkeys("├┤┼┌┐└┘╟╢╠╣╔╗╚╝╬┬┴╫╪┣┫╋", "|"),
        **dict.fromkeys("\u00a0\u1680\u202f\u205f\u3000", " "),
        **dict.fromkeys(map(chr, range(0x2000, 0x200B)), " "),
        **dict.fromkeys("’‘′", "'"),
        **dict.fromkeys("“”″", '"'),
        "×": "x",
        "✕": "x",
        "⁄": "/",
        "＼": "\\",
        "∼": "~",
        "˜": "~",
        "～": "~",
    }
)
_FIGURES = "0123456789xX"
_BARS = ("|", *(chr(code) for code, plain in _PLAIN.items() if plain == "|"))
# Characters that no text file means and that XML 1.0 forbids (section 2.2), except tab.
_NO_TEXT = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\ufffe\uffff]")
_BYTE_ORDER_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)


def plain(text: str) -> str:
    """The typist's characters for the typographer's, one for one."""
    return _NO_TEXT.sub(" ", text).translate(_PLAIN)


class Line(Struct, frozen=True):
    """A line of the file: its number from 1, its text made plain, and as it was typed.

    ``columns`` maps an index of ``text`` to the typed column (from 0) where tabs, quote marks or
    markup moved it. A line that a mail program wrapped has its second segment in ``continued``,
    which begins at index ``break_at`` of ``text``.
    """

    number: int
    text: str
    typed: str
    columns: tuple[int, ...] | None = None
    continued: Line | None = None
    break_at: int = 0

    def place(self, index: int) -> Place:
        """The place in the file of ``text[index]``."""
        if self.continued is not None and index >= self.break_at:
            return self.continued.place(index - self.break_at)
        if self.columns is None:
            return Place(self.number, index + 1)
        if index < len(self.columns):
            return Place(self.number, self.columns[index] + 1)
        return Place(self.number, len(self.typed) + 1)

    @property
    def blank(self) -> bool:
        return not self.text.strip()

    @property
    def last_number(self) -> int:
        """The number of the last typed line that this line holds."""
        return self.continued.last_number if self.continued is not None else self.number

    def words(self, start: int, end: int) -> str:
        """``text[start:end]`` with the characters that were typed, where they only look alike."""
        if self.columns is None:
            return self.typed[start:end]
        plain_words = self.text[start:end]
        typed = "".join([self.typed[column] for column in self.columns[start:end]])
        if typed == plain_words:
            return typed
        return "".join(
            one if one.translate(_PLAIN) == plain else plain
            for one, plain in zip(typed, plain_words, strict=True)
        )

    def with_text(self, text: str) -> Line:
        """The same line with other characters in the same columns."""
        return replace(self, text=text)

    def without(self, start: int, end: int, instead: str = "") -> Line:
        """The line with a span taken out; every other character keeps its place in the file."""
        columns = self.columns or tuple(range(len(self.text)))
        at = columns[start] if start < len(columns) else len(self.typed)
        return replace(
            self,
            text=self.text[:start] + instead + self.text[end:],
            columns=(*columns[:start], *[at] * len(instead), *columns[end:]),
        )


class Encoding(Struct, frozen=True):
    """How the characters of a file are written as bytes: Python's name for it, and what stands
    before the first one."""

    name: str
    byte_order_mark: bytes = b""

    def encode(self, text: str) -> bytes:
        """Raises UnicodeEncodeError for a character that the encoding does not have."""
        return self.byte_order_mark + text.encode(self.name)


def decode(data: bytes) -> str:
    """Text of a file in UTF-8, UTF-16 with a byte order mark, else Windows-1252. Raises TabError.

    A file with control characters that no text has is refused as binary.
    """
    return decode_with(data)[0]


def refuse_large(size: int) -> None:
    """Raise TabError for a text of more than ``LARGEST`` bytes."""
    if size > LARGEST:
        message = (
            f"this file has {size / 1e6:.1f} MB, and a text is read up to {LARGEST / 1e6:.0f} MB; "
            "divide it into files of some tunes each"
        )
        raise TabError((kinds.TOO_LARGE.problem(message, Place(1, 1)),))


def refuse_long(text: str) -> None:
    """Raise TabError for a text with more lines, bar lines, frets or words than are read at once,
    each by itself or together."""
    counts = (
        ("lines", max(text.count("\n"), text.count("\r")), MOST_LINES),
        ("bar lines in its rows", sum(text.count(bar) for bar in _BARS), MOST_BARS),
        ("figures", sum(text.count(figure) for figure in _FIGURES), MOST_NOTES),
        ("tab characters", text.count("\t"), MOST_TABS),
        ("words", _words(text), MOST_WORDS),
        ("digits in one number", _digits(text), MOST_DIGITS),
    )
    for what, count, most in counts:
        if count > most:
            message = (
                f"this file has {count:,} {what}, and up to {most:,} are read at once; divide "
                "the file into several with some tunes each"
            )
            raise TabError((kinds.TOO_LARGE.problem(message, Place(1, 1)),))
    _refuse_long_measures(text)
    if len(text) > _LITTLE:
        _refuse_long_together(text)


def _refuse_long_measures(text: str) -> None:
    """The same for a row with more frets between two bar lines."""
    if len(text) <= MOST_IN_A_CELL:
        return
    for number, line in enumerate(text.splitlines(), start=1):
        if len(line) <= MOST_IN_A_CELL:
            continue
        figures = max(sum(cell.count(f) for f in _FIGURES) for cell in plain(line).split("|"))
        if figures > MOST_IN_A_CELL:
            message = (
                f"this line has {figures:,} figures without a bar line between them, and up to "
                f"{MOST_IN_A_CELL:,} are read as one measure; type bars (|) between the measures, "
                "or divide the file into several with some tunes each"
            )
            raise TabError((kinds.TOO_LARGE.problem(message, Place(number, 1)),))


def _refuse_long_together(text: str) -> None:
    """The same for a text that has not too much of anything, but of all together."""
    lines = text.splitlines()
    rows = "\n".join(line for line in lines if "-" in line.translate(_PLAIN))
    counts = {
        "lines": len(lines),
        "figures": sum(rows.count(figure) for figure in _FIGURES),
        "bar lines": sum(rows.count(bar) for bar in _BARS),
        "words": sum(len(line.split()) for line in lines),
    }
    work = sum(counts[what] * each for what, each in _WORK)
    if work > MOST_WORK:
        *most, last = (f"{counts[what]:,} {what}" for what, _ in _WORK)
        message = (
            f"this file has {', '.join(most)} and {last}, which together is "
            f"{work / MOST_WORK:.1f} times as much as is read at once; divide the file into "
            f"{-(-work // MOST_WORK)} or more with some tunes each"
        )
        raise TabError((kinds.TOO_LARGE.problem(message, Place(1, 1)),))


def refuse_many(tunes: int) -> None:
    """Raise TabError for a file of more tunes than are read at once."""
    if tunes > MOST_TUNES:
        message = (
            f"this file has {tunes:,} tunes, and up to {MOST_TUNES:,} are read at once; divide the "
            "file into several"
        )
        raise TabError((kinds.TOO_LARGE.problem(message, Place(1, 1)),))


def _words(text: str) -> int:
    """How many words a text has; 0, which is quick to say, where they cannot be too many."""
    return len(text.split()) if text.count(" ") > MOST_WORDS else 0


def _digits(text: str) -> int:
    """How many digits the first number has that has too many; 0 where none has."""
    found = re.search(rf"\d{{{MOST_DIGITS + 1},}}", text)
    return len(found[0]) if found else 0


def decode_with(data: bytes) -> tuple[str, Encoding]:
    """The same, and the encoding to write the text in again."""
    refuse_large(len(data))
    for mark, encoding in _BYTE_ORDER_MARKS:
        if data.startswith(mark):
            try:
                return data[len(mark) :].decode(encoding), Encoding(encoding, mark)
            except UnicodeDecodeError:
                break
    if wide := _wide_encoding(data):
        return data.decode(wide, errors="replace"), Encoding(wide)
    if b"\0" in data or _share_of_controls(data) > 0.05:
        raise TabError(
            (
                kinds.BINARY.problem(
                    "this is not a text file; save the tab as plain text and try again",
                    Place(1, 1),
                ),
            )
        )
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        old = _old_encoding(data)
        return data.decode(old, errors="replace"), Encoding(old)
    return _twice_encoded(text), Encoding("utf-8")


def _wide_encoding(data: bytes) -> str | None:
    """UTF-16 without its byte order mark: plain letters with a zero byte before or after each."""
    sample = data[:4096]
    half = len(sample) // 2
    if half < 8:
        return None
    even, odd = sample[0::2].count(0), sample[1::2].count(0)
    if odd > 0.3 * half and not even:
        return "utf-16-le"
    if even > 0.3 * half and not odd:
        return "utf-16-be"
    return None


# What lines and dashes of older code pages look like as bytes: (encoding, its typical bytes).
# 0xC4 and 0xB3 are the lines of code page 437; 0xD0 and 0xD1 the dashes of Mac Roman.
# (Code charts of the Unicode Consortium, from memory; Python's codecs agree, see the tests.)
_OLD = (("cp437", b"\xc4\xb3\xcd\xba"), ("mac_roman", b"\xd0\xd1"))


def _old_encoding(data: bytes) -> str:
    """Windows-1252, unless runs of a byte say that the text was drawn in another code page."""
    for encoding, drawn in _OLD:
        if any(bytes([byte]) * 3 in data for byte in drawn):
            return encoding
    return "cp1252"


def _twice_encoded(text: str) -> str:
    """Put right what was UTF-8 taken for Windows-1252 and saved as UTF-8 again."""
    if "â€" not in text and "â”" not in text:
        return text
    try:
        return text.encode("cp1252").decode("utf-8")
    except UnicodeError:
        return text


def _share_of_controls(data: bytes) -> float:
    sample = data[:4096]
    controls = sum(1 for byte in sample if byte < 32 and byte not in b"\t\n\r\f\x1a\x1b")
    return controls / len(sample) if sample else 0.0


def split_lines(text: str, first: int = 1) -> list[Line]:
    """Lines with any line ending; tabs become spaces, look-alikes of dash and bar become plain.

    ``first`` is the number of the first line, where the text stands in the midst of a file.
    """
    text = re.sub(r"\r\r?\n|[\r\x85\u2028\u2029]", "\n", text)
    lines = []
    for number, typed in enumerate(text.split("\n"), start=first):
        typed = _NO_TEXT.sub(" ", typed)
        plain = typed.translate(_PLAIN)
        unseen = not plain.isascii() and any(unicodedata.category(c) == "Cf" for c in plain)
        if unseen or "\t" in plain:
            expanded, columns = _expand(plain)
            lines.append(Line(number=number, text=expanded.rstrip(), typed=typed, columns=columns))
        else:
            lines.append(Line(number, plain.rstrip(), typed))
    return lines


def _expand(text: str) -> tuple[str, tuple[int, ...]]:
    """The text with blanks for tab characters and without what takes no room (joiners, marks of
    direction), and the typed column of every character."""
    out: list[str] = []
    columns: list[int] = []
    for index, char in enumerate(text):
        if char > "\x7f" and unicodedata.category(char) == "Cf":
            continue
        width = TAB_WIDTH - len(out) % TAB_WIDTH if char == "\t" else 1
        out.extend(" " * width if char == "\t" else char)
        columns.extend([index] * width)
    return "".join(out), tuple(columns)
