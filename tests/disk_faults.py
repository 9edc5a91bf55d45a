"""A disk that fails at the n-th call that would change it, and commands that meet it.

Every function of Python through which rollstave changes a disk is wrapped: opening for writing,
writing, flushing, fsync, replace, rename, link, mkdir, rmdir, unlink, truncate, chmod, and the
transactions of SQLite. Errors are those of POSIX (write(2), fsync(2), rename(2)); SQLite's words
for them are from its documentation of result codes (SQLITE_FULL, SQLITE_IOERR, SQLITE_READONLY).
"""

from __future__ import annotations

import builtins
import contextlib
import errno
import io
import os
import sqlite3
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

from rollstave.cli.main import main
from tests.archive.inline import InlineWorkers
from tests.archive.tabs import tab

ERRORS = (errno.ENOSPC, errno.EIO, errno.EACCES)
_SQLITE_WORDS = {
    errno.ENOSPC: "database or disk is full",
    errno.EIO: "disk I/O error",
    errno.EACCES: "attempt to write a readonly database",
}
_CALLS = ("replace", "rename", "link", "fsync", "mkdir", "rmdir", "unlink", "truncate", "chmod")
_REMOVING = ("unlink", "rmdir")
_WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_APPEND | os.O_TRUNC


class Disk:
    """Counts the calls; the one numbered ``fails`` (from 1; 0: none) raises an error, and with
    ``forever`` all that follow."""

    def __init__(self, fails: int = 0, number: int = errno.ENOSPC, forever: bool = False) -> None:
        self.fails, self.number, self.forever = fails, number, forever
        self.calls: list[str] = []
        self.failed = ""

    def count(self, name: str) -> bool:
        """Count a call; true if it is to fail."""
        self.calls.append(name)
        now = len(self.calls)
        # To remove something needs no room, and works on a disk that is full.
        later = self.forever and now > self.fails and name not in _REMOVING
        fails = bool(self.fails) and (now == self.fails or later)
        if fails and not self.failed:
            self.failed = name
        return fails

    def call(self, name: str) -> None:
        """Raises OSError if it is the turn of this call."""
        if self.count(name):
            raise OSError(self.number, os.strerror(self.number))


class _Stream:
    """A file that is open for writing on a disk that fails."""

    def __init__(self, stream: Any, disk: Disk) -> None:
        self._stream, self._disk = stream, disk
        self._writes = 0

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)

    def __enter__(self) -> _Stream:
        self._stream.__enter__()
        return self

    def __exit__(self, *error: Any) -> None:
        self._stream.__exit__(*error)

    def write(self, data: Any) -> Any:
        self._writes += 1
        # A report has hundreds of small pieces, and one is as good as another.
        if self._writes % 50 == 1 and self._disk.count("write"):
            with contextlib.suppress(OSError):
                self._stream.write(data[: len(data) // 2])  # a disk that fills up takes a part
            raise OSError(self._disk.number, os.strerror(self._disk.number))
        return self._stream.write(data)

    def flush(self) -> None:
        self._disk.call("flush")
        self._stream.flush()


@contextlib.contextmanager
def failing(disk: Disk) -> Iterator[None]:
    """All that this process writes goes to such a disk."""
    real_open, real_os_open, real_connect = io.open, os.open, sqlite3.connect
    saved = {name: getattr(os, name) for name in _CALLS}

    def faulty_open(file: Any, mode: str = "r", *rest: Any, **more: Any) -> Any:
        if not set(mode) & set("wax+"):
            return real_open(file, mode, *rest, **more)
        if not isinstance(file, int):
            disk.call("open")
        return _Stream(real_open(file, mode, *rest, **more), disk)

    def faulty_os_open(path: Any, flags: int, *rest: Any, **more: Any) -> int:
        if flags & _WRITING:
            disk.call("os.open")
        return real_os_open(path, flags, *rest, **more)

    def wrapped(name: str) -> Callable[..., Any]:
        def call(*arguments: Any, **more: Any) -> Any:
            disk.call(name)
            return saved[name](*arguments, **more)

        return call

    class Connection(sqlite3.Connection):
        def execute(self, statement: str, *rest: Any) -> sqlite3.Cursor:
            words = statement.split()
            if words[0] in ("BEGIN", "COMMIT", "INSERT", "DELETE") and disk.count(words[0]):
                raise sqlite3.OperationalError(_SQLITE_WORDS[disk.number])
            return super().execute(statement, *rest)

    def connect(*arguments: Any, **more: Any) -> sqlite3.Connection:
        return real_connect(*arguments, factory=Connection, **more)

    try:
        builtins.open = io.open = faulty_open
        os.open = faulty_os_open
        sqlite3.connect = connect  # type: ignore[assignment]
        for name in _CALLS:
            setattr(os, name, wrapped(name))
        yield
    finally:
        builtins.open = io.open = real_open
        os.open, sqlite3.connect = real_os_open, real_connect
        for name, function in saved.items():
            setattr(os, name, function)


# Commands --------------------------------------------------------------------------------------


def _run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(a) for a in arguments])


