"""The command line: files in and out, reports, exit codes."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from lxml import etree

from rollstave.cli.main import main
from rollstave.reporting.files import output_paths
from tests.tunes import SAMPLES

TAB = """Title: The Two Oars
Tuning: gDGBD
Key: G
Time: 4/4

D|-------0-------0-|
B|---0-------0-----|
G|-0---------------|
D|---------0-------|
g|-----0-------0---|
"""


def run(*arguments: str, typed: str | bytes | None = None) -> Result:
    return CliRunner().invoke(main, list(arguments), input=typed)


@pytest.fixture
def tab(tmp_path: Path) -> Path:
    path = tmp_path / "two-oars.txt"
    path.write_text(TAB, encoding="utf-8")
    return path


def names(folder: Path) -> list[str]:
    """What is in a folder, but for what rollstave knows of it."""
    return sorted(p.name for p in folder.iterdir() if p.name != ".rollstave")


@pytest.mark.parametrize("wanted", [["midi,text"], ["midi", "text"], ["midi,text", "text"]])
def test_formats_may_be_named_together_or_one_by_one(
    tab: Path, tmp_path: Path, wanted: list[str]
) -> None:
    options = [part for form in wanted for part in ("--to", form)]
    assert run("convert", str(tab), "--out", str(tmp_path / "out"), *options).exit_code == 0
    assert names(tmp_path / "out") == ["two-oars.mid", "two-oars.txt"]


def test_writes_musicxml_and_svg_beside_the_input(tab: Path) -> None:
    result = run("convert", str(tab))
    assert result.exit_code == 0, result.output
    assert names(tab.parent) == ["two-oars.musicxml", "two-oars.svg", "two-oars.txt"]
    for ending in ("musicxml", "svg"):
        etree.parse(str(tab.with_suffix(f".{ending}")))


def test_out_and_to(tab: Path, tmp_path: Path) -> None:
    out = tmp_path / "new" / "folder"
    result = run("convert", str(tab), "--out", str(out), "--to", "midi,mei,musicxml,svg")
    assert result.exit_code == 0, result.output
    assert names(out) == ["two-oars.mei", "two-oars.mid", "two-oars.musicxml", "two-oars.svg"]
    # Standard MIDI file: the header chunk is MThd.
    assert (out / "two-oars.mid").read_bytes().startswith(b"MThd")


def test_pages_are_numbered(tmp_path: Path) -> None:
    path = tmp_path / "long.txt"
    head, system = TAB.split("\n\n")
    path.write_text(head + "\n\n" + "\n".join([system] * 80), encoding="utf-8")
    result = run("convert", str(path), "--to", "svg")
    assert result.exit_code == 0, result.output
    pages = len(names(tmp_path)) - 1
    assert pages > 1
    assert names(tmp_path) == sorted(["long.txt", *(f"long-{n + 1}.svg" for n in range(pages))])


@pytest.mark.parametrize(
    ("pages", "named"), [(1, ["a.svg"]), (3, ["a-1.svg", "a-2.svg", "a-3.svg"])]
)
def test_several_pages_are_counted_from_1(pages: int, named: list[str]) -> None:
    """As the README names the pages of a long tune."""
    assert [p.name for p in output_paths(Path("out"), "a", ".svg", pages)] == named


def test_standard_input(tmp_path: Path) -> None:
    result = run("convert", "-", "--out", str(tmp_path), typed=TAB)
    assert result.exit_code == 0, result.output
    assert len(names(tmp_path)) == 2


def test_two_tunes_of_a_file_get_their_own_names(tmp_path: Path) -> None:
    path = tmp_path / "book.txt"
    path.write_text(TAB + "\n" + TAB.replace("The Two", "The Four"), encoding="utf-8")
    result = run("convert", str(path), "--to", "midi")
    assert result.exit_code == 0, result.output
    midi = [n for n in names(tmp_path) if n.endswith(".mid")]
    assert len(midi) == 2
    assert any("two-oars" in n for n in midi)
    assert any("four-oars" in n for n in midi)


def test_the_report_for_people(tab: Path) -> None:
    result = run("convert", str(tab))
    for words in ("The Two Oars", "gDGBD", "declared", "4/4", "G major", "measures: 1"):
        assert words in result.output
    assert "two-oars.svg" in result.output


def test_the_report_counts_what_was_typed_apart_from_what_was_guessed(tab: Path) -> None:
    tab.write_text(TAB + "   T I M\n", encoding="utf-8")
    assert "picking: 3 letters written, 5 inferred" in run("convert", str(tab)).output
    tab.write_text(TAB, encoding="utf-8")
    assert "picking: 0 letters written, 8 inferred" in run("convert", str(tab)).output


def test_the_report_for_programs(tab: Path) -> None:
    result = run("convert", str(tab), "--json")
    report = json.loads(result.output)
    assert report["title"] == "The Two Oars"
    assert (report["tuning"], report["meter"], report["key"]) == ("gDGBD", "4/4", "G major")
    assert [Path(p).name for p in report["written"]] == ["two-oars.musicxml", "two-oars.svg"]
    # Open G, string 1 first: D4 B3 G3 D3 G4 (General MIDI numbers).
    assert report["open_strings"] == [62, 59, 55, 50, 67]


def test_check_writes_nothing(tab: Path) -> None:
    result = run("check", str(tab), "--json")
    assert result.exit_code == 0, result.output
    assert names(tab.parent) == ["two-oars.txt"]
    report = json.loads(result.output)
    (measure,) = report["measures"]
    assert {"number", "confidence", "sure", "reasons", "first_line", "last_line"} <= set(measure)
    assert (measure["number"], measure["first_line"], measure["last_line"]) == (1, 6, 10)
    assert 0 <= measure["confidence"] <= 1
    for problem in report["problems"]:
        assert {"line", "column", "severity", "message"} <= set(problem)


def test_check_for_people(tab: Path) -> None:
    result = run("check", str(tab))
    assert result.exit_code == 0
    assert "The Two Oars" in result.output
    assert names(tab.parent) == ["two-oars.txt"]


def test_warnings_have_a_place_and_still_convert(tab: Path) -> None:
    tab.write_text(TAB.replace("Key: G", "Key: H"), encoding="utf-8")
    result = run("convert", str(tab))
    assert result.exit_code == 0
    assert f"{tab}:3:6: warning: " in result.output
    assert len(names(tab.parent)) == 3


@pytest.mark.parametrize("command", ["convert", "check"])
def test_errors_have_a_place_and_leave_nothing(command: str, tab: Path) -> None:
    tab.write_text(TAB.replace("g|-----0", "g|-----3"), encoding="utf-8")
    result = run(command, str(tab))
    assert result.exit_code == 2
    assert f"{tab}:10:8: error: fret 3 on string 5 does not exist" in result.stderr
    assert names(tab.parent) == ["two-oars.txt"]


def test_errors_for_programs(tab: Path) -> None:
    tab.write_text(TAB.replace("g|-----0", "g|-----3"), encoding="utf-8")
    result = run("check", str(tab), "--json")
    assert result.exit_code == 2
    report = json.loads(result.stdout)
    assert report["measures"] == []
    (error,) = [p for p in report["problems"] if p["severity"] == "error"]
    assert (error["line"], error["column"]) == (10, 8)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\r", "not a text file"),
        (b"A poem about a ferry.\n", "no tab"),
    ],
)
def test_files_that_are_no_tab(data: bytes, words: str, tmp_path: Path) -> None:
    path = tmp_path / "bad.txt"
    path.write_bytes(data)
    result = run("convert", str(path))
    assert result.exit_code == 2
    assert f"{path}:1:1: error: " in result.stderr
    assert words in result.stderr
    assert names(tmp_path) == ["bad.txt"]


def test_a_missing_file(tmp_path: Path) -> None:
    path = tmp_path / "gone.txt"
    result = run("convert", str(path))
    assert result.exit_code == 2
    assert str(path) in result.stderr
    assert "cannot be read" in result.stderr


def test_a_folder_for_a_file(tmp_path: Path) -> None:
    """A folder is an archive and needs --out (tests/archive); other commands take files."""
    result = run("convert", str(tmp_path))
    assert result.exit_code == 2
    assert "say with --out DIR where the outputs go" in result.stderr
    result = run("check", str(tmp_path))
    assert result.exit_code == 2
    assert "cannot be read" in result.stderr


def test_the_other_files_of_a_batch_are_done(tab: Path, tmp_path: Path) -> None:
    bad = tmp_path / "bad.txt"
    bad.write_bytes(b"")
    other = tmp_path / "other.txt"
    other.write_text(TAB, encoding="utf-8")
    result = run("convert", str(tab), str(bad), str(other), "--to", "musicxml")
    assert result.exit_code == 2
    assert names(tmp_path) == [
        "bad.txt",
        "other.musicxml",
        "other.txt",
        "two-oars.musicxml",
        "two-oars.txt",
    ]


def test_a_place_that_cannot_be_written(tab: Path, tmp_path: Path) -> None:
    # A file where the folder should be: no user, not even root, can write into it.
    blocked = tmp_path / "blocked"
    blocked.write_text("in the way", encoding="utf-8")
    result = run("convert", str(tab), "--out", str(blocked / "deeper"))
    assert result.exit_code == 2
    assert "cannot write" in result.stderr
    assert names(tmp_path) == ["blocked", "two-oars.txt"]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_without_permission(tab: Path, tmp_path: Path) -> None:
    locked = tmp_path / "locked"
    locked.mkdir(mode=0o500)
    result = run("convert", str(tab), "--out", str(locked))
    assert result.exit_code == 2
    assert "cannot write" in result.stderr
    assert names(locked) == []


def test_nothing_is_left_if_the_last_file_cannot_be_written(tab: Path) -> None:
    """A folder stands where the SVG should go: the MusicXML is not left behind half the job."""
    tab.with_suffix(".svg").mkdir()
    result = run("convert", str(tab))
    assert result.exit_code == 2
    assert names(tab.parent) == ["two-oars.svg", "two-oars.txt"]


def test_unknown_format(tab: Path) -> None:
    result = run("convert", str(tab), "--to", "harbour")
    assert result.exit_code == 2
    assert "'harbour' is not one of" in result.stderr
    assert "musicxml" in result.stderr


def test_tunings_lists_the_table() -> None:
    found = run("tunings")
    assert found.exit_code == 0
    for words in ("gDGBD", "open G", "G4", "sawmill", "f#DF#AD"):
        assert words in found.output
    data = json.loads(run("tunings", "--json").output)
    banjo = {t["written"]: t["notes"] for t in data if "banjo" in t["instrument"]}
    # Table of tunings, octaves by arithmetic.
    assert banjo["gDGCD"] == ["G4", "D3", "G3", "C4", "D4"]


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_samples_convert_without_a_warning(path: Path, tmp_path: Path) -> None:
    result = run("convert", str(path), "--out", str(tmp_path), "--json")
    assert result.exit_code == 0
    report = json.loads(result.output)
    told = [p for p in report["problems"] if p["severity"] != "notice"]
    # The waltz's last measure is completed by its pickup (common practice) and may be told.
    assert [p["code"] for p in told] in ([], ["measure-length"])
    assert len(report["measures"]) >= 16
