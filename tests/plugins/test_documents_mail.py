"""Mail messages and mailboxes: RFC 5322, 2045 to 2047 (MIME), 3676 (flowed text), 4155 (mbox)."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import rollstave
from rollstave.assembly import documents
from tests.plugins import document_files as made
from tests.plugins.test_documents import RIGHT, WRONG, run


def opened(data: bytes) -> rollstave.DocumentText:
    (found,) = documents.opened(data) or ()
    return found


@pytest.mark.parametrize("cte", ["quoted-printable", "base64", "8bit"])
@pytest.mark.parametrize("charset", ["utf-8", "iso-8859-1"])
def test_codings(cte: str, charset: str) -> None:
    text = "Title: Café =3D at the ferry\n" + "-" * 90 + "\n"
    data = made.message(text, cte=cte, charset=charset).as_bytes()
    assert opened(data).text == text


def test_a_charset_that_is_a_lie() -> None:
    """Many a program wrote UTF-8 and called it ISO-8859-1, or nothing at all."""
    data = made.message("Caf_\n", charset="iso-8859-1", cte="8bit").as_bytes()
    assert opened(data.replace(b"Caf_", "Café".encode())).text == "Café\n"
    assert opened(data.replace(b"Caf_", "Café".encode("cp1252"))).text == "Café\n"


def test_flowed_text() -> None:
    """RFC 3676, 4.1 to 4.5: a line that ends in a blank goes on; a stuffed blank is taken away;
    the signature's line is fixed; another depth of quoting ends a paragraph."""
    body = "A line that \r\ngoes on.\r\n  D|-0-|\r\n> quoted \r\n> text\r\nfixed \r\n\r\n-- \r\n"
    data = (
        b"From: j@larkspur-ferry.example\r\nMIME-Version: 1.0\r\n"
        b"Content-Type: text/plain; charset=utf-8; format=flowed\r\n\r\n"
        + body.encode()
        + b"Juno\r\n"
    )
    assert opened(data).text.split("\n") == [
        "A line that goes on.",
        " D|-0-|",
        "> quoted text",
        "fixed ",
        "-- ",
        "Juno",
        "",
    ]
    joined = opened(data.replace(b"format=flowed", b"format=flowed; delsp=yes"))
    assert joined.text.startswith("A line thatgoes on.")


def test_the_text_part_first_else_html() -> None:
    both = made.message(RIGHT)
    both.add_alternative("<html><body><p>only a picture</p></body></html>", subtype="html")
    assert opened(both.as_bytes()).text.strip() == RIGHT.strip()
    rich = made.message("x")
    rich.set_content(made.html(RIGHT).decode(), subtype="html")
    (tune,) = rollstave.read(rich.as_bytes())
    assert tune.score.title == "Ferry Bell"


def test_files_that_hang_on_a_message_are_named_and_not_opened() -> None:
    mail = made.message(RIGHT)
    mail.add_attachment(b"MZ\x90\0", maintype="application", subtype="x-dosexec", filename="a.exe")
    mail.add_attachment(WRONG, filename="other.txt")
    inner = made.message(WRONG, "another")
    mail.add_attachment(inner)
    (tune,) = rollstave.read(mail.as_bytes())
    said = [p.message for p in tune.problems if p.code == "document"]
    assert "the file a.exe that hangs on this message is not opened" in said
    tab = [words for words in said if "other.txt" in words]
    assert tab[0].endswith("not opened; if a tab is in it, save it and convert it")


def test_the_subject_is_the_title_of_a_tune_that_has_none() -> None:
    mail = made.message(RIGHT.replace("Title: Ferry Bell\n", ""), "Fwd: Re: [tabs] The Ferry Bell")
    (tune,) = rollstave.read(mail.as_bytes())
    assert tune.score.title == "The Ferry Bell"


def test_a_text_that_only_looks_like_mail_stays_a_text() -> None:
    assert documents.opened(b"From: Juno\nSubject: a tune\n\n" + RIGHT.encode()) is None
    assert documents.opened(b"From the top\n\n" + RIGHT.encode()) is None


def test_a_mailbox(tmp_path: Path) -> None:
    """Each message a file of its own: named by number and subject, with the lines of its text, and
    one that is wrong costs itself."""
    box = tmp_path / "tabs.mbox"
    stays = "Another.\n\nFrom here on it is faster.\n\n" + RIGHT
    box.write_bytes(
        made.mbox(
            [
                ("Ferry Bell", RIGHT),
                ("Supper?", "At eight.\n"),
                ("A slip", WRONG),
                ("Faster", stays),
            ],
            tmp_path,
        )
    )
    out = tmp_path / "out"
    result = run("convert", box, "--to", "midi", "--out", out)
    assert result.exit_code == 2
    assert f"{box}, message 3 (A slip):9:12: error: fret 3 on string 5" in result.stderr
    assert f"{box}: notice: 1 of its 4 messages have no tab" in result.stdout
    assert {p.name for p in out.glob("*.mid")} == {
        "tabs-1-ferry-bell.mid",
        "tabs-4-faster.mid",
    }
    reports = json.loads(run("check", box, "--json").stdout)
    assert [r["file"].rpartition(", ")[2] for r in reports] == [
        "message 1 (Ferry Bell)",
        "message 3 (A slip)",
        "message 4 (Faster)",
    ]
    book = run("book", box, "--out", tmp_path / "book.pdf")
    assert book.exit_code == 2
    assert "message 3 (A slip): error: " in book.stderr
    assert "2 tunes" in book.stdout


def test_a_mailbox_without_tabs(tmp_path: Path) -> None:
    box = tmp_path / "tabs.mbox"
    box.write_bytes(made.mbox([("Supper?", "At eight.\n"), ("No", "Nine.\n")], tmp_path))
    result = run("convert", box, "--out", tmp_path)
    assert result.exit_code == 2
    assert "none of its 2 messages has a tab in it" in result.stderr


def test_a_line_of_a_message_that_begins_with_from() -> None:
    """RFC 4155, appendix A: such lines are marked with ``>`` by the program that keeps the
    mailbox; where it did not, only an empty line before it and a date after it make a message."""
    data = (
        b"From juno@larkspur-ferry.example Mon May 17 20:15:00 2004\n"
        b"From: Juno <j@larkspur-ferry.example>\nSubject: one\n\n"
        b"text\n\nFrom here it goes on.\n>From the top.\n\n"
        b"From juno@larkspur-ferry.example Tue May 18 20:15:00 2004\n"
        b"From: Juno <j@larkspur-ferry.example>\nSubject: =?utf-8?q?caf=C3=A9?=\n\nmore\n"
    )
    found = documents.opened(data) or ()
    assert [text.name for text in found] == ["message 1 (one)", "message 2 (café)"]
    assert found[0].text == "text\n\nFrom here it goes on.\nFrom the top.\n"
