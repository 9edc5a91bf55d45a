"""Documents that are damaged, too large, or made to do harm: one clear error each, nothing opened
outside, and the other files of a batch are done."""

from __future__ import annotations

import base64
import io
import sys
import zipfile
import zlib
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

import rollstave
from rollstave.assembly import documents
from tests.plugins import document_files as made
from tests.plugins.test_documents import KINDS, RIGHT, run

WORD = "http://schemas.openxmlformats.org/wordprocessingml/2006/main"


def refused(data: bytes, match: str) -> None:
    with pytest.raises(rollstave.TabError, match=match) as raised:
        rollstave.read(data)
    assert len(raised.value.problems) == 1


def changed(package: bytes, name: str, change: Callable[[bytes], bytes]) -> bytes:
    """A package with one of its files changed."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(package)) as old, zipfile.ZipFile(out, "w", 8) as new:
        for member in old.infolist():
            data = old.read(member)
            stored = zipfile.ZIP_STORED if member.filename == "mimetype" else zipfile.ZIP_DEFLATED
            kept = change(data) if member.filename == name else data
            new.writestr(member.filename, kept, compress_type=stored)
    return out.getvalue()


def pdf_of(objects: list[bytes]) -> bytes:
    """A PDF by hand (ISO 32000-1, 7.5): objects from 1 on, the first the catalogue."""
    out = io.BytesIO(b"")
    out.write(b"%PDF-1.7\n")
    places = []
    for number, body in enumerate(objects, start=1):
        places.append(out.tell())
        out.write(b"%d 0 obj\n%s\nendobj\n" % (number, body))
    start = out.tell()
    out.write(b"xref\n0 %d\n0000000000 65535 f \n" % (len(objects) + 1))
    out.write(b"".join(b"%010d 00000 n \n" % place for place in places))
    out.write(b"trailer\n<< /Size %d /Root 1 0 R >>\n" % (len(objects) + 1))
    out.write(b"startxref\n%d\n%%%%EOF\n" % start)
    return out.getvalue()


def stream(data: bytes, more: bytes = b"") -> bytes:
    return b"<< /Length %d %s >>\nstream\n%s\nendstream" % (len(data), more, data)


def packed(data: bytes) -> bytes:
    return stream(zlib.compress(data, 9), b"/Filter /FlateDecode")


def one_page(content: bytes, resources: bytes = b"", *more: bytes) -> bytes:
    page = (
        b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 600 800] /Contents 4 0 R "
        b"/Resources << %s >> >>"
    )
    return pdf_of(
        [
            b"<< /Type /Catalog /Pages 2 0 R >>",
            b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
            page % resources,
            content,
            *more,
        ]
    )


# Damaged ---------------------------------------------------------------------------------------

DAMAGED = {
    "docx": lambda data: data[: len(data) // 2],
    "odt": lambda data: data[: len(data) // 2],
    "rtf": lambda data: data[: len(data) // 2],
    "pdf": lambda data: data[:200],
}


@pytest.mark.parametrize("kind", DAMAGED)
def test_a_file_that_ends_in_the_middle(kind: str) -> None:
    refused(DAMAGED[kind](KINDS[kind](RIGHT)), "damaged")


@pytest.mark.parametrize("kind", KINDS)
def test_any_cut_and_any_noise_gives_tunes_or_an_error_for_people(kind: str) -> None:
    data = KINDS[kind](RIGHT)
    import random

    dice = random.Random(7)
    for _ in range(40):
        wrong = bytearray(data)
        for _ in range(dice.randint(1, 20)):
            wrong[dice.randrange(8, len(wrong))] = dice.randrange(256)
        cut = bytes(wrong[: dice.randint(20, len(wrong))])
        said: tuple[rollstave.Problem, ...] = ()
        tunes: tuple[rollstave.Tune, ...] = ()
        try:
            tunes = rollstave.read(cut)
        except rollstave.TabError as error:
            said = error.problems
        assert bool(tunes) != bool(said)
        assert all(problem.message for problem in said)


def test_package_with_a_part_that_is_no_xml() -> None:
    refused(changed(made.docx("x"), "word/document.xml", lambda _: b"<w:document"), "damaged")
    refused(changed(made.odt("x"), "content.xml", lambda _: b"<office"), "damaged|locked")


def test_an_old_document_says_what_to_do() -> None:
    data = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600
    refused(data, r"save it without a password as .docx")


def test_the_others_of_a_batch_are_done(tmp_path: Path) -> None:
    tabs = tmp_path / "tabs"
    tabs.mkdir()
    for kind, cut in DAMAGED.items():
        (tabs / f"bad-{kind}.{kind}").write_bytes(cut(KINDS[kind](RIGHT)))
        (tabs / f"good-{kind}.{kind}").write_bytes(KINDS[kind](RIGHT))
    names = sorted(tabs.iterdir())
    for arguments in ([tabs], names):
        out = tmp_path / f"out-{len(arguments)}"
        result = run("convert", *arguments, "--out", out, "--to", "midi")
        assert result.exit_code == 2
        assert {p.stem for p in out.glob("*.mid")} == {f"good-{kind}" for kind in DAMAGED}


# Too large -------------------------------------------------------------------------------------


def test_packages_that_would_burst() -> None:
    """Ten megabytes of blanks pack to ten kilobytes; a member may not say less than it has, since
    no more than it says is unpacked."""
    many = b" " * 45_000_000
    for data, name in ((made.docx("x"), "word/document.xml"), (made.odt("x"), "content.xml")):
        refused(changed(data, name, lambda xml: xml + many), "up to 40 MB are read")
    picture = io.BytesIO()
    with zipfile.ZipFile(picture, "w", zipfile.ZIP_DEFLATED) as package:
        package.writestr("[Content_Types].xml", "<x/>")
        package.writestr("word/media/image.png", b"\0" * 110_000_000)
    refused(picture.getvalue(), "up to 100 MB are unpacked")


def test_blanks_of_an_opendocument_text_that_would_fill_the_memory() -> None:
    blanks = b'<text:p><text:s text:c="999999999"/></text:p></office:text>'
    data = changed(made.odt("x"), "content.xml", lambda d: d.replace(b"</office:text>", blanks))
    refused(data, "more than 4,000,000 blanks")


def test_a_document_over_all_bounds_is_not_looked_at() -> None:
    refused(b"%PDF-1.7" + b"\0" * documents.LARGEST, "up to 40 MB; divide it")


def test_a_pdf_of_thousands_of_pages() -> None:
    pages = b" ".join(b"%d 0 R" % number for number in range(4, 3004))
    page = b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 600 800] /Contents 3 0 R >>"
    data = pdf_of(
        [
            b"<< /Type /Catalog /Pages 2 0 R >>",
            b"<< /Type /Pages /Kids [%s] /Count 3000 >>" % pages,
            stream(b""),
            *[page] * 3000,
        ]
    )
    refused(data, "more than 400 pages")


def test_a_pdf_whose_page_would_burst() -> None:
    once = zlib.compress(b" " * 25_000_000, 9)
    for data, filters in (
        (once, b"/FlateDecode"),
        (zlib.compress(once, 9), b"/FlateDecode /FlateDecode"),
        (base64.a85encode(once) + b"~>", b"/ASCII85Decode /FlateDecode"),
        (once.hex().encode() + b">", b"/ASCIIHexDecode /FlateDecode"),
        (b"\x81 " * 100_000, b"/RunLengthDecode"),
    ):
        page = one_page(stream(data, b"/Filter [%s]" % filters))
        refused(page, "stream of this PDF (would unpack to more than 6 MB|is packed in a way)")
    font = b"<< /Type /Font /Subtype /Type1 /BaseFont /Courier /ToUnicode %d 0 R >>"
    large = packed(b"% " + b" " * 5_900_000)
    fonts = b" ".join(b"/A%d %d 0 R" % (n, 5 + n) for n in range(6))
    text = b"BT " + b" ".join(b"/A%d 9 Tf (x) Tj" % n for n in range(6)) + b" ET"
    more = [*(font % (11 + n) for n in range(6)), *[large] * 6]
    data = one_page(stream(text), b"/Font << %s >>" % fonts, *more)
    refused(data, "this PDF would unpack to more than 30 MB")


def test_a_pdf_whose_forms_call_each_other() -> None:
    """Ten forms that call the next one ten times each: 10 to the 10th calls (the "billion laughs"
    of PDF)."""
    names = b" ".join(b"/F%d %d 0 R" % (n, 5 + n) for n in range(10))
    forms = []
    for number in range(10):
        calls = b"/F%d Do " % (number + 1) * 10 if number < 9 else b""
        head = b"/Type /XObject /Subtype /Form /BBox [0 0 9 9] /Resources << /XObject << %s >> >>"
        forms.append(stream(calls, head % names))
    data = one_page(stream(b"/F0 Do " * 10), b"/XObject << %s >>" % names, *forms)
    refused(data, "calls forms within it more than 20,000 times")


def test_a_pdf_with_too_many_glyphs() -> None:
    font = b"/Font << /A << /Type /Font /Subtype /Type1 /BaseFont /Courier >> >>"
    text = b"BT /A 9 Tf 10 700 Td " + b"(%s) Tj " % (b"-" * 10_000) * 61 + b"ET"
    refused(one_page(packed(text), font), "more than 600,000 characters")


def test_rtf_that_would_take_long() -> None:
    refused(b"{\\rtf1" + b"{" * 20_000 + b"}" * 20_001, "groups in each other")
    # Patterns of the library whose time would grow with the square of these.
    for unit in (b"{\\field{\\*\\fldinst{ HYPERLINK ", b"{\\f1 ", b"\\f1\\fcharset0 x"):
        many = unit * 60_000
        closed = b"}" * (many.count(b"{") - many.count(b"}"))
        data = b"{\\rtf1{\\fonttbl " + many + closed + b"}\\par}"
        with pytest.raises(rollstave.TabError):
            rollstave.read(data)


def test_mail_with_parts_in_each_other() -> None:
    data = b"From: j@larkspur-ferry.example\nMIME-Version: 1.0\n"
    for depth in range(3_000):
        data += b"Content-Type: multipart/mixed; boundary=b%d\n\n--b%d\n" % (depth, depth)
    refused(data + b"\nend\n", "message is damaged|no measure|nothing|no tab")


def test_a_page_with_elements_in_each_other() -> None:
    data = b"<html><body>" + b"<div>" * 100_000 + b"D|-0-|"
    with pytest.raises(rollstave.TabError):
        rollstave.read(data)


# Made to do harm -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("package", "name"), [("docx", "word/document.xml"), ("odt", "content.xml")]
)
def test_entities_are_refused(package: str, name: str) -> None:
    """XML 1.0, 4.2: no word processor declares any."""
    laughs = b'<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b SYSTEM "file:///etc/passwd">]>'

    def declare(xml: bytes) -> bytes:
        head, _, rest = xml.partition(b"?>") if xml.startswith(b"<?xml") else (b"", b"", xml)
        return (head + b"?>" if head else b"") + laughs + rest

    refused(changed(KINDS[package]("x"), name, declare), "declares entities")


SEEN: list[str] | None = None


def _watch(event: str, arguments: tuple[object, ...]) -> None:
    if SEEN is not None and event in ("open", "socket.connect", "subprocess.Popen", "os.system"):
        SEEN.append(f"{event} {arguments[0]}")


@pytest.fixture
def seen() -> Iterator[list[str]]:
    """Files that are opened and connections that are made (PEP 578, audit events)."""
    global SEEN
    if not getattr(sys, "_rollstave_watched", False):
        sys.addaudithook(_watch)
        sys._rollstave_watched = True  # type: ignore[attr-defined]
    SEEN = []
    yield SEEN
    SEEN = None


def linked_docx(path: str) -> bytes:
    """A document with a picture and a template that lie elsewhere (ECMA-376 part 2, 8.3.3: external
    relationships)."""
    link = (
        '<Relationship Id="rId90" TargetMode="External" Target="{}" Type="http://schemas.'
        'openxmlformats.org/officeDocument/2006/relationships/{}"/>'
    )
    links = link.format(f"file://{path}", "image") + link.format(
        "http://larkspur-ferry.example/x.dotm", "attachedTemplate"
    ).replace("rId90", "rId91")
    return changed(
        made.docx(RIGHT),
        "word/_rels/document.xml.rels",
        lambda d: d.replace(b"</Relationships>", links.encode() + b"</Relationships>"),
    )


def attached_eml(path: str) -> bytes:
    mail = made.message(RIGHT)
    program = f"#!/bin/sh\ncat {path}\n".encode()
    mail.add_attachment(program, maintype="application", subtype="x-sh", filename=f"../..{path}")
    return mail.as_bytes()


def linked_html(path: str) -> bytes:
    page = made.html(RIGHT).decode()
    links = (
        f'<img src="file://{path}"><img src="http://larkspur-ferry.example/a.png">'
        f'<iframe src="file://{path}"></iframe><link rel="stylesheet" href="file://{path}">'
        f'<object data="file://{path}"></object>'
    )
    return page.replace("<p>", links + "<p>", 1).encode()


def linked_rtf(path: str) -> bytes:
    link = f'{{\\field{{\\*\\fldinst INCLUDETEXT "{path}"}}{{\\fldrslt }}}}'.encode()
    return made.rtf(RIGHT).replace(b"\\fs20 ", b"\\fs20 " + link, 1)


def linked_pdf(path: str) -> bytes:
    text = made.pdf(RIGHT)
    import pypdf
    from pypdf.generic import DictionaryObject, NameObject, TextStringObject

    writer = pypdf.PdfWriter(clone_from=pypdf.PdfReader(io.BytesIO(text)))
    action = {
        NameObject("/S"): NameObject("/Launch"),
        NameObject("/F"): TextStringObject(path),
    }
    writer.root_object[NameObject("/OpenAction")] = DictionaryObject(action)
    writer.add_attachment("other.txt", b"D|-0-|")
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


@pytest.mark.parametrize("make", [linked_docx, attached_eml, linked_html, linked_rtf, linked_pdf])
def test_nothing_outside_is_opened(
    make: Callable[[str], bytes], tmp_path: Path, seen: list[str]
) -> None:
    secret = tmp_path / "secret.txt"
    secret.write_text("a secret")
    data = make(str(secret))
    rollstave.read(data)  # so that all modules are there
    seen.clear()
    (tune,) = rollstave.read(data)
    opened = [path for path in seen if "site-packages" not in path and "/lib/python" not in path]
    assert opened == []
    assert tune.score.title == "Ferry Bell"
    assert "a secret" not in str(rollstave.write(tune, "text"))
