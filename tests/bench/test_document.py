"""The file of the bench: nothing of it changes but what was edited, and nobody's work is lost."""

from __future__ import annotations

import errno
import os
import re
import stat
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from rollstave.bench.document import LARGEST, Changed, Document, NotInEncoding, difference
from rollstave.bench.trouble import in_words
from rollstave.problems import TabError

TAB = "Title: Ferry\n\nD|-0-1-|\nB|-----|\nG|-----|\nD|-----|\ng|-----|\n"


def put(folder: Path, data: bytes) -> Document:
    path = folder / "tune.txt"
    path.write_bytes(data)
    return Document(path)


@pytest.mark.parametrize(
    "data",
    [
        TAB.encode(),
        TAB.replace("\n", "\r\n").encode(),
        TAB.replace("\n", "\r").encode(),
        TAB.rstrip("\n").encode(),
        b"\xef\xbb\xbf" + TAB.encode(),
        b"\xff\xfe" + TAB.encode("utf-16-le"),
        b"\xfe\xff" + TAB.replace("\n", "\r\n").encode("utf-16-be"),
        TAB.replace("Ferry", "Café").encode("cp1252"),
        TAB.replace("Title: Ferry\n", "Title: Ferry\r\n", 1).encode(),
        TAB.replace("Ferry", "Fähre ♭").encode(),
    ],
    ids=["lf", "crlf", "cr", "no-last", "bom", "utf16le", "utf16be", "cp1252", "mixed", "utf8"],
)
def test_saving_unchanged_text_gives_the_same_bytes(tmp_path: Path, data: bytes) -> None:
    document = put(tmp_path, data)
    state = document.load()
    assert state.exact
    assert "\r" not in state.text
    again = document.save(state.text, state.seen)
    assert document.path.read_bytes() == data
    assert again.seen == state.seen


def test_an_edit_keeps_encoding_and_line_ends(tmp_path: Path) -> None:
    document = put(tmp_path, TAB.replace("Ferry", "Café").replace("\n", "\r\n").encode("cp1252"))
    state = document.load()
    document.save(state.text.replace("Café", "Thé\nComposer: Zoë"), state.seen)
    expected = TAB.replace("Ferry", "Thé\nComposer: Zoë").replace("\n", "\r\n")
    assert document.path.read_bytes() == expected.encode("cp1252")


def test_mixed_line_ends_stay_where_lines_did_not_change(tmp_path: Path) -> None:
    document = put(tmp_path, b"a\r\nb\nc\nd\r\n")
    state = document.load()
    document.save("a\nb\nnew\nd\n", state.seen)
    assert document.path.read_bytes() == b"a\r\nb\nnew\nd\r\n"


def test_a_changed_file_is_not_written_over(tmp_path: Path) -> None:
    document = put(tmp_path, TAB.encode())
    state = document.load()
    document.path.write_text("theirs\n")
    with pytest.raises(Changed) as caught:
        document.save("mine\n", state.seen)
    assert caught.value.state.text == "theirs\n"
    assert document.path.read_text() == "theirs\n"
    document.save("mine\n", caught.value.state.seen)
    assert document.path.read_text() == "mine\n"


def test_a_file_that_is_gone_can_be_written_again(tmp_path: Path) -> None:
    document = put(tmp_path, TAB.encode())
    document.load()
    document.path.unlink()
    assert document.now() == ""
    document.save("mine\n", "")
    assert document.path.read_text() == "mine\n"


def test_a_character_that_the_encoding_lacks(tmp_path: Path) -> None:
    document = put(tmp_path, TAB.replace("Ferry", "Café").encode("cp1252"))
    state = document.load()
    with pytest.raises(NotInEncoding) as caught:
        document.save(state.text + "\nin B♭\n", state.seen)
    assert (caught.value.character, caught.value.line) == ("♭", 9)
    assert document.now() == state.seen
    document.save(state.text + "\nin B♭\n", state.seen, in_utf8=True)
    assert "♭" in document.path.read_text(encoding="utf-8")


