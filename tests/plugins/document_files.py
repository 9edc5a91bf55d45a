"""Documents of every kind, made by the formats' own writers and by typesetters, for the tests."""

from __future__ import annotations

import io
import re
from email.message import EmailMessage
from pathlib import Path
from typing import Any

SAMPLES = sorted((Path(__file__).parents[2] / "samples").glob("*.txt"))


def docx(text: str) -> bytes:
    """A paragraph for each line, by python-docx."""
    import docx as library

    document = library.Document()
    for line in text.split("\n"):
        document.add_paragraph(line)
    out = io.BytesIO()
    document.save(out)
    return out.getvalue()


def odt(text: str) -> bytes:
    """A paragraph for each line, by odfpy; blanks that would be lost as ``text:s`` (OpenDocument
    1.3 part 3, 6.1.3)."""
    from odf.opendocument import OpenDocumentText
    from odf.text import P, S

    document = OpenDocumentText()
    for line in text.split("\n"):
        paragraph = P()
        for piece in re.findall(r"^ +| {2,}|(?: ?[^ ]+)+", line):
            if piece.isspace():
                paragraph.addElement(S(c=len(piece)))
            else:
                paragraph.addText(piece)
        document.text.addElement(paragraph)
    out = io.BytesIO()
    document.write(out)
    return out.getvalue()


def rtf(text: str) -> bytes:
    """Typed by hand after RTF 1.9.1: header, table of typefaces, ``\\par``, ``\\u`` with a
    character that stands in for it, ``\\'xx`` in the code page that ``\\ansicpg`` names."""
    body = []
    for line in text.split("\n"):
        for char in line:
            if char in "\\{}":
                body.append("\\" + char)
            elif ord(char) < 128:
                body.append(char)
            elif char in "é":
                body.append(f"\\'{char.encode('cp1252').hex()}")
            else:
                body.append(f"\\u{ord(char) - 65536 if ord(char) > 32767 else ord(char)}?")
        body.append("\\par\n")
    head = "{\\rtf1\\ansi\\ansicpg1252\\deff0{\\fonttbl{\\f0\\fmodern\\fcharset0 Courier New;}}\n"
    info = "{\\info{\\title A title that is not in the text}}\\pard\\plain\\f0\\fs20 "
    return (head + info + "".join(body) + "}").encode("ascii")


def html(text: str) -> bytes:
    """Headings as paragraphs, the rest preformatted, with entities."""
    escaped = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    head, _, rest = escaped.partition("\n\n")
    lines = "<br>\n".join(head.split("\n"))
    page = "<!DOCTYPE html>\n<html><head><title>Saved</title><script>var x = '|--0--|';</script>"
    return f"{page}</head><body><p>{lines}</p>\n<pre>\n{rest}</pre></body></html>".encode()


def message(text: str, subject: str = "Re: [tabs] The tune", **more: str) -> EmailMessage:
    """A message with a plain text, by the standard library."""
    made = EmailMessage()
    made["From"] = "Juno <juno@larkspur-ferry.example>"
    made["To"] = "pupils@larkspur-ferry.example"
    made["Subject"] = subject
    made["Message-ID"] = "<1@larkspur-ferry.example>"
    made.set_content(text, **more)
    return made


def eml(text: str) -> bytes:
    return message(text, cte="quoted-printable").as_bytes()


def mbox(texts: list[tuple[str, str]], folder: Path) -> bytes:
    """A mailbox of subjects and texts, by the standard library."""
    import mailbox

    path = folder / "made.mbox"
    box = mailbox.mbox(path)
    for subject, text in texts:
        made = mailbox.mboxMessage(message(text, subject))
        made.set_from("juno@larkspur-ferry.example", (2004, 5, 17, 20, 15, 0, 0, 138, 0))
        box.add(made)
    box.close()
    return path.read_bytes()


def pdf(text: str, font: str = "Courier", size: float = 9.0) -> bytes:
    """Lines as they are typed, printed in a typeface, by reportlab."""
    canvas, out = _canvas()
    y = _TOP
    for line in text.split("\n"):
        y = _next(canvas, y, font, size)
        canvas.drawString(40, y, line)
    canvas.save()
    return out.getvalue()


def pdf_set_in_columns(text: str, font: str = "Helvetica", size: float = 9.0) -> bytes:
    """Rows and what stands over and under them with each glyph in its column, as a typesetter
    that knows the columns sets proportional type."""
    canvas, out = _canvas()
    y = _TOP
    for line in text.split("\n"):
        y = _next(canvas, y, font, size)
        if not _is_laid(line):
            canvas.drawString(40, y, line)
            continue
        for column, char in enumerate(line):
            if char != " ":
                canvas.drawString(40 + 0.56 * size * column, y, char)
    canvas.save()
    return out.getvalue()


def pdf_by_eye(text: str, font: str = "Helvetica", size: float = 9.0) -> bytes:
    """Rows as somebody types them in proportional type: with as many dashes (or blanks, over and
    under them) as bring the next thing to its place, to half a dash."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    def wide(typed: str) -> float:
        return float(stringWidth(typed, font, size))

    canvas, out = _canvas()
    y = _TOP
    for line in text.split("\n"):
        y = _next(canvas, y, font, size)
        if not _is_laid(line):
            canvas.drawString(40, y, line)
            continue
        fill = "-" if _is_row(line) else " "
        typed = ""
        for found in re.finditer(r"[^-]+" if fill == "-" else r"\S+", line):
            place = 1.35 * wide("-") * found.start()
            count = round((place - wide(typed)) / wide(fill))
            typed += fill * max(1 if typed else 0, count) + found[0]
        canvas.drawString(40, y, typed)
    canvas.save()
    return out.getvalue()


def pdf_by_typst(text: str) -> bytes:
    """Preformatted, by the typesetter that the project itself uses for handouts."""
    import typst

    quoted = text.replace("\\", "\\\\").replace('"', '\\"').replace("\n", "\\n")
    source = f'#set page(width: 300mm, height: 400mm)\n#raw("{quoted}", block: true)'
    return bytes(typst.compile(source.encode(), format="pdf"))


_TOP = 800.0


def _canvas() -> tuple[Any, io.BytesIO]:
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    return Canvas(out, pagesize=(1200, 842), invariant=True), out


def _next(canvas: Any, y: float, font: str, size: float) -> float:
    """Where the next line goes; on a new page where this one is full."""
    if y < 50:
        canvas.showPage()
        y = _TOP
    canvas.setFont(font, size)
    return y - 1.2 * size


def _is_row(line: str) -> bool:
    return line.count("-") > 4 and "|" in line


def _is_laid(line: str) -> bool:
    return _is_row(line) or line.startswith("  ")
