"""The files of ``tests/benchmarks/hostile.py`` at a hundredth of their size: a score or a clear
error, nothing fetched, nothing read from elsewhere. The benchmark has the full sizes, with bounds
for time and memory."""

from __future__ import annotations

import socket
from collections.abc import Iterator
from pathlib import Path

import pytest

import rollstave
from rollstave.musicxml_in import document
from tests.archive.tabs import convert, report, tab
from tests.benchmarks.hostile_inputs import CASES, READ, REFUSED, SECRET, Hostile, Places, write

SCALE = 100
# Refused for their size alone, so not when they are small; tests/reading/test_limits.py and
# tests/musicxml_in/test_parse.py have those.
LARGE = ("-mb.", "200000-", "line-10", "zip-bomb")
SMALL = [case for case in CASES if not any(part in case.name for part in LARGE)]
# What libxml2 and Python say to programmers.
JARGON = ("XML_PARSE", "xmlCtxt", "Traceback", "Error:")


@pytest.fixture
def listener() -> Iterator[socket.socket]:
    """A port that nobody may call."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.setblocking(False)
        yield server


@pytest.fixture
def places(tmp_path: Path, listener: socket.socket) -> Places:
    (tmp_path / "secret.txt").write_text(SECRET, encoding="utf-8")
    return Places(tmp_path / "secret.txt", listener.getsockname()[1], SCALE)


@pytest.mark.parametrize("case", SMALL, ids=lambda case: case.name)
def test_a_score_or_a_clear_error(
    case: Hostile, places: Places, listener: socket.socket, tmp_path: Path
) -> None:
    path = write(case, tmp_path, places)
    became = READ
    try:
        tunes = rollstave.read(path)
        assert tunes
        written = [data for tune in tunes for data in rollstave.write(tune, "musicxml")]
        assert not any(SECRET.encode() in data for data in written)
    except rollstave.TabError as error:
        became = REFUSED
        for problem in error.problems:
            said = problem.format(path.name)
            assert len(said) < 500
            assert not any(word in said for word in (*JARGON, SECRET))
    assert case.expected in (became, "either")
    with pytest.raises(BlockingIOError):
        listener.accept()


def test_beside_good_tabs_in_a_folder(places: Places, tmp_path: Path) -> None:
    tabs, out = tmp_path / "deep" / "tabs", tmp_path / "deep" / "out"
    tabs.mkdir(parents=True)
    (tabs / "good.txt").write_text(tab(), encoding="utf-8")
    chosen = [c for c in SMALL if Path(c.name).suffix in (".musicxml", ".mxl") or "nul" in c.name]
    for case in chosen:
        write(case, tabs, places)
    convert(tabs, "--out", out, "--to", "musicxml")
    told = {Path(entry["file"]).name: entry for entry in report(out)["tunes"]}
    assert told["good.txt"]["status"] == "done"
    for case in chosen:
        entry = told[case.name]
        assert entry["outputs"] or entry["problems"], case.name
        if case.expected == REFUSED:
            assert entry["status"] in ("failed", "skipped")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["deep", "secret.txt"]
    assert sorted(p.name for p in (tmp_path / "deep").iterdir()) == ["out", "tabs"]


def test_a_score_with_too_many_notes_is_refused_at_once(
    places: Places, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (case,) = (c for c in CASES if c.name == "score-50-mb.musicxml")
    path = write(case, tmp_path, places)
    monkeypatch.setattr(document, "MOST", 1000)
    with pytest.raises(rollstave.TabError, match=r"up to 1,000 notes are read.*divide the score"):
        rollstave.read(path)


def test_an_enormous_text_in_a_score_is_refused_in_words_for_people() -> None:
    """libxml2 takes texts of up to 10 million characters (XML_MAX_TEXT_LENGTH in its headers)."""
    data = b"<score-partwise><work>" + b"x" * 11_000_000 + b"</work></score-partwise>"
    with pytest.raises(rollstave.TabError, match="a name or a text of over 10 MB"):
        rollstave.read(data)


def test_a_title_of_thousands_of_marks_is_shortened_on_the_terminal(tmp_path: Path) -> None:
    path = tmp_path / "tune.txt"
    path.write_text(tab("Z" + "\u0335" * 5000), encoding="utf-8")
    result = convert(path, "--to", "musicxml")
    assert result.exit_code == 0
    assert max(map(len, result.output.splitlines())) < 500
