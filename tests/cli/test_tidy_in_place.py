"""``rollstave tidy`` and the file itself: links, permissions, encodings, edits meanwhile."""

from __future__ import annotations

import codecs
import os
from pathlib import Path
from typing import Any

import pytest

import rollstave
from rollstave.cli import tidy as command
from rollstave.score.compare import essence
from tests.cli.test_tidy import MESSY, run

PLAIN = MESSY.replace("¦", "|").replace("—", "-")


@pytest.fixture
def messy(tmp_path: Path) -> Path:
    path = tmp_path / "gull.txt"
    path.write_text(MESSY, encoding="utf-8")
    return path


def left(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir())


def test_an_edit_that_was_saved_meanwhile_stays(
    messy: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    usual = command._rewritten

    def slow(*arguments: Any) -> Any:
        messy.write_text(MESSY + "> A word more.\n", encoding="utf-8")
        return usual(*arguments)

    monkeypatch.setattr(command, "_rewritten", slow)
    result = run("tidy", str(messy))
    assert result.exit_code == 2
    assert "it was changed while it was read" in result.output
    assert messy.read_text(encoding="utf-8") == MESSY + "> A word more.\n"
    assert left(messy.parent) == ["gull.txt"]


def test_a_file_that_is_removed_meanwhile_stays_removed(
    messy: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    usual = command._rewritten

    def slow(*arguments: Any) -> Any:
        messy.unlink()
        return usual(*arguments)

    monkeypatch.setattr(command, "_rewritten", slow)
    result = run("tidy", str(messy))
    assert result.exit_code == 2
    assert "cannot be written" in result.output
    assert left(messy.parent) == []


def test_a_link_is_followed(messy: Path, tmp_path: Path) -> None:
    link = tmp_path / "links" / "to" / "gull.txt"
    link.parent.mkdir(parents=True)
    link.symlink_to(os.path.relpath(messy, link.parent))
    assert run("tidy", str(link)).exit_code == 0
    assert link.is_symlink()
    assert ">" not in messy.read_text(encoding="utf-8")
    assert left(link.parent) == ["gull.txt"]


def test_hard_links_stay_together(messy: Path) -> None:
    other = messy.with_name("other.txt")
    os.link(messy, other)
    result = run("tidy", str(messy))
    assert result.exit_code == 2
    assert "second name (a hard link)" in result.output
    assert other.read_text(encoding="utf-8") == messy.read_text(encoding="utf-8") == MESSY
    assert messy.samefile(other)


@pytest.mark.parametrize("mode", [0o600, 0o664, 0o755])
def test_permissions_stay(messy: Path, mode: int) -> None:
    messy.chmod(mode)
    assert run("tidy", str(messy)).exit_code == 0
    assert messy.stat().st_mode & 0o7777 == mode


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_file_that_can_only_be_read(messy: Path) -> None:
    messy.chmod(0o444)
    result = run("tidy", str(messy))
    assert result.exit_code == 2
    assert "can only be read" in result.output
    assert messy.read_text(encoding="utf-8") == MESSY


ENCODINGS = [
    ("utf-8", b"", MESSY), ("utf-8", codecs.BOM_UTF8, MESSY),
    ("utf-16-le", codecs.BOM_UTF16_LE, MESSY),
    ("utf-16-be", codecs.BOM_UTF16_BE, MESSY), ("cp1252", b"", PLAIN.replace("ferry", "fährmann")),
]  # fmt: skip


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"], ids=["LF", "CR LF", "CR"])
@pytest.mark.parametrize(("encoding", "mark", "text"), ENCODINGS, ids=range(len(ENCODINGS)))
def test_encoding_and_line_ends_stay(
    messy: Path, encoding: str, mark: bytes, text: str, end: str
) -> None:
    data = mark + text.replace("\n", end).encode(encoding)
    messy.write_bytes(data)
    before = rollstave.read(messy)[0].score
    result = run("tidy", str(messy))
    assert result.exit_code == 0, result.output
    after = messy.read_bytes()
    assert after != data
    assert after.startswith(mark)
    told = after[len(mark) :].decode(encoding)
    assert set(told.replace(end, "")).isdisjoint("\r\n")
    assert ("fährmann" in told) == (encoding == "cp1252")
    assert essence(rollstave.read(messy)[0].score) == essence(before)
    assert "already tidy" in run("tidy", str(messy)).output


@pytest.mark.parametrize("end", ["\n", "\r\n"], ids=["LF", "CR LF"])
def test_a_letter_that_the_encoding_has_not(
    messy: Path, end: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    typed = PLAIN.replace("ferry", "fährmann").replace("\n", end)
    messy.write_bytes(typed.encode("cp1252"))
    before = messy.read_bytes()
    text = "Title: Gull\nKey: G\n\n\N{BANJO}\n"
    monkeypatch.setattr(command, "_rewritten", lambda *_: (text, []))
    result = run("tidy", str(messy))
    assert result.exit_code == 2
    assert "cp1252, which cannot hold '\N{BANJO}'" in result.output
    assert messy.read_bytes() == before


def test_what_is_rewritten_by_force_is_kept(messy: Path) -> None:
    text = MESSY.replace("2h4", "2q4")
    messy.write_text(text, encoding="utf-8")
    result = run("tidy", str(messy), "--force")
    assert result.exit_code == 0, result.output
    kept = messy.parent / ".rollstave" / "replaced" / "gull.txt"
    assert str(kept) in result.output
    assert kept.read_text(encoding="utf-8") == text
    assert "2q4" not in messy.read_text(encoding="utf-8")
    assert messy.stat().st_nlink == 1
