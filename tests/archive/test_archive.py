"""A folder of tabs: what is converted, named, told, done again, and removed."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from rollstave.archive.report import common_folder
from rollstave.archive.state import State
from tests.archive.tabs import convert, fill, hidden, long_tab, report, tab, tree


@pytest.fixture
def tabs(tmp_path: Path) -> Path:
    return tmp_path / "tabs"


@pytest.fixture
def out(tmp_path: Path) -> Path:
    return tmp_path / "out"


def write(path: Path, text: str | bytes) -> Path:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def test_a_folder_keeps_its_structure(tabs: Path, out: Path) -> None:
    write(tabs / "one.txt", tab())
    write(tabs / "deep" / "er" / "two.tab", tab("Two"))
    write(tabs / ".hidden" / "three.txt", tab())
    result = convert(tabs, "--out", out)
    assert result.exit_code == 0, result.output
    assert sorted(tree(out)) == [
        "deep/er/two.musicxml",
        "deep/er/two.svg",
        "one.musicxml",
        "one.svg",
    ]
    assert hidden(out) == [".rollstave"]


def test_the_bytes_are_those_of_a_plain_conversion(tabs: Path, out: Path, tmp_path: Path) -> None:
    (path,) = fill(tabs, 1)
    convert(tabs, "--out", out, "--to", "musicxml,svg,midi,mei,text")
    convert(path, "--out", tmp_path / "plain", "--to", "musicxml,svg,midi,mei,text")
    assert tree(out) == tree(tmp_path / "plain")


def test_the_report_has_every_tune(tabs: Path, out: Path) -> None:
    fill(tabs, 2)
    write(tabs / "warned.txt", tab().replace("Key: G", "Key: H"))
    write(tabs / "bad.txt", tab().replace("g|-----0", "g|-----3"))
    write(tabs / "poem.txt", "A poem about a ferry.\n")
    write(tabs / "picture.png", b"\x89PNG")
    result = convert(tabs, "--out", out)
    assert result.exit_code == 2
    assert "bad.txt:10:8: error: fret 3 on string 5 does not exist" in result.output
    data = report(out)
    assert data["counts"] == {"done": 2, "warned": 1, "failed": 1, "skipped": 1, "vanished": 0}
    assert data["other_files"] == {".png": 1}
    by_file = {Path(t["file"]).name: t for t in data["tunes"]}
    good = by_file["tune-001.txt"]
    assert (good["title"], good["tuning"], good["key"]) == ("Tune 1", "gDGBD", "G major")
    assert (good["measures"], good["sure"], good["problems"]) == (1, 1.0, [])
    assert [o["path"] for o in good["outputs"]] == ["tune-001.svg", "tune-001.musicxml"]
    assert all((out / o["path"]).is_file() for o in good["outputs"])
    (told,) = by_file["bad.txt"]["problems"]
    assert (told["line"], told["column"], told["severity"]) == (10, 8, "error")
    (warning,) = by_file["warned.txt"]["problems"]
    assert (warning["line"], warning["column"]) == (3, 6)
    page = (out / "report.html").read_text(encoding="utf-8")
    assert all(words in page for words in ("Tune 1", "10:8: error: fret 3", "./tune-001.svg"))


def test_only_what_changed_is_done_again(tabs: Path, out: Path) -> None:
    paths = fill(tabs, 4)
    convert(tabs, "--out", out)
    stamps = {p: p.stat().st_mtime_ns for p in out.glob("tune*")}
    before = tree(out)
    paths[2].write_text(tab("Changed", 5), encoding="utf-8")
    os.utime(paths[1])  # the content decides, not the time
    result = convert(tabs, "--out", out)
    assert "3    of these, unchanged" in result.output
    changed = {p.name for p, stamp in stamps.items() if p.stat().st_mtime_ns != stamp}
    assert changed == {"tune-002.svg", "tune-002.musicxml"}
    assert b"Changed" in (out / "tune-002.musicxml").read_bytes()
    paths[2].write_text(tab("Tune 2", 2), encoding="utf-8")
    convert(tabs, "--out", out)
    assert tree(out) == before
    assert len(report(out)["tunes"]) == 4


@pytest.mark.parametrize("option", [["--large"], ["--view", "tab"], ["--again"]])
def test_options_count_as_a_change(tabs: Path, out: Path, option: list[str]) -> None:
    fill(tabs, 2)
    convert(tabs, "--out", out)
    assert "unchanged" not in convert(tabs, "--out", out, *option).output


def test_a_new_version_counts_as_a_change(
    tabs: Path, out: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill(tabs, 2)
    convert(tabs, "--out", out)
    monkeypatch.setattr("rollstave.archive.making.versions", lambda: (("a-plugin", "2"),))
    assert "unchanged" not in convert(tabs, "--out", out).output
    assert "2    of these, unchanged" in convert(tabs, "--out", out).output


def test_another_format_is_added_and_the_first_stays(tabs: Path, out: Path) -> None:
    fill(tabs, 1)
    convert(tabs, "--out", out, "--to", "svg")
    convert(tabs, "--out", out, "--to", "midi")
    assert sorted(tree(out)) == ["tune-000.mid", "tune-000.svg"]
    (tune,) = report(out)["tunes"]
    assert {o["format"] for o in tune["outputs"]} == {"svg", "midi"}


def test_an_output_that_is_missing_is_made_again(tabs: Path, out: Path) -> None:
    fill(tabs, 2)
    convert(tabs, "--out", out)
    (out / "tune-001.svg").unlink()
    convert(tabs, "--out", out)
    assert (out / "tune-001.svg").is_file()


def test_pages_of_a_longer_version_are_removed(tabs: Path, out: Path) -> None:
    path = write(tabs / "long.txt", long_tab(80))
    convert(tabs, "--out", out, "--to", "svg")
    assert len(tree(out)) > 1
    (out / "long-9.svg").write_text("someone else's", encoding="utf-8")
    path.write_text(long_tab(2), encoding="utf-8")
    convert(tabs, "--out", out, "--to", "svg")
    assert sorted(tree(out)) == ["long-9.svg", "long.svg"]


def test_outputs_of_a_vanished_tab_are_removed_if_they_are_ours(tabs: Path, out: Path) -> None:
    paths = [*fill(tabs / "sub", 3), write(tabs / "kept.txt", tab())]
    convert(tabs, "--out", out, "--to", "musicxml,midi")
    (out / "sub" / "notes.doc").write_text("a teacher's notes", encoding="utf-8")
    (out / "sub" / "tune-001.musicxml").write_text("edited by hand", encoding="utf-8")
    for path in paths[:3]:
        path.unlink()
    result = convert(tabs, "--out", out, "--to", "musicxml,midi")
    assert "5  old outputs removed" in result.output
    assert sorted(tree(out)) == [
        "kept.mid",
        "kept.musicxml",
        "sub/notes.doc",
        "sub/tune-001.musicxml",
    ]
    assert [t["title"] for t in report(out)["tunes"]] == ["The Two Oars"]


def test_nothing_is_removed_when_the_folder_is_empty(tabs: Path, out: Path) -> None:
    """A drive that is not connected looks like an empty folder."""
    (path,) = fill(tabs, 1)
    convert(tabs, "--out", out)
    path.unlink()
    result = convert(tabs, "--out", out)
    assert result.exit_code == 2
    assert "no tab was found" in result.output
    assert len(tree(out)) == 2


def test_what_is_not_ours_is_not_written_over(tabs: Path, out: Path) -> None:
    (path,) = fill(tabs, 1)
    foreign = write(out / "tune-000.musicxml", "not ours")
    result = convert(tabs, "--out", out)
    assert result.exit_code == 2
    assert "was there before" in result.output
    assert foreign.read_text() == "not ours"
    assert sorted(tree(out)) == ["tune-000.musicxml"]
    assert convert(tabs, "--out", out, "--overwrite").exit_code == 0
    assert b"Tune 0" in foreign.read_bytes()
    # Edited since: left alone while the tab is the same, refused when it changed.
    foreign.write_text("edited", encoding="utf-8")
    assert convert(tabs, "--out", out).exit_code == 0
    path.write_text(tab("New"), encoding="utf-8")
    result = convert(tabs, "--out", out)
    assert "changed since rollstave wrote it" in result.output
    assert foreign.read_text() == "edited"


def test_the_same_bytes_without_a_state_are_taken_over(tabs: Path, out: Path) -> None:
    """The state folder was deleted, or did not come along in a copy."""
    fill(tabs, 2)
    convert(tabs, "--out", out)
    for path in (out / ".rollstave").iterdir():
        path.unlink()
    assert convert(tabs, "--out", out).exit_code == 0


def test_a_state_that_cannot_be_read_begins_anew(tabs: Path, out: Path) -> None:
    fill(tabs, 1)
    convert(tabs, "--out", out)
    (out / ".rollstave" / "state.sqlite").write_bytes(b"not a database" * 500)
    result = convert(tabs, "--out", out)
    assert result.exit_code == 0, result.output
    assert "begins anew" in result.output


def test_one_stem_twice_in_a_folder(tabs: Path, out: Path) -> None:
    write(tabs / "tune.txt", tab("Typed"))
    write(tabs / "tune.tab", tab("Tabbed"))
    write(tabs / "TUNE.text", tab("Loud"))
    result = convert(tabs, "--out", out, "--to", "musicxml")
    assert sorted(tree(out)) == ["TUNE.text.musicxml", "tune.tab.musicxml", "tune.txt.musicxml"]
    assert b"Tabbed" in tree(out)["tune.tab.musicxml"]
    assert "tune.tab: notice: named tune.tab, because" in result.output.replace("\n", " ")
    assert any(
        "named tune.tab" in p["message"] for t in report(out)["tunes"] for p in t["problems"]
    )


def test_why_a_tune_has_another_name_is_said(tabs: Path, out: Path) -> None:
    write(tabs / "Ferry.txt", tab("Capital"))
    write(tabs / "ferry.txt", tab("Small"))
    write(tabs / "long.txt", tab("Long"))
    write(tabs / "long-1.txt", tab("Another"))
    write(tabs / "report.txt", tab("Report"))
    result = convert(tabs, "--out", out, "--to", "musicxml")
    assert result.exit_code == 0, result.output
    said = {
        Path(t["file"]).name: t["problems"][0]["message"].partition(", because ")[2]
        for t in report(out)["tunes"]
        if t["problems"]
    }
    assert (
        said["Ferry.txt"] == f"{tabs / 'ferry.txt'} would have had the same name but for capitals"
    )
    assert said["long-1.txt"] == f"pages of {tabs / 'long.txt'} may be called so"
    assert said["report.txt"] == "report is the name of the report"
    assert set(said) == {"Ferry.txt", "ferry.txt", "long-1.txt", "report.txt"}


def test_unchanged_counts_what_was_converted(tabs: Path, out: Path) -> None:
    """It is said of those that were converted: what failed or had no tab is not among them."""
    fill(tabs, 2)
    write(tabs / "bad.txt", tab().replace("g|-----0", "g|-----3"))
    write(tabs / "poem.txt", "A poem about a ferry.\n")
    for _ in range(2):
        result = convert(tabs, "--out", out, "--to", "musicxml")
    assert "2    of these, unchanged" in result.output


@pytest.mark.parametrize(
    ("names", "folder"),
    [
        (["tabs/a.txt", "tabs/week 1/b.txt"], "tabs/"),
        (["/tabs/week 1/a.txt", "/tabs/week 1/b.txt"], "/tabs/week 1/"),
        (["tabs/a/x.txt", "tabs/ab/x.txt"], "tabs/"),
        (["tabs/x.txt", "other/x.txt"], ""),
        (["a.txt", "tabs/x.txt"], ""),
        ([], ""),
    ],
)
def test_the_page_names_the_common_folder_once(names: list[str], folder: str) -> None:
    assert common_folder(names) == folder


def test_a_search_in_the_page_does_not_find_the_folder_in_every_row(tabs: Path, out: Path) -> None:
    write(tabs / "one.txt", tab())
    write(tabs / "week 1" / "two.txt", tab("Two"))
    convert(tabs, "--out", out, "--to", "midi")
    page = (out / "report.html").read_text(encoding="utf-8")
    assert page.count(str(tabs)) == 1
    assert '<span class="file">week 1/two.txt</span>' in page
    assert {t["file"] for t in report(out)["tunes"]} == {
        str(tabs / "one.txt"),
        str(tabs / "week 1" / "two.txt"),
    }


def test_one_name_in_two_folders_of_a_list(tmp_path: Path, out: Path) -> None:
    a = write(tmp_path / "a" / "tune.txt", tab("A"))
    b = write(tmp_path / "b" / "tune.txt", tab("B"))
    listing = write(tmp_path / "list", f"{b}\n\n{a}\r\n")
    result = convert("--list", listing, "--out", out, "--to", "musicxml")
    assert result.exit_code == 0, result.output
    found = tree(out)
    assert sorted(found) == ["a/tune.musicxml", "b/tune.musicxml"]
    assert b">A<" in found["a/tune.musicxml"]
    assert b">B<" in found["b/tune.musicxml"]
    piped = convert("--list", "-", "--out", out, "--to", "musicxml", typed=f"{a}\0{b}\0".encode())
    assert "2    of these, unchanged" in piped.output


def test_pages_and_tunes_never_take_the_name_of_another_tune(tabs: Path, out: Path) -> None:
    write(tabs / "long.txt", long_tab(80))
    write(tabs / "long-1.txt", tab("Another"))
    convert(tabs, "--out", out, "--to", "svg")
    assert {"long-1.svg", "long-2.svg", "long-1.txt.svg"} <= set(tree(out))
    assert b"Another" in tree(out)["long-1.txt.svg"]


def test_two_folders_and_a_pattern(tmp_path: Path, out: Path) -> None:
    fill(tmp_path / "a", 1)
    fill(tmp_path / "b", 1)
    write(tmp_path / "c" / "third.txt", tab())
    convert(tmp_path / "a", tmp_path / "b", tmp_path / "c" / "*.txt", "--out", out, "--to", "midi")
    assert sorted(tree(out)) == ["a/tune-000.mid", "b/tune-000.mid", "third.mid"]


def test_out_inside_the_folder_and_the_folder_itself(tabs: Path) -> None:
    fill(tabs, 2)
    for out in (tabs / "sheets", tabs):
        for _ in range(2):
            result = convert(tabs, "--out", out, "--to", "musicxml")
            assert result.exit_code == 0, result.output
        # MusicXML is an input too, but what a run has written is not.
        assert len(report(out)["tunes"]) == 2


def test_the_tab_itself_is_never_written_over(tabs: Path) -> None:
    (path,) = fill(tabs, 1)
    before = path.read_bytes()
    result = convert(tabs, "--out", tabs, "--to", "text", "--overwrite")
    assert result.exit_code == 2
    assert "is one of the files that are read" in result.output
    assert path.read_bytes() == before


def test_a_run_that_fails_keeps_the_outputs_of_the_last_good_one(tabs: Path, out: Path) -> None:
    (path,) = fill(tabs, 1)
    convert(tabs, "--out", out)
    path.write_text(tab().replace("g|-----0", "g|-----3"), encoding="utf-8")
    assert convert(tabs, "--out", out).exit_code == 2
    assert len(tree(out)) == 2
    (tune,) = report(out)["tunes"]
    assert (tune["status"], tune["outputs"]) == ("failed", [])


def test_json_is_the_report(tabs: Path, out: Path) -> None:
    fill(tabs, 1)
    result = convert(tabs, "--out", out, "--json")
    assert result.stdout == (out / "report.json").read_text(encoding="utf-8")


def test_the_reports_are_the_same_bytes_every_time(tabs: Path, out: Path, tmp_path: Path) -> None:
    fill(tabs, 5)
    texts = []
    for name in ("x", "y"):
        convert(tabs, "--out", tmp_path / name, "--jobs", "2")
        texts.append((tmp_path / name / "report.html").read_bytes())
    assert texts[0] == texts[1]


def test_a_few_files_are_told_one_by_one_and_many_are_an_archive(tabs: Path, out: Path) -> None:
    paths = fill(tabs, 13)
    few = convert(*paths[:2], "--out", out, "--to", "midi")
    assert "tuning: open G (gDGBD)" in few.output
    assert not (out / "report.html").exists()
    asked = convert(*paths[:2], "--out", out, "--to", "midi", "--report")
    assert (out / "report.html").exists()
    assert "2  converted" in asked.output
    assert "13  converted" in convert(*paths, "--out", out, "--to", "midi").output


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ([], "name a file or a folder"),
        (["."], "'.' stands for many files: say with --out DIR"),
        (["--report", "x.txt"], "a list or a report: say with --out DIR"),
        ([".", "-", "--out", "o"], "standard input"),
    ],
)
def test_what_is_asked_wrongly(arguments: list[str], words: str) -> None:
    result = convert(*arguments)
    assert result.exit_code == 2
    assert words in result.output


def test_outputs_moved_with_their_tabs_are_still_known(tmp_path: Path) -> None:
    fill(tmp_path / "old" / "tabs", 2)
    convert(tmp_path / "old" / "tabs", "--out", tmp_path / "old" / "out")
    (tmp_path / "old").rename(tmp_path / "new")
    result = convert(tmp_path / "new" / "tabs", "--out", tmp_path / "new" / "out")
    assert "2    of these, unchanged" in result.output


def test_the_state_waits_for_another_run(tmp_path: Path) -> None:
    one, two = State(tmp_path, tmp_path), State(tmp_path, tmp_path)
    one.forget("x")
    two.forget("x")
    one.close()
    two.close()


def test_a_folder_that_was_converted_in_place_is_converted_with_the_whole(
    tmp_path: Path, tabs: Path, out: Path
) -> None:
    """Its tabs are read, what the earlier run made of them is not, also through a link."""
    fill(tabs / "week 1", 2)
    write(tabs / "one.txt", tab("One"))
    link = tmp_path / "link"
    link.symlink_to(tabs / "week 1")
    for folder in (link, tabs / "week 1"):
        convert(folder, "--out", link, "--to", "musicxml,mxl")
    result = convert(tabs, "--out", out, "--to", "midi")
    assert result.exit_code == 0, result.output
    assert sorted(tree(out)) == ["one.mid", "week 1/tune-000.mid", "week 1/tune-001.mid"]
    (told,) = report(out)["passed_over"]
    assert told["reason"] == "outputs of another run in it are not read"
    (tabs / "week 1" / ".rollstave" / "state.sqlite").write_bytes(b"no database" * 500)
    convert(tabs, "--out", tmp_path / "again", "--to", "midi")
    (told,) = report(tmp_path / "again")["passed_over"]
    assert told["reason"] == "a folder of outputs of another run"


def test_a_pattern_keeps_the_folders_behind_its_fixed_part(tabs: Path, out: Path) -> None:
    write(tabs / "one.txt", tab())
    write(tabs / "week 1" / "slow" / "two.txt", tab("Two"))
    convert(tabs / "**" / "*.txt", "--out", out, "--to", "midi")
    assert sorted(tree(out)) == ["one.mid", "week 1/slow/two.mid"]


def test_a_pattern_that_no_file_fits_is_said(tabs: Path, out: Path) -> None:
    fill(tabs, 1)
    pattern = tabs / "*.tba"
    alone = convert(pattern, "--out", out)
    assert alone.exit_code == 2
    assert f"no tab was found: no file is called {pattern}" in alone.output
    beside = convert(tabs / "*.txt", pattern, "--out", out, "--to", "midi")
    assert beside.exit_code == 2
    assert f"{pattern}: no file is called so" in beside.output
    assert report(out)["patterns_without_files"] == [str(pattern)]
    assert sorted(tree(out)) == ["tune-000.mid"]


def test_a_file_named_beside_its_folder_stays_in_it(tabs: Path, out: Path) -> None:
    path = write(tabs / "week 1" / "tune.txt", tab())
    for number, arguments in enumerate(([tabs, path], [path, tabs])):
        place = out / str(number)
        convert(*arguments, "--out", place, "--to", "midi")
        assert sorted(tree(place)) == ["week 1/tune.mid"]


def test_two_folders_of_one_name_are_told_apart_by_their_path(tmp_path: Path, out: Path) -> None:
    for folder in ("monday/tabs", "friday/tabs"):
        write(tmp_path / folder / "tune.txt", tab(folder))
    convert(tmp_path / "monday/tabs", tmp_path / "friday/tabs", "--out", out, "--to", "midi")
    assert sorted(tree(out)) == ["friday/tabs/tune.mid", "monday/tabs/tune.mid"]


def test_names_do_not_depend_on_where_the_archive_lies(tmp_path: Path) -> None:
    """Digits that tell ``Ferry`` from ``ferry`` are the same on the teacher's other machine."""
    names = []
    for place in ("here", "there/deeper"):
        write(tmp_path / place / "tabs" / "Ferry.txt", tab("Capital"))
        write(tmp_path / place / "tabs" / "ferry.txt", tab("Small"))
        convert(tmp_path / place / "tabs", "--out", tmp_path / place / "out", "--to", "midi")
        names.append(sorted(tree(tmp_path / place / "out")))
    assert len(names[0]) == 2
    assert names[0] == names[1]


