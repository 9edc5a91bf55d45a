"""What earlier runs did, kept in ``--out``: one SQLite file, safe against stops and other runs."""

from __future__ import annotations

import contextlib
import json
import os
import sqlite3
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from msgspec import Struct

from rollstave.archive.jobs import Job, Recipe, Result
from rollstave.archive.lock import as_os_error

STATE_FOLDER = ".rollstave"  # in every --out
FORMAT = "1"  # of the tables; another one begins anew

_TABLES = """
CREATE TABLE IF NOT EXISTS meta (name TEXT PRIMARY KEY, value TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS sources (
    source TEXT PRIMARY KEY, name TEXT NOT NULL, target TEXT NOT NULL, remark TEXT NOT NULL,
    status TEXT NOT NULL, content TEXT NOT NULL, tunes TEXT NOT NULL, problems TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS made (
    source TEXT NOT NULL, form TEXT NOT NULL, fingerprint TEXT NOT NULL, content TEXT NOT NULL,
    PRIMARY KEY (source, form));
CREATE TABLE IF NOT EXISTS outputs (
    path TEXT PRIMARY KEY, source TEXT NOT NULL, form TEXT NOT NULL, tune INTEGER NOT NULL,
    content TEXT NOT NULL, coming TEXT NOT NULL);
CREATE INDEX IF NOT EXISTS outputs_of ON outputs (source, form);
"""


def written_in(out: str) -> frozenset[str] | None:
    """The real paths of what runs have written into another --out folder, and of its reports; None
    if its state cannot be read."""
    real = Path(os.path.realpath(out))
    address = (real / STATE_FOLDER / "state.sqlite").as_uri() + "?mode=ro"
    try:
        with contextlib.closing(sqlite3.connect(address, uri=True, timeout=5)) as db:
            row = db.execute("SELECT value FROM meta WHERE name='format'").fetchone()
            if row is None or row[0] != FORMAT:
                return None
            return frozenset(str(real / path) for (path,) in db.execute("SELECT path FROM outputs"))
    except sqlite3.Error:
        return None


class Output(Struct, frozen=True):
    """A file that a run has written or was about to write.

    ``path`` is below --out, with ``/``. ``content`` is the hash of what was written, ``coming``
    of what was about to replace it when the run was last heard of; either may be empty.
    """

    path: str
    source: str
    form: str
    tune: int
    content: str
    coming: str


class Told(Struct, frozen=True):
    """What is known of a source: the fields of a result, and its outputs that are up to date.

    ``older`` are outputs of an earlier version of it that are still there; ``gone`` is true if the
    source itself is not.
    """

    name: str
    remark: str
    status: str
    tunes: list[dict[str, Any]]
    problems: list[dict[str, Any]]
    outputs: list[Output]
    older: list[Output] = []
    gone: bool = False


