"""Names that are shown alike, sources that meet, states that are damaged, old or elsewhere."""

from __future__ import annotations

import os
import sqlite3
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from rollstave.archive.opening import FORMAT
from tests.archive.inline import inline as inline
from tests.archive.tabs import convert, fill, report, tab, tree

pytestmark = pytest.mark.usefixtures("inline")

# A name of bytes that are no text beside one that has the letters of its escape; control signs too.
ALIKE = [(b"reel\xff.txt", rb"reel\xff.txt"), (b"reel\n.txt", rb"reel\n.txt"),
         (b"\xff.txt", b"\xfe.txt"), (b"a\x1b.txt", rb"a\x1b.txt")]  # fmt: skip


@pytest.mark.skipif(sys.platform != "linux", reason="names of any bytes")
@pytest.mark.parametrize("names", ALIKE)
def test_names_that_are_shown_alike_are_two_files(tmp_path: Path, names: tuple[bytes, ...]) -> None:
    tabs, out = tmp_path / "tabs", tmp_path / "out"
    tabs.mkdir()
    for number, name in enumerate(names):
        (tabs / os.fsdecode(name)).write_text(tab(f"Number {number}"), encoding="utf-8")
    for _ in range(2):
        result = convert(tabs, "--out", out, "--to", "musicxml")
        assert result.exit_code == 0, result.output
        assert "2  converted" in result.output
        made = b"".join(tree(out).values())
        assert (len(tree(out)), b"Number 0" in made, b"Number 1" in made) == (2, True, True)
    assert "2    of these, unchanged" in result.output
    (tabs / os.fsdecode(names[0])).unlink()
    assert convert(tabs, "--out", out, "--to", "musicxml").exit_code == 0
    (left,) = tree(out).values()
    assert b"Number 1" in left


def test_a_tune_of_another_folder_does_not_take_the_place_of_one(tmp_path: Path) -> None:
    """Two runs, two folders, one --out: the second would lose the sheets of the first."""
    one, other, out = (tmp_path / n for n in ("one", "other", "out"))
    fill(one, 1)
    other.mkdir()
    (other / "tune-000.txt").write_text(tab("Otter Weir"), encoding="utf-8")
    convert(one, "--out", out, "--to", "musicxml")
    before = tree(out)
    result = convert(other, "--out", out, "--to", "musicxml")
    assert result.exit_code == 2
    assert "was made of" in result.output
    assert tree(out) == before
    assert convert(other, "--out", out, "--to", "musicxml", "--overwrite").exit_code == 0
    assert b"Otter Weir" in b"".join(tree(out).values())
    # The first run's tune is not taken for done because something has its name.
    assert "unchanged" not in convert(one, "--out", out, "--to", "musicxml").output
    # A source that is gone (its folder was renamed) is no reason to keep its sheet from another.
    (other / "tune-000.txt").unlink()
    assert convert(one, "--out", out, "--to", "musicxml").exit_code == 0
    assert tree(out) == before


def test_what_overwrite_replaces_is_kept(tmp_path: Path) -> None:
    tabs, out = tmp_path / "tabs", tmp_path / "out"
    fill(tabs / "deep", 1)
    foreign = out / "deep" / "tune-000.musicxml"
    foreign.parent.mkdir(parents=True)
    for number in (1, 2):
        foreign.write_text(f"mine {number}", encoding="utf-8")
        result = convert(tabs, "--out", out, "--to", "musicxml", "--overwrite", "--again")
        assert result.exit_code == 0, result.output
        assert "was replaced; what it was is kept as" in result.output
        assert b"Tune 0" in foreign.read_bytes()
    kept = sorted((out / ".rollstave" / "replaced" / "deep").iterdir())
    assert {p.read_text() for p in kept} == {"mine 1", "mine 2"}
    assert all(str(p.name) in result.output or p.read_text() == "mine 1" for p in kept)


@pytest.mark.parametrize("name", ["report.html", "report.json"])
def test_a_report_of_someone_else(tmp_path: Path, name: str) -> None:
    tabs = tmp_path / "tabs"
    fill(tabs, 1)
    (tabs / name).write_text("of the school's year", encoding="utf-8")
    result = convert(tabs, "--out", tabs, "--to", "midi")
    assert result.exit_code == 2
    assert f"{name} is none of rollstave's" in result.output
    assert (tabs / name).read_text(encoding="utf-8") == "of the school's year"
    result = convert(tabs, "--out", tabs, "--to", "midi", "--overwrite")
    assert result.exit_code == 0, result.output
    assert (tabs / ".rollstave" / "replaced" / name).read_text() == "of the school's year"
    assert convert(tabs, "--out", tabs, "--to", "midi").exit_code == 0


def test_the_list_itself_is_an_input(tmp_path: Path) -> None:
    (path,) = fill(tmp_path / "tabs", 1)
    out = tmp_path / "out"
    out.mkdir()
    listing = out / "tune-000.txt"
    listing.write_text(f"{path}\n", encoding="utf-8")
    result = convert("--list", listing, "--out", out, "--to", "text", "--overwrite")
    assert result.exit_code == 2
    assert listing.read_text(encoding="utf-8") == f"{path}\n"


def test_single_files_and_folders_know_of_each_other(tmp_path: Path) -> None:
    tabs, out = tmp_path / "tabs", tmp_path / "out"
    (path,) = fill(tabs, 1)
    for arguments in ([path], [tabs], [path, "--large"], [tabs, "--large"]):
        path.write_text(tab(f"Version {len(arguments)}"), encoding="utf-8")
        result = convert(*arguments, "--out", out, "--to", "text")
        assert result.exit_code == 0, result.output
    (out / "tune-000.txt").write_text("edited", encoding="utf-8")
    for arguments in ([path], [tabs, "--again"]):
        result = convert(*arguments, "--out", out, "--to", "text")
        assert result.exit_code == 2
        assert "changed since rollstave wrote it" in result.output
    assert (out / "tune-000.txt").read_text(encoding="utf-8") == "edited"


