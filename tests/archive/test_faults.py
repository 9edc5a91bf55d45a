"""Workers that die, runs that are killed, runs side by side, disks that are full.

The large versions of these are tests/benchmarks/archive_faults.py and archive_memory.py.
"""

from __future__ import annotations

import contextlib
import errno
import os
import re
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from rollstave.archive import run as running
from rollstave.archive.jobs import Recipe
from rollstave.archive.making import versions
from rollstave.archive.names import name_all
from rollstave.archive.run import Archive, Limits, Run, Tally
from rollstave.archive.sources import find
from rollstave.writing.options import SheetOptions
from tests.archive import faults
from tests.archive.tabs import ROOT, convert, fill, hidden, process, report, tab, tree


def run_with(task: running.Task, tabs: Path, out: Path, limits: Limits) -> Tally:
    """A run whose workers do ``task``."""
    recipe = Recipe(formats=("musicxml",), options=SheetOptions(), hand=None, versions=versions())
    with Archive(out) as archive:
        jobs = name_all(find([str(tabs)], out).sources)
        return Run(archive, recipe, jobs, limits=limits, task=task).run()


def test_one_bad_file_costs_one_file_and_is_named(tmp_path: Path) -> None:
    tabs, out = tmp_path / "tabs", tmp_path / "out"
    fill(tabs, 12)
    for name in ("abort", "hang", "eat", "raise"):
        (tabs / f"{name}.txt").write_text(tab(name), encoding="utf-8")
    tally = run_with(faults.poisoned, tabs, out, Limits(2, seconds=10, megabytes=400))
    assert (tally.counts["done"], tally.counts["failed"]) == (12, 4)
    told = {Path(name).stem: reason for name, reason in tally.failures}
    assert "ended its process on this tune, 3 times over (ended by SIGABRT)" in told["abort"]
    assert "longer than 10 seconds" in told["hang"]
    assert "more than 400 MB of memory" in told["eat"]
    assert "KeyError" in told["raise"]
    assert sorted(tree(out)) == [f"tune-{n:03}.musicxml" for n in range(12)]
    assert hidden(out) == [".rollstave"]
    # Nothing that may not repeat is remembered as failed: without the faults, all is done.
    assert convert(tabs, "--out", out, "--to", "musicxml").exit_code == 0
    assert len(tree(out)) == 16


def test_a_tune_whose_worker_was_killed_is_done_all_the_same(tmp_path: Path) -> None:
    tabs, out = tmp_path / "tabs", tmp_path / "out"
    fill(tabs, 12)
    (tabs / "once.txt").write_text(tab("Once"), encoding="utf-8")
    tally = run_with(faults.killed_once, tabs, out, Limits(2))
    assert tally.counts["done"] == 13
    assert (tabs / "once.killed").exists()
    assert len(tree(out)) == 13


def remembered(out: Path) -> int:
    """How many tabs the state of a run under way has."""
    path = out / ".rollstave" / "state.sqlite"
    try:
        with contextlib.closing(sqlite3.connect(f"{path.as_uri()}?mode=ro", uri=True)) as state:
            return int(state.execute("SELECT count(*) FROM sources").fetchone()[0])
    except sqlite3.Error:
        return 0


MANY = 60  # tunes: enough that a run is stopped in their midst


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """All that a run makes of MANY tunes if nothing goes wrong."""
    folder = tmp_path_factory.mktemp("whole")
    fill(folder / "tabs", MANY)
    convert(folder / "tabs", "--out", folder / "out")
    return tree(folder / "out")


