"""What a command writes: never over an input, never over what it did not write."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from rollstave.cli.main import main
from rollstave.outputs.ledger import Entry, Ledger, hash_of
from rollstave.workers import CannotStart
from tests.archive.tabs import tab


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(a) for a in arguments])


def write(path: Path, text: str) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")
    return path


@pytest.fixture
def tune(tmp_path: Path) -> Path:
    return write(tmp_path / "tune.txt", tab())


def seen(folder: Path) -> dict[str, bytes]:
    return {
        str(p.relative_to(folder)): p.read_bytes()
        for p in sorted(folder.rglob("*"))
        if p.is_file() and ".rollstave" not in p.parts
    }


# Files of others, and edited ones --------------------------------------------------------------


def test_an_edited_tab_is_not_written_over(tune: Path) -> None:
    assert run("convert", tune, "--to", "musicxml").exit_code == 0
    score, out = tune.with_suffix(".musicxml"), tune.parent / "out"
    for _ in range(2):
        assert run("convert", score, "--to", "text", "--out", out).exit_code == 0
    edited = write(out / "tune.txt", "my own text")
    result = run("convert", score, "--to", "text,midi", "--out", out)
    assert result.exit_code == 2
    assert "was there before, or was changed since rollstave wrote it" in result.stderr
    assert seen(out) == {"tune.txt": b"my own text"}
    told = json.loads(run("convert", score, "--to", "text", "--out", out, "--json").stdout)
    assert [p["code"] for p in told["problems"]] == ["file"]
    result = run("convert", score, "--to", "text,midi", "--out", out, "--overwrite")
    assert result.exit_code == 0
    assert "Title: The Two Oars" in edited.read_text(encoding="utf-8")
    kept = out / ".rollstave" / "replaced" / "tune.txt"
    assert kept.read_text(encoding="utf-8") == "my own text"
    assert str(kept) in result.output
    assert run("convert", score, "--to", "text", "--out", out).exit_code == 0


def test_a_sheet_of_someone_else(tune: Path) -> None:
    foreign = write(tune.with_suffix(".svg"), "<svg/>")
    result = run("convert", tune)
    assert result.exit_code == 2
    assert set(seen(tune.parent)) == {"tune.svg", "tune.txt"}
    assert foreign.read_text(encoding="utf-8") == "<svg/>"
    other = write(tune.with_name("other.txt"), tab("Other"))
    assert run("convert", tune, other, "--to", "svg").exit_code == 2
    assert other.with_suffix(".svg").exists(), "the other files are done"


def test_what_rollstave_wrote_is_written_again(tune: Path) -> None:
    for number in range(3):
        write(tune, tab("Version", number))
        for options in ([], ["--large"]):
            assert run("convert", tune, *options).exit_code == 0
    assert list(tune.parent.glob(".rollstave*")) == [tune.parent / ".rollstave"]
    assert [p.name for p in (tune.parent / ".rollstave").iterdir()] == ["written"]


def test_without_its_memory_the_same_bytes_are_taken_over(tune: Path) -> None:
    run("convert", tune, "--to", "midi")
    (tune.parent / ".rollstave" / "written").unlink()
    assert run("convert", tune, "--to", "midi").exit_code == 0
    write(tune, tab("Another", 4))
    assert run("convert", tune, "--to", "midi").exit_code == 0


def test_a_link_in_the_place_of_an_output(tune: Path, tmp_path: Path) -> None:
    elsewhere = write(tmp_path / "else" / "where.mid", "theirs")
    link = tune.with_suffix(".mid")
    link.symlink_to(elsewhere)
    assert run("convert", tune, "--to", "midi").exit_code == 2
    assert run("convert", tune, "--to", "midi", "--overwrite").exit_code == 0
    assert elsewhere.read_text(encoding="utf-8") == "theirs"
    assert not link.is_symlink()
    assert (tune.parent / ".rollstave" / "replaced" / "tune.mid").is_symlink()


def test_the_permissions_of_an_output_stay(tune: Path) -> None:
    run("convert", tune, "--to", "midi")
    made = tune.with_suffix(".mid")
    made.chmod(0o640)
    write(tune, tab("New", 2))
    assert run("convert", tune, "--to", "midi").exit_code == 0
    assert made.stat().st_mode & 0o777 == 0o640


# Names that meet -------------------------------------------------------------------------------


def test_two_inputs_of_one_name_in_one_out(tmp_path: Path) -> None:
    """As the README says: they keep their folders where two have the same name."""
    paths = [write(tmp_path / f / "tune.txt", tab(f"From {f}")) for f in ("a", "b")]
    plain = write(tmp_path / "a" / "plain.txt", tab("Plain"))
    out = tmp_path / "out"
    result = run("convert", *paths, plain, "--out", out, "--to", "musicxml")
    assert result.exit_code == 0, result.output
    found = seen(out)
    assert set(found) == {"a/tune.musicxml", "b/tune.musicxml", "plain.musicxml"}
    assert b"From a" in found["a/tune.musicxml"]
    assert b"From b" in found["b/tune.musicxml"]
    assert "would have had the same name" in result.output
    assert run("convert", *paths, "--out", out, "--to", "musicxml").exit_code == 0
    assert seen(out) == found


def test_that_a_name_is_another_is_among_the_problems_of_each_tune(tmp_path: Path) -> None:
    paths = [write(tmp_path / f / "tune.txt", tab(f"From {f}")) for f in ("a", "b")]
    result = run("convert", *paths, "--out", tmp_path / "out", "--to", "musicxml", "--json")
    reports = json.loads(result.stdout)
    assert [[p["code"] for p in r["problems"]].count("name") for r in reports] == [1, 1]


def test_two_inputs_of_one_stem_beside_each_other(tmp_path: Path) -> None:
    paths = [write(tmp_path / n, tab(f"As {n}")) for n in ("tune.tab", "tune.text")]
    assert run("convert", *paths, "--to", "musicxml").exit_code == 0
    assert b"As tune.tab" in seen(tmp_path)["tune.tab.musicxml"]
    assert b"As tune.text" in seen(tmp_path)["tune.text.musicxml"]


def test_one_name_after_another_in_one_out(tmp_path: Path) -> None:
    """``for tab in */tune.txt; do rollstave convert $tab --out out; done``"""
    paths = [write(tmp_path / f / "tune.txt", tab(f"From {f}")) for f in ("a", "b")]
    out = tmp_path / "out"
    assert run("convert", paths[0], "--out", out, "--to", "musicxml").exit_code == 0
    result = run("convert", paths[1], "--out", out, "--to", "musicxml")
    assert result.exit_code == 2
    assert f"was made of {paths[0]}, which is still there" in result.stderr
    assert b"From a" in seen(out)["tune.musicxml"]
    paths[0].unlink()
    assert run("convert", paths[1], "--out", out, "--to", "musicxml").exit_code == 0


def test_two_formats_of_one_ending(tune: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As a plugin's format may have that of another."""
    from rollstave.assembly.writers import find_writer

    offers = {form: find_writer(form) for form in ("midi", "mei")}
    both = {"midi": offers["midi"], "mei": offers["midi"]}
    monkeypatch.setattr("rollstave.assembly.writers.find_writer", lambda form: both[form])
    monkeypatch.setattr("rollstave.api.write", lambda tune, form, options, **_: (form.encode(),))
    result = run("convert", tune, "--to", "midi,mei")
    assert result.exit_code == 2
    assert "midi and mei would both be written to tune.mid" in result.stderr
    assert set(seen(tune.parent)) == {"tune.txt"}


