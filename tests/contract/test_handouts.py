"""The hook for hand-outs: a plugin makes one, and the program reads, writes and tells."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

import rollstave
from rollstave.assembly import handouts
from rollstave.cli.main import main
from tests.contract.test_manager import TAB, Folder, folder, reasons, use

__all__ = ["folder"]

MAKER = """
import rollstave
rollstave_contract = "1.2"

@rollstave.hookimpl
def rollstave_handouts():
    option = rollstave.WriterOption("how_often", 1, "times")
    return [
        rollstave.HandoutMaker(name="sheet-of", make=of, help="A sheet.", options=(option,)),
        rollstave.HandoutMaker(name="words-of", make=words, takes="names"),
        rollstave.HandoutMaker(name="broken", make=broken),
        rollstave.HandoutMaker(name="odd", make=lambda tune: 3),
        rollstave.HandoutMaker(name="No Name", make=of),
    ]

def of(tune, how_often=1):
    one = rollstave.Exercise("Again", tune.score)
    return rollstave.Handout("A sheet", tune.score, (rollstave.Part("", (one,) * how_often),))

def words(names):
    problem = rollstave.Problem(rollstave.Severity.ERROR, "no-rework", f"no {' or '.join(names)}")
    raise rollstave.TabError((problem,))

def broken(tune):
    raise ZeroDivisionError("by zero")
"""


@pytest.fixture
def tune(folder: Folder, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    use(folder.contract(maker=MAKER), monkeypatch)
    path = tmp_path / "tune.txt"
    path.write_text(TAB, encoding="utf-8")
    return path


def run(*arguments: object) -> tuple[int, str]:
    result = CliRunner().invoke(main, [str(a) for a in arguments])
    assert not isinstance(result.exception, AssertionError)
    return result.exit_code, result.output


def test_a_command_of_its_own_with_its_options(tune: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.pdf"
    code, said = run("sheet-of", tune, "--out", out, "--how-often", 3)
    assert (code, said) == (0, f"wrote {out}: 3 exercises\n")
    assert out.read_bytes().startswith(b"%PDF")
    code, said = run("sheet-of", "--help")
    assert "A sheet. " in said  # one stop, whether the plugin typed it or not
    assert code == 0
    assert "--how-often" in said


def test_the_ending_says_the_format(tune: Path, tmp_path: Path) -> None:
    for ending, begins in ((".html", b"<!DOCTYPE html>"), (".txt", b"Title: A sheet")):
        out = tmp_path / f"out{ending}"
        assert run("sheet-of", tune, "--out", out)[0] == 0
        assert out.read_bytes().startswith(begins)
    code, said = run("sheet-of", tune, "--out", tmp_path / "out.doc")
    assert code == 2
    assert "its ending says the format: .pdf" in said


def test_what_was_there_is_left_alone(tune: Path, tmp_path: Path) -> None:
    out = tmp_path / "mine.pdf"
    out.write_text("mine")
    code, said = run("sheet-of", tune, "--out", out)
    assert code == 2
    assert "--overwrite" in said
    assert out.read_text() == "mine"
    code, said = run("sheet-of", tune, "--out", tune)
    assert code == 2
    assert tune.read_text(encoding="utf-8") == TAB


def test_errors_are_told_and_nothing_is_written(tune: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.pdf"
    code, said = run("words-of", "X", "Y", "--out", out)
    assert (code, said) == (2, "words-of: error: no X or Y\n")
    code, said = run("broken", tune, "--out", out)
    assert code == 2
    assert "the hand-out 'broken' failed: ZeroDivisionError: by zero; nothing is written" in said
    code, said = run("odd", tune, "--out", out)
    assert code == 2
    assert "returned a int, not a Handout" in said
    bad = tmp_path / "bad.txt"
    bad.write_text("no tab here\n")
    code, said = run("sheet-of", bad, "--out", out)
    assert code == 2
    assert said.startswith(f"{bad}:1:1: error: no tab found")
    code, said = run("sheet-of", tmp_path / "none.txt", "--out", out)
    assert code != 0
    assert "none.txt" in said
    assert not out.exists()


def test_a_file_of_several_tunes_asks_which(tune: Path, tmp_path: Path) -> None:
    two = tmp_path / "two.txt"
    two.write_text(TAB + "\n\n\n" + TAB.replace("Ferry Bell", "Second Bell"), encoding="utf-8")
    assert len(rollstave.read(two)) == 2
    out = tmp_path / "out.txt"
    code, said = run("sheet-of", two, "--out", out)
    assert code == 2
    assert "say which with --tune: 1 Ferry Bell, 2 Second Bell" in said
    assert run("sheet-of", two, "--tune", 2, "--out", out)[0] == 0
    assert run("sheet-of", two, "--tune", 3, "--out", out)[0] == 2


def test_a_name_that_is_no_command_is_left_out(
    folder: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    contract = folder.contract(maker=MAKER)
    use(contract, monkeypatch)
    assert [m.name for m in handouts.makers()] == ["sheet-of", "words-of", "broken", "odd"]
    assert "'No Name' is no name for a command" in reasons(contract)["maker"]
    assert run("No Name", "x")[0] == 2


def test_the_guides_example_works(
    folder: Folder, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    guide = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")
    code = guide.partition("<!-- a hand-out -->\n```python\n")[2].partition("```")[0]
    use(folder.contract(again=code), monkeypatch)
    path, out = tmp_path / "tune.txt", tmp_path / "out.txt"
    path.write_text(TAB, encoding="utf-8")
    assert run("again", path, "--times", 3, "--out", out)[0] == 0
    assert out.read_text(encoding="utf-8").count("Until it runs by itself.") == 3
