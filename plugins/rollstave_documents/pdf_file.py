"""PDFs with a text layer: where each glyph stands, by pdfminer.six; ``layout`` sets them in lines.

Only the text that pages show is looked at: no scripts, links, forms, or files within the PDF. What
a stream may unpack to, how often a page may call its forms, and the number of pages and glyphs are
bounded.
"""

from __future__ import annotations

import io
import logging
import zlib
from collections.abc import Iterator
from typing import Any

from pdfminer.ascii85 import ascii85decode, asciihexdecode
from pdfminer.lzw import LZWDecoder
from pdfminer.pdfdevice import PDFTextDevice
from pdfminer.pdfdocument import PDFDocument, PDFEncryptionError, PDFPasswordIncorrect
from pdfminer.pdffont import PDFFont, PDFUnicodeNotDefined
from pdfminer.pdfinterp import PDFPageInterpreter, PDFResourceManager
from pdfminer.pdfpage import PDFPage
from pdfminer.pdfparser import PDFParser
from pdfminer.pdftypes import (
    LITERALS_ASCII85_DECODE,
    LITERALS_ASCIIHEX_DECODE,
    LITERALS_FLATE_DECODE,
    LITERALS_LZW_DECODE,
    PDFStream,
)

from rollstave import DocumentText, TabError
from rollstave_documents.layout import Glyph, goes_on, page_lines
from rollstave_documents.lines import Lines
from rollstave_documents.recognising import damaged

MOST_PAGES = 400
# Bytes of a page or of a typeface, and of all of a file: what the library goes through in a minute.
MOST_STREAM, MOST_STREAMS = 6_000_000, 30_000_000
MOST_GLYPHS = 600_000
_MOST_FORMS = 20_000
_WHAT = "PDF"
# The library tells of every oddity of a file; whoever wants to hear it sets a handler.
logging.getLogger("pdfminer").addHandler(logging.NullHandler())


def read(data: bytes) -> DocumentText:
    """The text of a PDF. Raises TabError."""
    lines = Lines()
    glyphs = 0
    before: list[str] = []
    try:
        for number, page in enumerate(_pages(data), start=1):
            glyphs += len(page)
            texts = page_lines(page)
            if not goes_on(before, texts):
                lines.gap()
            for count, text in enumerate(texts, start=1):
                lines.add(text, f"page {number}, line {count}" if text else "")
            before = texts
    except TabError:
        raise
    except (PDFPasswordIncorrect, PDFEncryptionError) as error:
        raise damaged(
            "this PDF is locked with a password; open it and print it to a PDF without one"
        ) from error
    except Exception as error:  # of a damaged file, the library raises whatever it runs into
        said = " ".join(str(error).split())[:200]
        raise damaged(f"this {_WHAT} is damaged: {type(error).__name__}: {said}") from error
    if not glyphs:
        raise damaged(
            "this PDF has no text in it, only pictures of pages; a program for character "
            "recognition has to read it first, or somebody types it",
            "no-tab",
        )
    return lines.text(_WHAT)


def _pages(data: bytes) -> Iterator[list[Glyph]]:
    """The glyphs of each page. Raises TabError for too many."""
    document = PDFDocument(_Parser(io.BytesIO(data)))
    manager = PDFResourceManager(caching=True)
    device = _Glyphs(manager)
    interpreter = PDFPageInterpreter(manager, device)
    for number, page in enumerate(PDFPage.create_pages(document), start=1):
        if number > MOST_PAGES:
            raise damaged(
                f"this PDF has more than {MOST_PAGES} pages; divide it into parts of fewer",
                "too-large",
            )
        interpreter.process_page(page)
        yield device.taken()