def _write(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, encoding="utf-8")


def _tabs(root: Path, version: int) -> None:
    for name in ("one", "two"):
        _write(root / "tabs" / f"{name}.txt", tab(f"{name} {version}", version))


def few(root: Path, version: int) -> Result:
    """Single files, beside each other."""
    _tabs(root, version)
    files = sorted((root / "tabs").glob("*.txt"))
    return _run("convert", *files, "--to", "midi,musicxml", "--out", root / "out")


def folder(root: Path, version: int) -> Result:
    """A folder."""
    _tabs(root, version)
    return _run("convert", root / "tabs", "--to", "midi,musicxml", "--out", root / "out")


def overwriting(root: Path, version: int) -> Result:
    """A single file over one that someone edited."""
    _tabs(root, version)
    _write(root / "out" / "one.musicxml", "by hand")
    return _run("convert", root / "tabs" / "one.txt", "--out", root / "out", "--overwrite",
                "--to", "musicxml")  # fmt: skip


def tidy(root: Path, version: int) -> Result:
    """Rewriting tabs in their places."""
    for name in ("one", "two"):
        _write(root / "out" / f"{name}.txt", "> " + tab(f"{name} {version}").replace("\n", "\n> "))
    return _run("tidy", root / "out" / "one.txt", root / "out" / "two.txt")


def book(root: Path, version: int) -> Result:
    """A songbook; what the engraver makes of it is nothing to the disk."""
    from rollstave.writing import book as writing

    _tabs(root, version)
    usual = writing.write_book
    writing.write_book = lambda *_: b"%PDF" + bytes([version]) * 9000  # type: ignore[assignment]
    try:
        return _run("book", root / "tabs" / "one.txt", "--out", root / "out" / "book.pdf")
    finally:
        writing.write_book = usual


def shapes(root: Path, version: int) -> Result:
    """A sheet of chord shapes."""
    chords = ("C", "F", "G")[: version + 1]
    return _run("shapes", *chords, "--out", root / "out" / "shapes.svg")


def rework(root: Path, version: int) -> Result:
    """Another version of two tunes, in two formats."""
    _tabs(root, version)
    files = sorted((root / "tabs").glob("*.txt"))
    return _run("rework", *files, "--semitones", version, "--to", "text,midi",
                "--out", root / "out")  # fmt: skip


def lesson(root: Path, version: int) -> Result:
    """A lesson of a tune."""
    _tabs(root, version)
    return _run("lesson", root / "tabs" / "one.txt", "--out", root / "out" / "lesson.txt")


def drill(root: Path, version: int) -> Result:
    """Exercises."""
    chords = ("C", "F", "G")[: version + 1]
    return _run("drill", "chords", *chords, "--out", root / "out" / "drill.txt")


def bench(root: Path, version: int) -> Result:
    """The bench saves its file."""
    from rollstave.bench.document import Document

    path = root / "out" / "tune.txt"
    if not path.exists():
        _write(path, tab("before"))
    document = Document(path)
    result = _run("tunings", "--json")
    try:
        document.save(tab(f"saved {version}", version), document.load().seen)
    except OSError as error:
        result.exit_code = 2
        result.stderr_bytes = str(error).encode()
    return result


SCENARIOS = {
    f.__name__: f
    for f in (few, folder, overwriting, tidy, book, shapes, rework, lesson, drill, bench)
}
_STATE_FILES = {"lock", "state.sqlite", "written", "replaced", "state.unreadable"}


