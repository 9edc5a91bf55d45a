"""Opening the database of the state, whatever is found in its place."""

from __future__ import annotations

import contextlib
import os
import sqlite3
from collections.abc import Iterator
from pathlib import Path

from rollstave.archive.lock import as_os_error
from rollstave.outputs.own import check_own_file

FORMAT = "2"  # of the tables; in 1, sources were known by what they are shown as

# Sources are the bytes of paths (BLOB): two paths may be shown alike.
_TABLES = {
    "meta": "name TEXT PRIMARY KEY, value TEXT NOT NULL",
    "sources": (
        "source BLOB PRIMARY KEY, name TEXT NOT NULL, target TEXT NOT NULL, remark TEXT NOT NULL, "
        "status TEXT NOT NULL, content TEXT NOT NULL, tunes TEXT NOT NULL, problems TEXT NOT NULL"
    ),
    "made": (
        "source BLOB NOT NULL, form TEXT NOT NULL, fingerprint TEXT NOT NULL, "
        "content TEXT NOT NULL, PRIMARY KEY (source, form)"
    ),
    "outputs": (
        "path TEXT PRIMARY KEY, source BLOB NOT NULL, form TEXT NOT NULL, tune INTEGER NOT NULL, "
        "content TEXT NOT NULL, coming TEXT NOT NULL"
    ),
}
_COLUMNS = {
    "meta": ["name", "value"],
    "sources": ["source", "name", "target", "remark", "status", "content", "tunes", "problems"],
    "made": ["source", "form", "fingerprint", "content"],
    "outputs": ["path", "source", "form", "tune", "content", "coming"],
}


def open_state(path: Path) -> tuple[sqlite3.Connection, Path | None]:
    """The database at a path, made if it is not there, and where what could not be read of an
    earlier one was put, if there was such a thing. Raises OSError.

    Of a database in another format, what it knows of outputs is taken over: they stay ours.
    """
    for name in (path, *(path.with_name(path.name + end) for end in ("-journal", "-wal", "-shm"))):
        check_own_file(str(name))
    try:
        if not path.is_dir():
            return _open(path), None
    except sqlite3.OperationalError as error:
        raise as_os_error(error, path) from error
    except sqlite3.DatabaseError:
        pass
    aside = _aside(path)
    os.replace(path, aside)
    with contextlib.suppress(OSError):
        os.unlink(path.with_name(path.name + "-journal"))
    try:
        db = _open(path)
        _take_over(db, aside)
    except sqlite3.DatabaseError as error:
        raise as_os_error(error, path) from error
    return db, aside


def _aside(path: Path) -> Path:
    """A name beside it that nothing has."""
    aside, number = path.with_suffix(".unreadable"), 1
    while os.path.lexists(aside):
        number += 1
        aside = path.with_suffix(f".unreadable-{number}")
    return aside


def _open(path: Path) -> sqlite3.Connection:
    db = sqlite3.connect(path, timeout=60, isolation_level=None)
    try:
        db.execute("PRAGMA synchronous=FULL")
        with transaction(db):
            if not db.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]:
                for table, columns in _TABLES.items():
                    db.execute(f"CREATE TABLE {table} ({columns})")
                db.execute("CREATE INDEX outputs_of ON outputs (source, form)")
                db.execute("INSERT INTO meta VALUES ('format', ?)", (FORMAT,))
            check(db)
            found = db.execute("PRAGMA quick_check(1)").fetchone()[0]
            if found != "ok":
                raise sqlite3.DatabaseError(found)
    except BaseException:
        db.close()
        raise
    return db


def check(db: sqlite3.Connection) -> None:
    """Raise sqlite3.DatabaseError unless the tables are those of this version."""
    for table, columns in _COLUMNS.items():
        found = [row[1] for row in db.execute(f"PRAGMA table_info({table})")]
        if found != columns:
            raise sqlite3.DatabaseError(f"the table {table} has the columns {found}")
    row = db.execute("SELECT value FROM meta WHERE name='format'").fetchone()
    if row is None or row[0] != FORMAT:
        raise sqlite3.DatabaseError(f"format {row and row[0]}, not {FORMAT}")


def _take_over(db: sqlite3.Connection, aside: Path) -> None:
    """Take over, as far as they can be read, which outputs are ours; not what they were made of,
    so that all is made again."""
    rows: list[tuple[object, ...]] = []
    with contextlib.suppress(sqlite3.Error):
        address = aside.absolute().as_uri() + "?mode=ro&immutable=1"
        with contextlib.closing(sqlite3.connect(address, uri=True)) as old:
            rows = old.execute("SELECT path, content, coming FROM outputs").fetchall()
    with transaction(db):
        for path, content, coming in rows:
            if all(isinstance(value, str) for value in (path, content, coming)):
                db.execute(
                    "INSERT OR REPLACE INTO outputs VALUES (?, x'', '', 0, ?, ?)",
                    (path, content, coming),
                )


@contextlib.contextmanager
def transaction(db: sqlite3.Connection) -> Iterator[None]:
    """A transaction; waits for that of another run. Raises OSError for what the disk says."""
    try:
        db.execute("BEGIN IMMEDIATE")
        yield
        db.execute("COMMIT")
    except BaseException as error:
        with contextlib.suppress(sqlite3.Error):
            db.execute("ROLLBACK")
        if isinstance(error, sqlite3.OperationalError):  # no room, or no right to write
            raise as_os_error(error) from error
        raise
