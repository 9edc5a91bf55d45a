"""How much a document may hold, and how it may be packed, before any library looks at it."""

from __future__ import annotations

import io
import re
import zipfile

from rollstave_documents.recognising import damaged

# A text is read up to 4 MB; in XML it takes up to ten times as much, with pictures beside it.
MOST_UNPACKED = 100_000_000  # bytes of all files in a package
MOST_XML = 40_000_000  # bytes of one file of it that is parsed
MOST_FILES = 5_000
MOST_DEPTH = 200  # elements in each other
MOST_TEXT = 4_000_000  # characters of a text; more is refused by the reader, too
_DECLARATIONS = re.compile(rb"<!(?:DOCTYPE|ENTITY)")


def check_package(data: bytes, what: str, parsed: str) -> None:
    """Refuse a package (a ZIP file) that would burst, or has declarations in its XML. ``parsed`` is
    a pattern for the names of files that are parsed. Raises TabError.

    What a member says that it unpacks to is believed, since no more than that is ever unpacked.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            members = package.infolist()
            whole = sum(member.file_size for member in members)
            if whole > MOST_UNPACKED or len(members) > MOST_FILES:
                raise damaged(
                    f"this {what} would unpack to {whole / 1e6:,.0f} MB in {len(members):,} files, "
                    f"and up to {MOST_UNPACKED / 1e6:.0f} MB are unpacked",
                    "too-large",
                )
            for member in members:
                if not re.fullmatch(parsed, member.filename):
                    continue
                if member.file_size > MOST_XML:
                    raise damaged(
                        f"the text of this {what} would unpack to "
                        f"{member.file_size / 1e6:,.0f} MB, and up to {MOST_XML / 1e6:.0f} MB are "
                        "read; divide it",
                        "too-large",
                    )
                _check_xml(package.read(member), what)
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, OSError, ValueError) as error:
        raise damaged(f"this {what} is damaged: {_said(error)}") from error
    except (EOFError, zipfile.zlib.error, KeyError) as error:  # type: ignore[attr-defined]
        raise damaged(f"this {what} is damaged: {_said(error)}") from error


def _check_xml(data: bytes, what: str) -> None:
    """No word processor writes declarations of entities; who does means harm. Raises TabError."""
    plain = data.replace(b"\0", b"")  # UTF-16
    if _DECLARATIONS.search(plain):
        raise damaged(f"this {what} declares entities in its XML, which no word processor does")
    depth = most = 0
    for tag in re.finditer(rb"<(/?)[A-Za-z][^<>]*?(/?)>", plain):
        depth += -1 if tag[1] else not tag[2]
        most = max(most, depth)
        if most > MOST_DEPTH:
            raise damaged(f"this {what} has more than {MOST_DEPTH} elements in each other")


def check_text(text: str, what: str) -> str:
    """The text, unless it is too long. Raises TabError."""
    if len(text) > MOST_TEXT:
        raise damaged(
            f"the text of this {what} has {len(text) / 1e6:.1f} million characters, and up to "
            f"{MOST_TEXT / 1e6:.0f} million are read; divide it into files of some tunes each",
            "too-large",
        )
    return text


def _said(error: Exception) -> str:
    words = " ".join(str(error).split())
    return words[:200] or type(error).__name__