def test_what_could_not_be_replaced_has_no_second_name(
    tune: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    foreign = write(tune.with_suffix(".mid"), "mine")

    def fail(*_: object) -> None:
        raise PermissionError(13, "not today")

    with monkeypatch.context() as patch:
        patch.setattr("os.replace", fail)
        assert run("convert", tune, "--to", "midi", "--overwrite").exit_code == 2
    assert foreign.read_text(encoding="utf-8") == "mine"
    assert foreign.stat().st_nlink == 1


# Never over an input ---------------------------------------------------------------------------


def as_itself(path: Path) -> Path:
    return path


def with_dots(path: Path) -> Path:
    return path.parent / "." / "sub" / ".." / path.name


def as_link(path: Path) -> Path:
    link = path.parent / "link.pdf"
    if not link.exists():
        link.symlink_to(path)
    return link


def as_hard_link(path: Path) -> Path:
    other = path.parent / "hard.pdf"
    if not other.exists():
        os.link(path, other)
    return other


@pytest.mark.parametrize("way", [as_itself, with_dots, as_link, as_hard_link])
@pytest.mark.parametrize("options", [[], ["--overwrite"]])
def test_a_book_is_not_written_over_its_tunes(
    tune: Path, way: Callable[[Path], Path], options: list[str]
) -> None:
    (tune.parent / "sub").mkdir()
    source = tune.rename(tune.with_suffix(".pdf"))  # so that the ending is no reason for anything
    before = source.read_bytes()
    result = run("book", source, "--out", way(source), *options)
    assert result.exit_code == 2
    assert "would write over the file that is read" in result.stderr
    assert source.read_bytes() == before
    # Nor where a file before it is not there.
    result = run("book", tune.parent / "none.txt", source, "--out", way(source), *options)
    assert "would write over the file that is read" in result.stderr
    assert source.read_bytes() == before


@pytest.mark.parametrize("options", [[], ["--overwrite"]])
def test_an_output_is_no_other_input_either(tune: Path, options: list[str]) -> None:
    run("convert", tune, "--to", "musicxml", "--out", tune.parent / "x")
    score = tune.parent / "tune.musicxml"
    (tune.parent / "x" / "tune.musicxml").rename(score)
    before = seen(tune.parent)
    # tune.musicxml as text is tune.musicxml.txt here, since tune.txt has its stem.
    result = run("convert", score, "--to", "text", *options, tune, "--out", tune.parent)
    assert seen(tune.parent)["tune.txt"] == before["tune.txt"], result.output
    os.link(tune, tune.parent / "again.mid")
    other = write(tune.parent / "again.txt", tab("Again"))
    result = run("convert", tune, other, "--to", "midi", *options)
    assert result.exit_code == 2
    assert "would write over the file that is read" in result.stderr
    assert tune.read_bytes() == before["tune.txt"]


COMMANDS = {
    "book": (["book", "{tune}", "--out"], "pdf"),
    "shapes": (["shapes", "C", "F", "G", "--out"], "svg"),
}


@pytest.mark.parametrize(("command", "ending"), COMMANDS.values(), ids=COMMANDS)
def test_an_ending_that_means_something_else(tune: Path, command: list[str], ending: str) -> None:
    command = [part.format(tune=tune) for part in command]
    for name in ("b.txt", "b.musicxml", "b.jpg"):
        result = run(*command, tune.parent / name)
        assert result.exit_code == 2
        assert f"does not end in .{ending}" in result.stderr
    assert set(seen(tune.parent)) == {"tune.txt"}


@pytest.mark.parametrize(("command", "ending"), COMMANDS.values(), ids=COMMANDS)
def test_one_output_follows_the_same_rule(tune: Path, command: list[str], ending: str) -> None:
    command = [part.format(tune=tune) for part in command]
    out = write(tune.parent / f"mine.{ending}", "mine")
    result = run(*command, out)
    assert result.exit_code == 2
    assert "was there before" in result.stderr
    assert out.read_text(encoding="utf-8") == "mine"
    result = run(*command, out, "--overwrite")
    assert result.exit_code == 0, result.output
    assert (tune.parent / ".rollstave" / "replaced" / out.name).read_text() == "mine"
    assert run(*command, out).exit_code == 0, "it is ours now"
    (tune.parent / f"folder.{ending}").mkdir()
    assert "is a directory" in run(*command, tune.parent / f"folder.{ending}").stderr
    assert "it is no plain file" in run(*command, os.devnull).stderr


@pytest.mark.parametrize(("command", "ending"), COMMANDS.values(), ids=COMMANDS)
def test_one_output_that_cannot_be_written(tune: Path, command: list[str], ending: str) -> None:
    blocked = write(tune.parent / "blocked", "in the way")
    command = [part.format(tune=tune) for part in command]
    result = run(*command, blocked / f"deeper.{ending}")
    assert result.exit_code == 2
    assert isinstance(result.exception, SystemExit)
    assert "cannot write to" in result.stderr


@pytest.mark.parametrize("where", ["read_each", "make"])
@pytest.mark.parametrize("error", [RecursionError("too deep"), OSError(28, os.strerror(28))])
def test_an_error_nobody_thought_of_costs_one_file_of_convert(
    tune: Path, where: str, error: Exception, monkeypatch: pytest.MonkeyPatch
) -> None:
    from rollstave.archive import making

    usual = getattr(making, where)
    calls: list[object] = []

    def once(*arguments: object) -> object:
        calls.append(arguments)
        if len(calls) == 1:
            raise error
        return usual(*arguments)

    monkeypatch.setattr(making, where, once)
    other = write(tune.with_name("other.txt"), tab("Other"))
    result = run("convert", tune, other, "--to", "midi")
    assert result.exit_code == 2
    assert f"{tune}: error: " in result.stderr
    assert str(error).split("] ")[-1] in result.stderr
    assert set(seen(tune.parent)) == {"tune.txt", "other.txt", "other.mid"}


@pytest.mark.parametrize("command", ["check", "tidy", "book"])
def test_an_error_nobody_thought_of_costs_one_file(
    tune: Path, command: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    from rollstave import api

    name = "read" if command == "tidy" else "read_parts"
    usual = getattr(api, name)
    monkeypatch.setattr("rollstave.writing.book.write_book", lambda scores, *_: b"%PDF")

    def read(data: bytes | str, *rest: object, **more: object) -> object:
        if "Bad" in str(data):
            raise KeyError("a thing")
        return usual(data, *rest, **more)

    monkeypatch.setattr(api, name, read)
    bad = write(tune.with_name("bad.txt"), tab("Bad"))
    options = ["--out", tune.with_suffix(".pdf")] if command == "book" else []
    result = run(command, bad, tune, *options)
    assert result.exit_code == 2
    assert "rollstave itself failed: KeyError: 'a thing'" in result.stderr
    assert "The Two Oars" in result.stdout or "tune" in result.stdout
    assert tune.with_suffix(".pdf").exists() == (command == "book")


@pytest.mark.parametrize("error", [OSError(28, os.strerror(28)), CannotStart("no more processes")])
def test_a_book_that_cannot_be_engraved(
    tune: Path, error: Exception, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The folder for what is in the making is on a disk that is full, or there are no workers."""

    def fail(*_: object) -> bytes:
        raise error

    monkeypatch.setattr("rollstave.writing.book.write_book", fail)
    result = run("book", tune, "--out", tune.with_suffix(".pdf"))
    assert result.exit_code == 2
    assert "cannot be made: " in result.stderr
    assert set(seen(tune.parent)) == {"tune.txt"}


# What is remembered ----------------------------------------------------------------------------


def test_names_come_back_from_the_ledger_whatever_they_are(tmp_path: Path) -> None:
    names = ["a\tb\nc\rd%0Ae.svg", os.fsdecode(b"\xff\\xff.svg"), "Fähre.svg"]
    entries = [Entry(content="0" * 64, name=n, source=f"../{n}") for n in names]
    Ledger(str(tmp_path)).add(entries)
    assert Ledger(str(tmp_path)).entries() == entries


def test_a_line_that_was_cut_off_costs_only_itself(tmp_path: Path) -> None:
    first, second, third = (Entry(content=c * 64, name=f"{c}.svg") for c in "abc")
    ledger = Ledger(str(tmp_path))
    ledger.add([first])
    path = tmp_path / ".rollstave" / "written"
    ledger.add([second])
    path.write_bytes(path.read_bytes()[:-30])
    ledger.add([third])
    assert ledger.entries() == [first, third]


def test_the_ledger_is_put_together_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("rollstave.outputs.ledger._LARGEST", 2000)
    here = write(tmp_path / "here.svg", "is here")
    ledger = Ledger(str(tmp_path))
    own = Entry(content=hash_of(str(here)), name="here.svg")
    ledger.add([own])
    for number in range(50):
        ledger.add([Entry(content=f"{number:064}", name=f"gone-{number}.svg")])
    assert own in ledger.entries()
    assert len(ledger.entries()) < 30