@pytest.mark.parametrize("sign", [signal.SIGKILL, signal.SIGINT, signal.SIGTERM])
def test_a_run_that_is_stopped_goes_on_where_it_was(
    tmp_path: Path, whole: dict[str, bytes], sign: signal.Signals
) -> None:
    tabs, out = tmp_path / "tabs", tmp_path / "out"
    fill(tabs, MANY)
    parent = process(tabs, "--out", out, "--jobs", "1")
    end = time.monotonic() + 60
    while remembered(out) < 3 and time.monotonic() < end:
        time.sleep(0.01)
    parent.send_signal(sign)
    _, told = parent.communicate(timeout=300)
    made = len(list(out.glob("*.svg")))
    assert made < MANY, "it was stopped before its end"
    assert "Traceback" not in told
    if sign is not signal.SIGKILL:
        assert parent.returncode == 130
        assert "the same command goes on from there" in told
        assert report(out)["not_yet_done"] > 0
        assert hidden(out) == [".rollstave"]
    for name, data in tree(out).items():  # every file is there whole or not at all
        assert data == whole[name]
    again = convert(tabs, "--out", out)
    assert again.exit_code == 0
    assert "of these, unchanged" in again.output
    assert tree(out) == whole
    assert hidden(out) == [".rollstave"]
    assert sorted(p.name for p in (out / ".rollstave").iterdir()) == ["lock", "state.sqlite"]


@pytest.mark.parametrize("moment", [0.0, 0.1, 0.3])
def test_ctrl_c_in_a_terminal_is_quiet_however_early(tmp_path: Path, moment: float) -> None:
    """A terminal sends Ctrl-C to the run and to all its workers, which may still be starting."""
    tabs, out = tmp_path / "tabs", tmp_path / "out"
    fill(tabs, 20)
    parent = process(tabs, "--out", out)
    end = time.monotonic() + 60
    while not (out / ".rollstave" / "state.sqlite").exists() and time.monotonic() < end:
        time.sleep(0.005)
    time.sleep(moment)
    os.killpg(parent.pid, signal.SIGINT)
    _, told = parent.communicate(timeout=300)
    assert "Traceback" not in told
    # Python ends itself by the signal (-2) if it came while it executed generated code.
    assert parent.returncode in (130, -signal.SIGINT)
    assert "stopped" in told
    assert "KeyboardInterrupt" not in told


def test_two_runs_on_one_folder_share_the_work(tmp_path: Path, whole: dict[str, bytes]) -> None:
    tabs, out = tmp_path / "tabs", tmp_path / "out"
    fill(tabs, MANY)
    runs = [process(tabs, "--out", out, "--jobs", "1") for _ in range(2)]
    told = [run.communicate(timeout=300) for run in runs]
    assert [run.returncode for run in runs] == [0, 0], told
    assert tree(out) == whole
    assert [t["status"] for t in report(out)["tunes"]] == ["done"] * MANY
    assert hidden(out) == [".rollstave"]


def test_two_runs_with_other_options_leave_one_of_the_two(tmp_path: Path) -> None:
    """Each file is wholly of one run, and the state knows of which: the next run mends it."""
    tabs, out, plain, large = (tmp_path / n for n in ("tabs", "out", "plain", "large"))
    fill(tabs, 8)
    runs = [process(tabs, "--out", out, "--to", "svg", *more) for more in ([], ["--large"])]
    for run in runs:
        run.communicate(timeout=300)
    convert(tabs, "--out", plain, "--to", "svg")
    convert(tabs, "--out", large, "--to", "svg", "--large")
    found = tree(out)
    assert all(data in (tree(plain)[n], tree(large)[n]) for n, data in found.items())
    convert(tabs, "--out", out, "--to", "svg")
    assert tree(out) == tree(plain)


