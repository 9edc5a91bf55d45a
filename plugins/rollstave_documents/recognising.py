"""Telling kinds of files by their bytes. Nothing heavy is imported: every file is shown to it."""

from __future__ import annotations

import re

from rollstave import DocumentText, Problem, Severity, TabError

# The signatures of their formats: ZIP (PKWARE's APPNOTE, 4.3.7), Compound File Binary (MS-CFB 2.2),
# RTF 1.9.1 ("Contents of an RTF File"), PDF (ISO 32000-1, 7.5.2).
_ZIP = b"PK\x03\x04"
_COMPOUND = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_RTF = b"{\\rtf"
_PDF = b"%PDF-"
_HEAD = 4096  # bytes that are looked at
# RFC 4155, appendix A: a line that begins a message: "From", a sender, the date as asctime has it.
FROM_LINE = rb"From \S+ .*\d\d:\d\d(?::\d\d)?.*\d{4}.*\r?\n"
# Headers that mail programs write and people do not: a text that only begins "From: … Subject: …"
# is as well read as the text that it is.
_OF_PROGRAMS = (
    b"mime-version",
    b"content-type",
    b"message-id",
    b"received",
    b"return-path",
    b"delivered-to",
)


def is_docx(data: bytes) -> bool:
    return data.startswith(_ZIP) and b"word/" in data and b"[Content_Types].xml" in data


def is_odt(data: bytes) -> bool:
    # OpenDocument 1.3, part 2, 3.3: the file "mimetype" comes first and is not compressed.
    return (
        data.startswith(_ZIP) and b"mimetypeapplication/vnd.oasis.opendocument.text" in data[:200]
    )


def is_rtf(data: bytes) -> bool:
    return data.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(_RTF) if data[:64].strip() else False


def is_pdf(data: bytes) -> bool:
    return _PDF in data[:1024]


def is_html(data: bytes) -> bool:
    """True for a page: ``<!DOCTYPE html`` or ``<html`` first, but for comments and XML's own."""
    start = _start(data)
    while start.startswith("<?xml") or start.startswith("<!--"):
        start = start.partition(">" if start.startswith("<?") else "-->")[2].lstrip()
    return start.startswith(("<!doctype html", "<html"))


def is_mail(data: bytes) -> bool:
    names = _header_names(data)
    return b"from" in names and any(name in names for name in _OF_PROGRAMS)


def is_mailbox(data: bytes) -> bool:
    if not data.startswith(b"From "):
        return False
    line, _, rest = data.partition(b"\n")
    return re.match(FROM_LINE, line + b"\n") is not None and bool(_header_names(rest))


def is_old_word(data: bytes) -> bool:
    return data.startswith(_COMPOUND)


def refuse_old_word(data: bytes) -> DocumentText:
    raise damaged(
        "this is a file of an old word processor (.doc), or one with a password; open it there and "
        "save it without a password as .docx, or as plain text"
    )


def damaged(message: str, code: str = "document") -> TabError:
    """The error of a document that cannot be read."""
    return TabError((Problem(Severity.ERROR, code, message),))


def _start(data: bytes) -> str:
    head = data[:_HEAD]
    wide = head.startswith((b"\xff\xfe", b"\xfe\xff"))
    text = head.decode("utf-16" if wide else "utf-8", "ignore")
    return text.lstrip("\ufeff \t\r\n").lower()


def _header_names(data: bytes) -> set[bytes]:
    """The names of the header fields that a file begins with, in small letters; none if its first
    lines are no header (RFC 5322, 2.2)."""
    names: set[bytes] = set()
    for line in data[: 16 * _HEAD].splitlines():
        if not line.strip():
            break
        if line[:1] in b" \t" and names:
            continue
        name, colon, _ = line.partition(b":")
        if not colon or not re.fullmatch(rb"[!-9;-~]+", name):
            return set()
        names.add(name.lower())
    return names