def test_what_was_made_beside_a_tab_is_read_only_once_it_was_edited(tmp_path: Path) -> None:
    tabs, out = tmp_path / "tabs", tmp_path / "out"
    (path,) = fill(tabs / "week 1", 1)
    convert(path, "--to", "musicxml")
    assert "1  converted" in convert(tabs, "--out", out, "--to", "midi").output
    made = path.with_suffix(".musicxml")
    made.write_bytes(made.read_bytes().replace(b"Tune 0", b"By hand"))
    assert "2  converted" in convert(tabs, "--out", out, "--to", "midi").output


# States that are not as they should be ---------------------------------------------------------


def state_of(out: Path) -> Path:
    return out / ".rollstave" / "state.sqlite"


def change(out: Path, *statements: str) -> None:
    db = sqlite3.connect(state_of(out), isolation_level=None)
    for statement in statements:
        db.execute(statement)
    db.close()


OTHERS = {
    "newer": ["UPDATE meta SET value='99' WHERE name='format'"],
    "older": [
        "UPDATE meta SET value='1' WHERE name='format'",
        "UPDATE sources SET source=CAST(source AS TEXT)",
    ],
    "no format": ["DELETE FROM meta"],
    "another column": ["ALTER TABLE sources ADD COLUMN colour TEXT"],
    "a column less": ["ALTER TABLE sources DROP COLUMN remark"],
    "a table less": ["DROP TABLE made"],
}


@pytest.mark.parametrize("changes", OTHERS.values(), ids=OTHERS)
def test_a_state_of_another_version_is_rebuilt_and_outputs_stay_ours(
    tmp_path: Path, changes: list[str]
) -> None:
    assert FORMAT != "99"
    tabs, out = tmp_path / "tabs", tmp_path / "out"
    paths = fill(tabs, 2)
    convert(tabs, "--out", out, "--to", "midi")
    change(out, *changes)
    (out / "tune-001.mid").write_bytes(b"edited")
    paths[0].write_text(tab("Changed", 3), encoding="utf-8")
    paths[1].write_text(tab("Changed too", 4), encoding="utf-8")
    result = convert(tabs, "--out", out, "--to", "midi")
    assert "begins anew" in result.output
    assert result.output.count("was there before") == 1
    assert (out / "tune-001.mid").read_bytes() == b"edited"
    assert report(out)["counts"]["done"] == 1
    assert "begins anew" not in convert(tabs, "--out", out, "--to", "midi").output


def as_folder(path: Path) -> None:
    path.unlink()
    path.mkdir()


def as_garbage(path: Path) -> None:
    path.write_bytes(b"this is no database" * 400)


def as_torn(path: Path) -> None:
    """The first page of a database, and the rest of its bytes overwritten."""
    data = path.read_bytes()
    path.write_bytes(data[:4096] + b"\xaa" * (len(data) - 4096))


@pytest.mark.parametrize("spoil", [as_folder, as_garbage, as_torn])
def test_a_state_that_is_none_begins_anew(tmp_path: Path, spoil: Callable[[Path], None]) -> None:
    tabs, out = tmp_path / "tabs", tmp_path / "out"
    fill(tabs, 1)
    convert(tabs, "--out", out, "--to", "midi")
    for _ in range(2):  # what was set aside before is not lost either
        spoil(state_of(out))
        result = convert(tabs, "--out", out, "--to", "midi")
        assert result.exit_code == 0, result.output
        assert "begins anew" in result.output
    assert len(list((out / ".rollstave").glob("state.unreadable*"))) == 2


def test_garbage_in_the_lock(tmp_path: Path) -> None:
    tabs, out = tmp_path / "tabs", tmp_path / "out"
    fill(tabs, 1)
    convert(tabs, "--out", out, "--to", "midi")
    (out / ".rollstave" / "lock").write_bytes(b"no lock at all" * 300)
    result = convert(tabs, "--out", out, "--to", "midi")
    assert result.exit_code == 0, result.output
    assert (out / ".rollstave" / "lock").stat().st_size == 0


@pytest.mark.parametrize("single", [True, False])
@pytest.mark.parametrize("name", ["", "state.sqlite", "lock", "state.sqlite-journal", "written"])
@pytest.mark.parametrize("hard", [False, True])
def test_the_state_is_not_followed_out_of_the_folder(
    tmp_path: Path, name: str, hard: bool, single: bool
) -> None:
    tabs, out, elsewhere = (tmp_path / n for n in ("tabs", "out", "elsewhere"))
    (path,) = fill(tabs, 1)
    out.mkdir()
    link = out / ".rollstave" / name
    if not name:
        if hard:
            pytest.skip("folders have one name")
        elsewhere.mkdir()
        os.symlink(elsewhere, out / ".rollstave")
    else:
        link.parent.mkdir()
        elsewhere.write_bytes(b"")
        (os.link if hard else os.symlink)(elsewhere, link)
    touched = name in ("", "written") if single else name != "written"
    result = convert(path if single else tabs, "--out", out, "--to", "midi")
    assert (result.exit_code == 2) == touched, result.output
    if touched:
        assert "link" in result.output
        assert tree(out) == {}
    assert (list(elsewhere.iterdir()) if not name else elsewhere.read_bytes()) in ([], b"")
    assert "Traceback" not in result.output