def outputs(root: Path) -> dict[str, bytes]:
    """What a command has made, without reports."""
    return {
        p.name: p.read_bytes()
        for p in sorted((root / "out").rglob("*"))
        if p.is_file() and not str(p.relative_to(root)).startswith(("out/.", "out/report."))
    }


def leftovers(root: Path) -> list[str]:
    """What is half written."""
    hidden = [p for p in root.rglob(".*") if p.name != ".rollstave"]
    own = [p for p in (root / "out" / ".rollstave").glob("*") if p.name not in _STATE_FILES]
    return sorted(str(p.relative_to(root)) for p in [*hidden, *own])


def wanted(
    scenario: Callable[[Path, int], Result], root: Path
) -> tuple[list[dict[str, bytes]], Disk]:
    """The outputs of both versions on a good disk, and the calls that the second makes."""
    first = scenario(root, 1)
    assert first.exit_code == 0, first.output
    versions = [outputs(root)]
    disk = Disk()
    result = _second(scenario, root, disk)
    assert result.exit_code == 0, result.output
    return [*versions, outputs(root)], disk


def _second(scenario: Callable[[Path, int], Result], root: Path, disk: Disk) -> Result:
    """The second version; only what the command itself does meets the disk."""
    real_invoke = CliRunner.invoke
    real_save = _document_save()

    def invoke(*arguments: Any, **more: Any) -> Result:
        with failing(disk):
            return real_invoke(*arguments, **more)

    def save(*arguments: Any, **more: Any) -> Any:
        with failing(disk):
            return real_save(*arguments, **more)

    from rollstave.bench.document import Document

    CliRunner.invoke = invoke  # type: ignore[method-assign,assignment]
    Document.save = save  # type: ignore[method-assign]
    try:
        return scenario(root, 2)
    finally:
        CliRunner.invoke = real_invoke  # type: ignore[method-assign]
        Document.save = real_save  # type: ignore[method-assign]


def _document_save() -> Any:
    from rollstave.bench.document import Document

    return Document.save


def faults_of(
    scenario: Callable[[Path, int], Result],
    root: Path,
    disk: Disk,
    good: list[dict[str, bytes]],
) -> list[str]:
    """What is wrong after a command met this disk, in a fresh folder; nothing if all is well."""
    scenario(root, 1)
    before = outputs(root)
    result = _second(scenario, root, disk)
    found = []
    error = result.exception
    if error is not None and not isinstance(error, SystemExit):
        found.append(f"{type(error).__name__}: {error}")
    told = result.output + result.stderr
    now = outputs(root)
    if result.exit_code not in (0, 2):
        found.append(f"exit code {result.exit_code}")
    if result.exit_code == 0 and now != good[1]:
        found.append("exit code 0, and not all is there")
    if result.exit_code == 2 and not told.strip():
        found.append("nothing is said")
    by_hand = {b"by hand"} if scenario is overwriting else set()
    if scenario is tidy:
        by_hand = {("> " + tab(f"{n} 2").replace("\n", "\n> ")).encode() for n in ("one", "two")}
    for name, data in before.items():
        if now.get(name) not in {data, good[1].get(name), *by_hand}:
            found.append(f"{name} is neither the earlier file nor the new one")
    found += [f"{name} is half written" for name in now if name not in good[1]]
    if disk.failed not in _REMOVING and (left := leftovers(root)):
        found.append(f"left over: {left}")
    kept = root / "out" / ".rollstave" / "replaced"
    if scenario is overwriting and now["one.musicxml"] != b"by hand":
        texts = [p.read_bytes() for p in kept.glob("*")] if kept.exists() else []
        if b"by hand" not in texts:
            found.append("what was replaced is not kept")
    again = scenario(root, 2)
    if again.exit_code != 0 or outputs(root) != good[1]:
        found.append(f"the next run does not mend it: {again.output[-300:]}")
    return found


@contextlib.contextmanager
def without_processes() -> Iterator[None]:
    """Folders are converted in this process, so that a failing disk is met by workers too."""
    from rollstave.archive import run

    usual = run.Workers
    run.Workers = InlineWorkers  # type: ignore[misc,assignment]
    try:
        yield
    finally:
        run.Workers = usual  # type: ignore[misc]