class State:
    """The state of an --out folder. Sources are known by their path from there, so that tabs and
    outputs can be moved together."""

    def __init__(self, folder: Path, out: Path) -> None:
        self._out = os.path.realpath(out)
        self.set_aside: Path | None = None
        path = folder / "state.sqlite"
        try:
            self._db = self._open(path)
        except sqlite3.OperationalError as error:
            raise as_os_error(error, path) from error
        except sqlite3.DatabaseError:
            self.set_aside = path.with_suffix(".unreadable")
            os.replace(path, self.set_aside)
            self._db = self._open(path)

    def _open(self, path: Path) -> sqlite3.Connection:
        db = sqlite3.connect(path, timeout=60, isolation_level=None)
        try:
            db.execute("PRAGMA synchronous=FULL")
            with self._writing(db):
                for statement in _TABLES.split(";"):
                    db.execute(statement)
                row = db.execute("SELECT value FROM meta WHERE name='format'").fetchone()
                if row is not None and row[0] != FORMAT:
                    raise sqlite3.DatabaseError(f"format {row[0]}, not {FORMAT}")
                db.execute("INSERT OR REPLACE INTO meta VALUES ('format', ?)", (FORMAT,))
        except BaseException:
            db.close()
            raise
        return db

    @contextlib.contextmanager
    def _writing(self, db: sqlite3.Connection | None = None) -> Iterator[sqlite3.Connection]:
        """A transaction; waits for that of another run. Raises OSError."""
        db = db or self._db
        try:
            db.execute("BEGIN IMMEDIATE")
            yield db
            db.execute("COMMIT")
        except BaseException as error:
            with contextlib.suppress(sqlite3.Error):
                db.execute("ROLLBACK")
            if isinstance(error, sqlite3.OperationalError):  # no room, or no right to write
                raise as_os_error(error) from error
            raise

    def close(self) -> None:
        self._db.close()

    def key(self, path: str) -> str:
        """What a source is known by."""
        from rollstave.archive.names import shown

        try:
            return shown(os.path.relpath(path, self._out))
        except ValueError:  # on another drive, or no path at all
            return shown(path)

    def path_of(self, key: str) -> str:
        """The absolute path of a source."""
        return os.path.normpath(os.path.join(self._out, key))

    def is_done(self, job: Job, recipe: Recipe, content: str) -> bool:
        """True if nothing has changed since this job was done and all its outputs are there."""
        key = self.key(job.source.path)
        row = self._db.execute("SELECT target FROM sources WHERE source=?", (key,)).fetchone()
        if row is None or row[0] != job.target:
            return False
        known = dict(
            self._db.execute("SELECT form, fingerprint FROM made WHERE source=?", (key,)).fetchall()
        )
        if any(known.get(f) != recipe.fingerprint(f, content) for f in recipe.formats):
            return False
        return all(
            not output.coming and os.path.lexists(os.path.join(self._out, output.path))
            for output in self.outputs_of(key)
            if output.form in recipe.formats
        )

    def outputs_of(self, key: str) -> list[Output]:
        """The outputs of a source, in the order of its tunes."""
        rows = self._db.execute(
            "SELECT * FROM outputs WHERE source=? ORDER BY tune, length(path), path", (key,)
        )
        return [Output(*row) for row in rows]

    def output(self, path: str) -> Output | None:
        """What is known of an output by its path."""
        row = self._db.execute("SELECT * FROM outputs WHERE path=?", (path,)).fetchone()
        return Output(*row) if row else None

    def output_paths(self) -> frozenset[str]:
        """The absolute paths of all outputs."""
        rows = self._db.execute("SELECT path FROM outputs")
        return frozenset(os.path.join(self._out, path) for (path,) in rows)

    def announce(self, coming: Iterable[Output]) -> None:
        """Remember, before they are put in place, which files are about to be ours."""
        with self._writing() as db:
            for output in coming:
                old = db.execute(
                    "SELECT content FROM outputs WHERE path=?", (output.path,)
                ).fetchone()
                content = old[0] if old else ""
                db.execute(
                    "INSERT OR REPLACE INTO outputs VALUES (?,?,?,?,?,?)",
                    (output.path, output.source, output.form, output.tune, content, output.coming),
                )

    def settle(
        self, results: Iterable[tuple[Job, Result]], recipe: Recipe, forgotten: Iterable[str]
    ) -> None:
        """Remember what became of jobs, and that outputs are gone (``forgotten``)."""
        with self._writing() as db:
            for path in forgotten:
                db.execute("DELETE FROM outputs WHERE path=?", (path,))
            for job, result in results:
                key = self.key(job.source.path)
                if result.status == "done":
                    db.execute(
                        "UPDATE outputs SET content=coming, coming='' "
                        "WHERE source=? AND coming<>''",
                        (key,),
                    )
                for form in recipe.formats:
                    mark = recipe.fingerprint(form, result.content) if result.final else ""
                    db.execute(
                        "INSERT OR REPLACE INTO made VALUES (?,?,?,?)",
                        (key, form, mark, result.content),
                    )
                db.execute(
                    "INSERT OR REPLACE INTO sources VALUES (?,?,?,?,?,?,?,?)",
                    (
                        key,
                        job.source.name.encode("utf-8", "replace").decode(),
                        job.target,
                        job.remark,
                        result.status,
                        result.content,
                        json.dumps(result.tunes, ensure_ascii=False),
                        json.dumps(result.problems, ensure_ascii=False),
                    ),
                )

    def forget(self, key: str) -> None:
        """Forget a source; its outputs have been removed or are no longer ours."""
        with self._writing() as db:
            for table in ("outputs", "made", "sources"):
                db.execute(f"DELETE FROM {table} WHERE source=?", (key,))

    def sources(self) -> list[str]:
        """Every source that is known."""
        return [k for (k,) in self._db.execute("SELECT source FROM sources ORDER BY source")]

    def told(self) -> Iterator[Told]:
        """What is known of every source, by name."""
        rows = self._db.execute(
            "SELECT source, name, remark, status, content, tunes, problems FROM sources "
            "ORDER BY name, source"
        )
        for key, name, remark, status, content, tunes, problems in rows:
            fresh = {
                form
                for (form,) in self._db.execute(
                    "SELECT form FROM made WHERE source=? AND content=? AND fingerprint<>''",
                    (key, content),
                )
            }
            if status != "done":
                fresh = set()
            outputs = self.outputs_of(key)
            yield Told(
                name=name,
                remark=remark,
                status=status,
                tunes=json.loads(tunes),
                problems=json.loads(problems),
                outputs=[o for o in outputs if o.form in fresh],
                older=[o for o in outputs if o.form not in fresh and self._is_there(o)],
                # A name with bytes that are no text is known by its escapes only.
                gone="\\" not in key and not os.path.lexists(self.path_of(key)),
            )

    def _is_there(self, output: Output) -> bool:
        return os.path.lexists(os.path.join(self._out, output.path))

    def status_of(self, key: str) -> tuple[str, list[dict[str, Any]], list[dict[str, Any]]]:
        """The status, tunes and problems of a source that is known."""
        status, tunes, problems = self._db.execute(
            "SELECT status, tunes, problems FROM sources WHERE source=?", (key,)
        ).fetchone()
        return status, json.loads(tunes), json.loads(problems)