class _Glyphs(PDFTextDevice):
    """Keeps every glyph that a page shows, and where."""

    def __init__(self, manager: PDFResourceManager) -> None:
        super().__init__(manager)
        self._page: list[Glyph] = []
        self._count = 0
        self._forms = 0

    def taken(self) -> list[Glyph]:
        """The glyphs of the page that was shown last."""
        page, self._page = self._page, []
        return page

    def begin_figure(self, name: str, bbox: Any, matrix: Any) -> None:
        self._forms += 1
        if self._forms > _MOST_FORMS:
            raise damaged(f"this PDF calls forms within it more than {_MOST_FORMS:,} times")

    def render_char(
        self,
        matrix: Any,
        font: PDFFont,
        fontsize: float,
        scaling: float,
        rise: float,
        cid: int,
        ncs: Any,
        graphicstate: Any,
    ) -> float:
        try:
            text = font.to_unichr(cid)
        except PDFUnicodeNotDefined:
            text = "\ufffd"
        advance: float = font.char_width(cid) * fontsize * scaling
        a, b, _, d, x, y = matrix
        self._count += 1
        if self._count > MOST_GLYPHS:
            raise damaged(
                f"this PDF has more than {MOST_GLYPHS:,} characters; divide it into parts of fewer "
                "pages",
                "too-large",
            )
        if abs(b) < 0.01 * abs(a) and a > 0:  # level and not mirrored; others are not read
            self._page.append(
                Glyph(text=text, x=x, end=x + advance * a, y=y + rise * d, size=abs(fontsize * d))
            )
        return advance


class _Parser(PDFParser):
    """Finds streams in a file, which then refuse to burst. ``spent`` is how many bytes they have
    unpacked to so far."""

    def __init__(self, file: io.BytesIO) -> None:
        super().__init__(file)
        self.spent = [0]

    def do_keyword(self, pos: int, token: Any) -> None:
        super().do_keyword(pos, token)
        if token is self.KEYWORD_STREAM and self.curstack:
            at, made = self.curstack[-1]
            if isinstance(made, PDFStream) and not isinstance(made, _Stream):
                stream = _Stream(made.attrs, made.rawdata or b"", made.decipher)
                stream.spent = self.spent
                self.curstack[-1] = (at, stream)


class _Stream(PDFStream):
    spent: list[int]

    def _is_picture(self) -> bool:
        return getattr(self.attrs.get("Subtype"), "name", "") == "Image"

    def decode(self) -> None:
        """Unpack it. Raises TabError for one that would be larger than a whole document may be."""
        filters = [name for name, _ in self.get_filters()]
        if len(filters) > 4:
            raise damaged("a stream of this PDF is packed more than four times over")
        data = self.rawdata or b""
        if filters and self.decipher and self.objid is not None and self.genno is not None:
            data = self.decipher(self.objid, self.genno, data, self.attrs)
        for name in filters if not self._is_picture() else ():
            if name in LITERALS_ASCII85_DECODE:
                data = ascii85decode(data)
            elif name in LITERALS_ASCIIHEX_DECODE:
                data = asciihexdecode(data)
            elif name in LITERALS_FLATE_DECODE:
                data = _inflated(data)
            elif name in LITERALS_LZW_DECODE:
                data = _bounded(LZWDecoder(io.BytesIO(data)).run())
            elif len(data) > MOST_STREAM // 128:  # a byte of run lengths stands for up to 128
                raise damaged("a stream of this PDF is packed in a way that is not read so large")
            else:
                break
            self.spent[0] += len(data)
        if self.spent[0] > MOST_STREAMS:
            raise damaged(
                f"this PDF would unpack to more than {MOST_STREAMS / 1e6:.0f} MB", "too-large"
            )
        super().decode()


def _inflated(data: bytes) -> bytes:
    unpacker = zlib.decompressobj()
    try:
        return _bounded(iter([unpacker.decompress(data, MOST_STREAM + 1)]))
    except zlib.error:
        return b""  # the library makes the best of it, byte by byte


def _bounded(pieces: Iterator[bytes]) -> bytes:
    """Pieces put together. Raises TabError for more than a stream may have."""
    whole = bytearray()
    for piece in pieces:
        whole += piece
        if len(whole) > MOST_STREAM:
            raise damaged(
                f"a stream of this PDF would unpack to more than {MOST_STREAM / 1e6:.0f} MB",
                "too-large",
            )
    return bytes(whole)