@pytest.mark.skipif(os.name == "nt", reason="permissions of POSIX")
def test_permissions_and_links_stay(tmp_path: Path) -> None:
    document = put(tmp_path, TAB.encode())
    document.path.chmod(0o640)
    link = tmp_path / "link.txt"
    link.symlink_to(document.path)
    through = Document(link)
    through.save("mine\n", through.load().seen)
    assert link.is_symlink()
    assert document.path.read_text() == "mine\n"
    assert stat.S_IMODE(document.path.stat().st_mode) == 0o640
    assert sorted(p.name for p in tmp_path.iterdir()) == ["link.txt", "tune.txt"]


@pytest.mark.parametrize("data", [bytes(range(256)) * 4, b"x" * 1_000_001, b"<score-partwise/>"])
def test_what_is_no_text_tab_is_refused(tmp_path: Path, data: bytes) -> None:
    with pytest.raises(TabError):
        put(tmp_path, data).load()


def test_difference() -> None:
    theirs, mine = "a\nb\nc\n", "a\nB\nc\n"
    assert difference(theirs, mine) == ["@@", " a", "-b", "+B", " c", " "]


# What is on disk is compared with what was seen, at the last moment ---------------------------


def test_a_third_version_is_not_written_over(tmp_path: Path) -> None:
    document = put(tmp_path, TAB.encode())
    seen = document.load().seen
    document.path.write_text("second\n")
    with pytest.raises(Changed) as second:
        document.save("mine\n", seen)
    document.path.write_text("third\n")
    with pytest.raises(Changed) as third:
        document.save("mine\n", second.value.state.seen)
    assert third.value.state.text == "third\n"
    assert document.path.read_text() == "third\n"


