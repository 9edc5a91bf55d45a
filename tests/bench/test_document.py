"""The file of the bench: nothing of it changes but what was edited, and nobody's work is lost."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from rollstave.bench.document import Changed, Document, NotInEncoding, difference
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
