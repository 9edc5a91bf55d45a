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
from rollstave.archive.opening import check, open_state, transaction
from rollstave.outputs.own import OWN_FOLDER, REPORTS, STATE_FILE, check_own_file, own_folder


def written_in(out: str) -> frozenset[str] | None:
    """The real paths of what runs have written into another --out folder, and of its reports; None
    if its state cannot be read."""
    real = os.path.realpath(out)
    try:
        with contextlib.closing(_read_only(real)) as db:
            rows = db.execute("SELECT path FROM outputs").fetchall()
            return frozenset(os.path.join(real, path) for path in _with_reports(rows))
    except (sqlite3.Error, OSError):
        return None


def known_of(path: str) -> dict[str, str]:
    """The contents that runs have written, or were about to write, to a path below their --out,
    each with the path of its source."""
    real = os.path.join(os.path.realpath(os.path.dirname(path) or "."), os.path.basename(path))
    for folder in Path(real).parents:
        if not (folder / OWN_FOLDER / STATE_FILE).is_file():
            continue
        below = os.path.relpath(real, folder).replace(os.sep, "/")
        try:
            with contextlib.closing(_read_only(str(folder))) as db:
                rows = db.execute(
                    "SELECT content, coming, source FROM outputs WHERE path=?", (below,)
                ).fetchall()
        except (sqlite3.Error, OSError):
            continue
        for content, coming, key in rows:
            source = os.path.normpath(os.path.join(folder, os.fsdecode(key))) if key else ""
            return dict.fromkeys({content, coming} - {""}, source)
    return {}


def _with_reports(rows: Iterable[tuple[str]]) -> Iterator[str]:
    yield from REPORTS
    yield from (path for (path,) in rows)


def _read_only(out: str) -> sqlite3.Connection:
    """The state of a folder, to look into. Raises sqlite3.Error, OSError."""
    path = Path(own_folder(out, make=False)) / STATE_FILE
    check_own_file(str(path))
    db = sqlite3.connect(path.as_uri() + "?mode=ro", uri=True, timeout=5)
    try:
        check(db)
    except BaseException:
        db.close()
        raise
    return db


class Output(Struct, frozen=True):
    """A file that a run has written or was about to write.

    ``path`` is below --out, with ``/``. ``content`` is the hash of what was written, ``coming``
    of what was about to replace it when the run was last heard of; either may be empty.
    """

    path: str
    source: bytes
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
        path = folder / STATE_FILE
        self._db, self.set_aside = open_state(path)

    @contextlib.contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        """A transaction; waits for that of another run. Raises OSError."""
        with transaction(self._db):
            yield self._db

    def close(self) -> None:
        self._db.close()

    def key(self, path: str) -> bytes:
        """What a source is known by: the bytes of its path, whatever it is shown as."""
        try:
            return os.fsencode(os.path.relpath(path, self._out))
        except ValueError:  # on another drive, or no path at all
            return path.encode("utf-8", "surrogatepass")

    def path_of(self, key: bytes) -> str:
        """The absolute path of a source."""
        return os.path.normpath(os.path.join(self._out, os.fsdecode(key)))

    def is_done(self, job: Job, recipe: Recipe, content: str) -> bool:
        """True if nothing has changed since this job was done and all its outputs are there."""
        key = self.key(job.source.path)
        row = self._db.execute("SELECT target FROM sources WHERE source=?", (key,)).fetchone()
        if row is None or row[0] != job.target:
            return False
        known = dict(
            self._db.execute("SELECT form, fingerprint FROM made WHERE source=?", (key,)).fetchall()
        )
        given = recipe.given(job.source)
        if any(known.get(f) != recipe.fingerprint(f, content, given) for f in recipe.formats):
            return False
        return all(
            not output.coming and os.path.lexists(os.path.join(self._out, output.path))
            for output in self.outputs_of(key)
            if output.form in recipe.formats
        )

    def outputs_of(self, key: bytes) -> list[Output]:
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
        """The absolute paths of all outputs and of the reports."""
        rows = self._db.execute("SELECT path FROM outputs")
        return frozenset(os.path.join(self._out, path) for path in _with_reports(rows))

    def announce(self, coming: Iterable[Output]) -> None:
        """Remember, before they are put in place, which files are about to be ours."""
        with self._writing() as db:
            for output in coming:
                old = db.execute(
                    "SELECT content, source FROM outputs WHERE path=?", (output.path,)
                ).fetchone()
                content = old[0] if old else ""
                if old and old[1] != output.source:  # whoever made it last has to make it again
                    db.execute("DELETE FROM made WHERE source=? AND form=?", (old[1], output.form))
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
                given = recipe.given(job.source)
                for form in recipe.formats:
                    made = recipe.fingerprint(form, result.content, given)
                    mark = made if result.final else ""
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

    def forget(self, key: bytes) -> None:
        """Forget a source; its outputs have been removed or are no longer ours."""
        with self._writing() as db:
            for table in ("outputs", "made", "sources"):
                db.execute(f"DELETE FROM {table} WHERE source=?", (key,))

    def sources(self) -> list[bytes]:
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
                gone=not _lexists(self.path_of(key)),
            )

    def _is_there(self, output: Output) -> bool:
        return os.path.lexists(os.path.join(self._out, output.path))

    def status_of(self, key: bytes) -> tuple[str, list[dict[str, Any]], list[dict[str, Any]]]:
        """The status, tunes and problems of a source that is known."""
        status, tunes, problems = self._db.execute(
            "SELECT status, tunes, problems FROM sources WHERE source=?", (key,)
        ).fetchone()
        return status, json.loads(tunes), json.loads(problems)


def _lexists(path: str) -> bool:
    try:
        return os.path.lexists(path)
    except ValueError:
        return False