def test_a_change_while_the_file_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Bringing the new file to the disk takes longest; something else writes just then."""
    document = put(tmp_path, TAB.encode())
    seen = document.load().seen

    def meanwhile(_: int) -> None:
        document.path.write_text("theirs\n")

    monkeypatch.setattr(os, "fsync", meanwhile)
    with pytest.raises(Changed):
        document.save("mine\n", seen)
    assert document.path.read_text() == "theirs\n"
    assert [p.name for p in tmp_path.iterdir()] == ["tune.txt"]


def test_of_saves_at_one_moment_one_is_told_of_the_other(tmp_path: Path) -> None:
    document = put(tmp_path, TAB.encode())
    seen = document.load().seen

    def save(number: int) -> bool:
        try:
            document.save(f"{number}\n", seen)
        except Changed:
            return False
        return True

    with ThreadPoolExecutor(8) as pool:
        done = list(pool.map(save, range(8)))
    assert done.count(True) == 1
    assert document.path.read_text() == f"{done.index(True)}\n"


def test_a_file_that_cannot_be_looked_at_is_not_gone(tmp_path: Path) -> None:
    """Else the next save would write over what nobody saw."""
    document = put(tmp_path, TAB.encode())
    document.path.unlink()
    document.path.mkdir()
    with pytest.raises(OSError, match="directory"):
        document.now()
    with pytest.raises(OSError, match="directory"):
        document.save("mine\n", "")


# What is saved can be opened again ------------------------------------------------------------


@pytest.mark.parametrize(
    ("data", "text"),
    [
        (TAB.encode(), "a" * (LARGEST + 1)),
        (TAB.encode(), "é" * (LARGEST // 2 + 1)),
        (TAB.replace("\n", "\r\n").encode(), "\n" * (LARGEST // 2 + 1)),
        (b"\xff\xfe" + TAB.encode("utf-16-le"), "a" * (LARGEST // 2)),
        (TAB.encode(), '<?xml version="1.0"?><score-partwise version="4.0"/>'),
        (TAB.encode(), "a\0b"),
        (TAB.encode(), "\x01" * 100),
    ],
    ids=["long", "long utf8", "long crlf", "long utf16", "musicxml", "nul", "controls"],
)
def test_what_could_not_be_opened_again_is_not_saved(
    tmp_path: Path, data: bytes, text: str
) -> None:
    document = put(tmp_path, data)
    with pytest.raises(TabError):
        document.save(text, document.load().seen)
    assert document.path.read_bytes() == data


def test_the_longest_text_is_saved_again_and_again(tmp_path: Path) -> None:
    document = put(tmp_path, b"a" * LARGEST)
    state = document.load()
    for letter in "bcd":
        state = document.save(letter * LARGEST, state.seen)
    assert document.load().text == "d" * LARGEST


@pytest.mark.parametrize(
    ("data", "text"),
    [
        (TAB.replace("Ferry", "Café").encode("cp1252"), "Title: Ã©\n"),
        (TAB.encode("utf-16-le"), "ab"),
        (TAB.encode("utf-16-le"), "Ĩ" * 50),
    ],
    ids=["looks like utf-8", "too short for utf-16", "no plain letters in utf-16"],
)
def test_bytes_that_would_be_read_as_another_text(tmp_path: Path, data: bytes, text: str) -> None:
    document = put(tmp_path, data)
    seen = document.load().seen
    with pytest.raises(NotInEncoding, match="read as another text"):
        document.save(text, seen)
    assert document.path.read_bytes() == data
    document.save(text, seen, in_utf8=True)
    assert document.load().text == text


@pytest.mark.parametrize("text", ["â€“\n", "Title: â”€\n", "plain\n", "Café ♭\n", ""])
def test_utf8_is_read_as_it_was_saved(tmp_path: Path, text: str) -> None:
    document = put(tmp_path, TAB.encode())
    after = document.save(text, document.load().seen)
    assert document.load().text == after.text == text


def test_line_ends_that_would_run_together(tmp_path: Path) -> None:
    document = put(tmp_path, b"a\rb\r\nc\n\nd\n")
    text = "a\n\n\nc\n\n\nd"
    document.save(text, document.load().seen)
    assert document.load().text == text


# Disks and files that refuse ------------------------------------------------------------------


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EROFS, errno.EDQUOT, errno.EIO])
@pytest.mark.parametrize("where", ["fsync", "replace", "chmod"])
def test_a_disk_that_refuses(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, where: str
) -> None:
    document = put(tmp_path, TAB.encode())
    seen = document.load().seen

    def refuse(*_: object) -> None:
        raise OSError(number, os.strerror(number))

    with monkeypatch.context() as patched:
        patched.setattr(os, where, refuse)
        with pytest.raises(OSError, match=re.escape(os.strerror(number))) as caught:
            document.save("mine\n", seen)
    words, status = in_words(caught.value)
    assert "disk" in words
    assert status in (403, 503, 507)
    assert document.path.read_text() == TAB
    assert [p.name for p in tmp_path.iterdir()] == ["tune.txt"]
    document.save("mine\n", seen)


@pytest.mark.skipif(os.name == "nt", reason="permissions of POSIX")
def test_a_protected_file_is_not_replaced(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another file could be put in its place; its owner has said that it is to stay."""
    document = put(tmp_path, TAB.encode())
    document.path.chmod(0o444)
    plain_open = os.open

    def as_others_see_it(path: Any, flags: int, *rest: Any, **more: Any) -> int:
        """Nothing is protected from the administrator, who may run these tests."""
        if path == document.path and flags & os.O_WRONLY:
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))
        return plain_open(path, flags, *rest, **more)

    if os.access(document.path, os.W_OK):
        monkeypatch.setattr(os, "open", as_others_see_it)
    with pytest.raises(PermissionError) as caught:
        document.save("mine\n", document.load().seen)
    assert in_words(caught.value) == ("the file or its folder is protected against this", 403)
    assert document.path.read_text() == TAB


@pytest.mark.skipif(os.name == "nt", reason="pipes and links of POSIX")
def test_what_is_no_plain_file_is_refused_at_once(tmp_path: Path) -> None:
    pipe, loop = tmp_path / "pipe", tmp_path / "loop"
    os.mkfifo(pipe)
    loop.symlink_to(loop)
    for path in (pipe, tmp_path, Path("/dev/zero")):
        with pytest.raises(OSError, match=r"plain file|directory"):
            Document(path).load()
    with pytest.raises(OSError, match="symbolic links"):
        Document(loop).load()


@pytest.mark.skipif(os.name == "nt", reason="links of POSIX")
def test_a_chain_of_links_leads_to_the_tab(tmp_path: Path) -> None:
    document = put(tmp_path, TAB.encode())
    (tmp_path / "folder").mkdir()
    (tmp_path / "folder" / "one").symlink_to("../tune.txt")
    (tmp_path / "two").symlink_to("folder/one")
    through = Document(tmp_path / "two")
    through.save("mine\n", through.load().seen)
    assert document.path.read_text() == "mine\n"
    assert not document.path.is_symlink()
    assert os.readlink(tmp_path / "two") == "folder/one"
    assert os.readlink(tmp_path / "folder" / "one") == "../tune.txt"
