"""Mail messages and mailboxes, by the standard library's email package.

Of a message the plain text is taken, else its HTML. Quoted-printable, base64 and character sets are
undone by the library; lines that a mail program let flow (RFC 3676) are put together again. Files
that hang on a message are named and not opened.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from email.message import EmailMessage, MIMEPart
from typing import cast

from rollstave import DocumentText
from rollstave_documents.bounds import check_text
from rollstave_documents.html_file import lines_of
from rollstave_documents.recognising import FROM_LINE, damaged

_MOST_MESSAGES = 20_000
_MOST_PARTS = 1_000  # of a message
_NESTED = 100  # parts in each other
_MOST_BOUNDARIES = 200
_FROM = re.compile(rb"(?:^|\n\r?\n)" + FROM_LINE)
_QUOTED_FROM = re.compile(rb"^>(>*From )", re.MULTILINE)
_ANSWERS = re.compile(r"^(?:\s*(?:re|aw|fwd?|wg|tr)\s*:|\s*\[[^\]]{1,40}\])+\s*", re.IGNORECASE)
_TAB_ENDINGS = (".txt", ".tab", ".text", ".docx", ".odt", ".rtf", ".pdf", ".htm", ".html", ".eml")


def read(data: bytes) -> DocumentText:
    """The text of a message. Raises TabError."""
    try:
        return _message(data)
    except _CANNOT as error:
        raise damaged(_unreadable(error)) from error


def read_mailbox(data: bytes) -> list[DocumentText]:
    """The texts of all messages of a mailbox. Raises TabError for one that is too large."""
    raw = list(_messages(data))
    if len(raw) > _MOST_MESSAGES:
        raise damaged(
            f"this mailbox has {len(raw):,} messages, and up to {_MOST_MESSAGES:,} are read at "
            "once; divide it",
            "too-large",
        )
    return [_numbered(number, message) for number, message in enumerate(raw, start=1)]


def _messages(data: bytes) -> Iterator[bytes]:
    """The messages of a mailbox (RFC 4155). A line of a message that begins with "From " begins
    another only after an empty line and with a date, since not every program marks it."""
    starts = [match.start() + (match[0][:1] == b"\n") for match in _FROM.finditer(data)]
    for start, end in zip(starts, [*starts[1:], len(data)], strict=True):
        _, _, message = data[start:end].lstrip(b"\r\n").partition(b"\n")
        yield _QUOTED_FROM.sub(rb"\1", message)


def _numbered(number: int, data: bytes) -> DocumentText:
    """A message of a mailbox. One that cannot be read says so; the others are read."""
    from msgspec.structs import replace

    try:
        text = _message(data)
    except _CANNOT as error:
        text = DocumentText(text="", error=_unreadable(error))
    subject = " ".join(text.title.split())
    name = f"message {number} ({subject})" if subject else f"message {number}"
    return replace(text, name=name, number=number)


# What the package raises for a message that is damaged or made to do harm.
_CANNOT = (ValueError, LookupError, TypeError, AttributeError, RecursionError, AssertionError)


def _unreadable(error: Exception) -> str:
    words = " ".join(str(error).split())[:200]
    return f"this message is damaged: {type(error).__name__}: {words}"


def _message(data: bytes) -> DocumentText:
    """The text of a message, and what is said of the rest of it."""
    from email import message_from_bytes, policy

    # The package looks at every line once for each part around it.
    if len(re.findall(rb"(?i)boundary=", data)) > _MOST_BOUNDARIES:
        raise ValueError(f"it has more than {_MOST_BOUNDARIES} parts that hold parts")
    message = message_from_bytes(data, policy=policy.default)
    parts = list(_parts(message, 0))
    bodies = _bodies(message, parts)
    text = check_text("\n\n".join(_text(part) for part in bodies), "mail message")
    remarks = tuple(_remark(part) for part in parts if part not in bodies and _is_attached(part))
    if not bodies and parts:
        remarks = (*remarks, "this message has no text")
    subject = _ANSWERS.sub("", str(message.get("subject", "")))
    return DocumentText(text=text, title=" ".join(subject.split())[:200], remarks=remarks[:20])


def _parts(message: MIMEPart, depth: int) -> Iterator[MIMEPart]:
    """The parts of a message that hold something. What a part of it that is a message holds is
    embedded, and stays closed."""
    if depth > _NESTED:
        raise ValueError(f"it has more than {_NESTED} parts in each other")
    if message.get_content_maintype() != "multipart":
        yield message
        return
    payload = message.get_payload()
    for number, part in enumerate(payload if isinstance(payload, list) else []):
        if number > _MOST_PARTS:
            raise ValueError(f"it has more than {_MOST_PARTS:,} parts")
        yield from _parts(cast("MIMEPart", part), depth + 1)


def _bodies(message: EmailMessage, parts: list[MIMEPart]) -> list[MIMEPart]:
    """The parts that are read: the plain text, and what plain text follows it; else the HTML."""
    for wanted in ("text/plain", "text/html"):
        found = [p for p in parts if p.get_content_type() == wanted and not _is_attached(p)]
        if found:
            return found
    return []


def _is_attached(part: MIMEPart) -> bool:
    return (
        part.is_attachment()
        or part.get_content_maintype() not in ("text", "multipart")
        or bool(part.get_filename())
    )


def _text(part: MIMEPart) -> str:
    """The characters of a part, as a mail program shows them."""
    raw = part.get_payload(decode=True)
    data = raw if isinstance(raw, bytes) else b""
    charset = str(part.get_param("charset", "")).lower()
    if part.get_content_type() == "text/html":
        return lines_of(_decoded(data, charset)).text("mail message").text
    text = _decoded(data, charset).replace("\r\n", "\n")
    if str(part.get_param("format", "")).lower() == "flowed":
        return _unflowed(text, str(part.get_param("delsp", "")).lower() == "yes")
    return text


def _decoded(data: bytes, charset: str) -> str:
    """The characters of bytes. A program that names a character set that it does not use is so
    common that UTF-8 is tried first where the name is none or a small one."""
    small = charset in ("", "us-ascii", "ascii", "iso-8859-1", "latin1", "unknown-8bit")
    for name in ("utf-8", "cp1252") if small else (charset, "utf-8", "cp1252"):
        try:
            return data.decode(name)
        except (LookupError, UnicodeError):
            continue
    return data.decode("cp1252", "replace")


def _unflowed(text: str, delete_space: bool) -> str:
    """Lines that end in a blank go on in the next one of the same depth of quoting; a blank that
    was put before a line is taken away (RFC 3676, 4.1 to 4.4)."""
    lines: list[str] = []
    goes_on, depth_before = False, 0
    for line in text.split("\n"):
        depth = len(line) - len(line.lstrip(">"))
        content = line[depth:].removeprefix(" ")
        if goes_on and depth == depth_before:
            lines[-1] += content
        else:
            lines.append(">" * depth + (" " if depth else "") + content)
        goes_on = content.endswith(" ") and content != "-- "
        if goes_on and delete_space:
            lines[-1] = lines[-1].removesuffix(" ")
        depth_before = depth
    return "\n".join(lines)


def _remark(part: MIMEPart) -> str:
    """That a file was not opened, and what to do if a tab is in it."""
    name = " ".join((part.get_filename() or part.get_content_type()).split())[:100]
    said = f"the file {name} that hangs on this message is not opened"
    may_be_tab = part.get_content_maintype() == "text" or name.lower().endswith(_TAB_ENDINGS)
    return f"{said}; if a tab is in it, save it and convert it" if may_be_tab else said
