"""The files that tabs lie in: of word processors, PDFs, saved web pages, mail.

``recognising`` tells them by their first bytes; each kind has a module that brings the text out.
Nothing in a file is run or followed: no macros, links, pictures, or files within it. What a file
may unpack to is bounded (``bounds``).
"""

from __future__ import annotations

from collections.abc import Sequence

from rollstave import DocumentReader, hookimpl

rollstave_contract = "1.1"
INSTALL = "rollstave[documents]"


READERS = (
    DocumentReader(
        name="docx",
        endings=(".docx", ".docm", ".dotx"),
        recognise="rollstave_documents.recognising:is_docx",
        read="rollstave_documents.docx_file:read",
        noun="Word document",
        needs=("python-docx",),
        install=INSTALL,
        help="Word's documents since 2007 (Office Open XML)",
    ),
    DocumentReader(
        name="odt",
        endings=(".odt", ".ott"),
        recognise="rollstave_documents.recognising:is_odt",
        read="rollstave_documents.odt_file:read",
        noun="OpenDocument text",
        needs=("odfpy",),
        install=INSTALL,
        help="documents of LibreOffice and others (OpenDocument)",
    ),
    DocumentReader(
        name="rtf",
        endings=(".rtf",),
        recognise="rollstave_documents.recognising:is_rtf",
        read="rollstave_documents.rtf_file:read",
        noun="RTF document",
        needs=("striprtf",),
        install=INSTALL,
        help="Rich Text Format",
    ),
    DocumentReader(
        name="pdf",
        endings=(".pdf",),
        recognise="rollstave_documents.recognising:is_pdf",
        read="rollstave_documents.pdf_file:read",
        noun="PDF",
        needs=("pdfminer.six",),
        install=INSTALL,
        help="PDFs with text in them, laid out by where its glyphs stand",
    ),
    DocumentReader(
        name="html",
        endings=(".html", ".htm", ".xhtml"),
        recognise="rollstave_documents.recognising:is_html",
        read="rollstave_documents.html_file:read",
        noun="web page",
        help="saved web pages",
    ),
    DocumentReader(
        name="mail",
        endings=(".eml",),
        recognise="rollstave_documents.recognising:is_mail",
        read="rollstave_documents.mail_file:read",
        noun="mail message",
        help="a message of a mail program",
    ),
    DocumentReader(
        name="mailbox",
        endings=(".mbox", ".mbx"),
        recognise="rollstave_documents.recognising:is_mailbox",
        read="rollstave_documents.mail_file:read_mailbox",
        noun="mailbox",
        help="a mailbox of many messages (mbox); each is a file of its own",
    ),
    DocumentReader(
        name="doc",
        endings=(".doc",),
        recognise="rollstave_documents.recognising:is_old_word",
        read="rollstave_documents.recognising:refuse_old_word",
        noun="old Word document",
        help="Word's files before 2007, only to say what to do with them",
    ),
)


@hookimpl
def rollstave_documents() -> Sequence[DocumentReader]:
    return READERS