def test_many_other_names_are_counted_not_all_told(tabs: Path, out: Path) -> None:
    for number in range(12):
        write(tabs / f"tune{number}.txt", tab())
        write(tabs / f"tune{number}.tab", tab())
    result = convert(tabs, "--out", out, "--to", "midi")
    assert result.output.count("notice: named") == 20
    assert "and 4 more with other names; the report has them all" in result.output
    assert sum(len(t["problems"]) for t in report(out)["tunes"]) == 24


def test_outputs_that_are_older_than_their_tab_are_named(tabs: Path, out: Path) -> None:
    failing, half, gone = fill(tabs, 3)
    convert(tabs / "*.txt", "--out", out, "--to", "midi,text")
    failing.write_text(tab().replace("g|-----0", "g|-----3"), encoding="utf-8")
    half.write_text(tab("Half"), encoding="utf-8")
    gone.unlink()
    convert(tabs / "*.txt", "--out", out, "--to", "midi")
    said = {
        Path(t["file"]).name: [p["message"] for p in t["problems"] if p["code"] == "old"]
        for t in report(out)["tunes"]
    }
    older = "still there from an earlier version of the file: "
    assert said == {
        "tune-000.txt": [older + "tune-000.mid, tune-000.txt"],
        "tune-001.txt": [older + "tune-001.txt"],
        "tune-002.txt": ["the file is no longer there"],
    }


def test_the_report_says_where_a_tune_is_from(tabs: Path, out: Path) -> None:
    write(tabs / "from.txt", tab().replace("Key: G", "Key: G\nSource: the school's book 4"))
    convert(tabs, "--out", out)
    by_file = {Path(t["file"]).name: t for t in report(out)["tunes"]}
    assert by_file["from.txt"]["headings"] == {"source": "the school's book 4"}
    assert "the school&#39;s book 4" in (out / "report.html").read_text(encoding="utf-8")