def test_a_power_cut_between_placing_and_remembering(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The files are in place and the state does not say so yet: they are known as ours."""
    tabs, out = tmp_path / "tabs", tmp_path / "out"
    paths = fill(tabs, 3)
    convert(tabs, "--out", out)
    paths[1].write_text(tab("Second version", 4), encoding="utf-8")
    with monkeypatch.context() as patch:

        def cut(*_: Any) -> None:
            raise KeyboardInterrupt

        patch.setattr("rollstave.archive.state.State.settle", cut)
        assert convert(tabs, "--out", out).exit_code == 130
    assert b"Second version" in (out / "tune-001.musicxml").read_bytes()
    paths[1].write_text(tab("Third version", 5), encoding="utf-8")
    result = convert(tabs, "--out", out)
    assert result.exit_code == 0, result.output
    assert b"Third version" in (out / "tune-001.musicxml").read_bytes()


def test_a_tab_that_vanishes_while_the_run_goes_on(tmp_path: Path) -> None:
    tabs, out = tmp_path / "tabs", tmp_path / "out"
    paths = fill(tabs, 6)
    recipe = Recipe(formats=("musicxml",), options=SheetOptions(), hand=None, versions=versions())
    with Archive(out) as archive:
        jobs = name_all(find([str(tabs)], out).sources)
        paths[4].unlink()
        tally = Run(archive, recipe, jobs).run()
    assert (tally.counts["done"], tally.counts["vanished"]) == (5, 1)
    assert tally.failures == []


LITTLE_ROOM = """
import resource, sys
resource.setrlimit(resource.RLIMIT_FSIZE, (60_000, 60_000))
from rollstave.cli.main import main
main(["convert", *sys.argv[1:]])
"""


def test_a_file_that_does_not_fit(tmp_path: Path) -> None:
    """No file may be larger than 60,000 bytes (setrlimit(2), RLIMIT_FSIZE): like a full disk, this
    ends the run with a message, and nothing half written is left."""
    tabs, out = tmp_path / "tabs", tmp_path / "out"
    fill(tabs, 3)
    end = subprocess.run(
        [sys.executable, "-c", LITTLE_ROOM, str(tabs), "--out", str(out)],
        capture_output=True, text=True, check=False, timeout=300, cwd=ROOT,
    )  # fmt: skip
    assert end.returncode == 2
    assert f"cannot write to {out}: {os.strerror(errno.EFBIG)}" in end.stderr
    assert "the same command goes on from there" in end.stderr
    assert "Traceback" not in end.stderr
    assert tree(out) == {}
    assert convert(tabs, "--out", out).exit_code == 0


@pytest.mark.parametrize("where", ["os.replace", "rollstave.archive.state.State.announce"])
def test_a_disk_that_is_full_when_files_are_placed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, where: str
) -> None:
    tabs, out = tmp_path / "tabs", tmp_path / "out"
    fill(tabs, 3)

    def full(*_: Any) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with monkeypatch.context() as patch:
        patch.setattr(where, full)
        result = convert(tabs, "--out", out)
    assert result.exit_code == 2
    assert f"cannot write to {out}: No space left on device: 0 of 3" in result.output
    assert tree(out) == {}
    assert convert(tabs, "--out", out).exit_code == 0
    assert len(tree(out)) == 6


def test_a_small_disk_that_fills_up(tmp_path: Path) -> None:
    """A real file system of 400 kB, where one may be mounted."""
    small = tmp_path / "small"
    small.mkdir()
    mounting = ["mount", "-t", "tmpfs", "-o", "size=400k", "tmpfs", str(small)]
    try:
        mounted = subprocess.run(mounting, capture_output=True, check=False).returncode == 0
    except OSError:
        mounted = False
    if not mounted:
        pytest.skip("no file system can be mounted here")
    tabs = tmp_path / "tabs"
    fill(tabs, 20)
    try:
        result = convert(tabs, "--out", small / "out")
        assert result.exit_code == 2
        assert os.strerror(errno.ENOSPC) in result.output or "full" in result.output
        for path in (small / "out").glob("*.svg"):
            assert path.read_bytes().endswith(b"</svg>")
    finally:
        subprocess.run(["umount", str(small)], check=True)


def test_a_place_that_cannot_be_written(tmp_path: Path) -> None:
    tabs = tmp_path / "tabs"
    fill(tabs, 1)
    blocked = tmp_path / "blocked"
    blocked.write_text("in the way", encoding="utf-8")
    result = convert(tabs, "--out", blocked / "deeper")
    assert result.exit_code == 2
    assert f"cannot write to {blocked}" in result.output


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_without_permission(tmp_path: Path) -> None:
    tabs, locked = tmp_path / "tabs", tmp_path / "locked"
    fill(tabs, 1)
    locked.mkdir(mode=0o500)
    result = convert(tabs, "--out", locked)
    assert result.exit_code == 2
    assert "cannot write to" in result.output


def test_a_folder_in_the_way_costs_one_tune(tmp_path: Path) -> None:
    tabs, out = tmp_path / "tabs", tmp_path / "out"
    fill(tabs, 3)
    (out / "tune-001.svg").mkdir(parents=True)
    result = convert(tabs, "--out", out)
    assert result.exit_code == 2
    assert "a folder has that name" in result.output
    assert len([n for n in tree(out) if n.endswith(".svg")]) == 2


def test_no_worker_can_be_started(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A machine at its limit of processes: fork(2) says EAGAIN."""

    def refuse(process: object) -> None:
        raise BlockingIOError(errno.EAGAIN, os.strerror(errno.EAGAIN))

    fill(tmp_path / "tabs", 2)
    monkeypatch.setattr("multiprocessing.process.BaseProcess.start", refuse)
    result = convert(tmp_path / "tabs", "--out", tmp_path / "out", "--to", "musicxml")
    assert result.exit_code == 2, result.output
    words = os.strerror(errno.EAGAIN)
    assert f"worker processes cannot be started: {words}: 0 of 2 files are done" in result.output
    monkeypatch.undo()
    assert convert(tmp_path / "tabs", "--out", tmp_path / "out").exit_code == 0


@pytest.mark.skipif(not hasattr(os, "openpty"), reason="no terminals of our own here")
@pytest.mark.parametrize("columns", [24, 40, 100])
def test_the_bar_fits_the_terminal(tmp_path: Path, columns: int) -> None:
    """The bar, the count and the time left are seen however narrow the terminal is."""
    fill(tmp_path / "tabs", 3)
    parent, child = os.openpty()
    arguments = ["convert", tmp_path / "tabs", "--to", "midi", "--out", tmp_path / "out"]
    run = subprocess.Popen(
        [sys.executable, "-m", "rollstave", *arguments],
        stdout=subprocess.DEVNULL,
        stderr=child,
        env={**os.environ, "TERM": "xterm", "COLUMNS": str(columns), "NO_COLOR": "1"},
    )
    os.close(child)
    seen = b""
    with contextlib.suppress(OSError):  # EIO: the other end is closed
        while piece := os.read(parent, 4096):
            seen += piece
    assert run.wait(300) == 0
    os.close(parent)
    words = re.sub(r"\x1b\[[0-9;?]*[a-zA-Z]", "", seen.decode())
    assert "0/3" in words
    assert re.search("-:--|0:00", words)
    assert max(map(len, re.split(r"[\r\n]+", words))) <= columns
    assert ("converting" in words) == (columns == 100)


def test_a_state_that_can_only_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """SQLite calls it "attempt to write a readonly database" (SQLITE_READONLY)."""
    tabs, out = tmp_path / "tabs", tmp_path / "out"
    fill(tabs, 1)
    convert(tabs, "--out", out)

    def locked(connection: object, statement: str = "") -> None:
        raise sqlite3.OperationalError("attempt to write a readonly database")

    class Locked:
        execute = locked
        close = lambda self: None  # noqa: E731

    monkeypatch.setattr("rollstave.archive.lock.sqlite3.connect", lambda *a, **k: Locked())
    result = convert(tabs, "--out", out)
    assert result.exit_code == 2
    assert "lock: it can only be read, not written" in result.output
