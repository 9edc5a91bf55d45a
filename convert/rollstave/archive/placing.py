"""Puts staged outputs in their places below --out: only there, whole, and over nothing foreign."""

from __future__ import annotations

import contextlib
import errno
import os
from collections.abc import Iterable, Sequence
from pathlib import Path, PurePosixPath

from rollstave.archive.jobs import Job, Recipe, Result, Staged, problem
from rollstave.archive.state import Output, State
from rollstave.outputs import disk, guard
from rollstave.outputs.guard import Refused
from rollstave.outputs.ledger import Ledger, hash_of
from rollstave.outputs.own import shown
from rollstave.vocabulary import problems as kinds

_NO_ROOM = {errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EIO}


class Placer:
    """Places the outputs of batches of jobs. ``inputs`` are the paths of all that is read: the
    sources of ``jobs`` and others.

    Callers hold the lock of the --out folder. ``overwrite`` lets files that are not ours, or were
    changed since we wrote them, be replaced; they are kept.
    """

    def __init__(
        self,
        out: Path,
        state: State,
        recipe: Recipe,
        jobs: Sequence[Job],
        *,
        overwrite: bool,
        others: Iterable[str] = (),
    ) -> None:
        self._out = os.path.realpath(out)
        self._state = state
        self._recipe = recipe
        self._going = {state.key(job.source.path) for job in jobs}
        self._inputs: frozenset[tuple[int, int]] = frozenset(
            found
            for path in (*(job.source.path for job in jobs), *others)
            if (found := _identity(path)) is not None
        )
        self._overwrite = overwrite

    def place(self, batch: Sequence[tuple[Job, Result]]) -> None:
        """Put all outputs in place and remember it. A result whose outputs cannot be placed
        becomes a failed one. Raises OSError if the disk is full or cannot be written at all.

        What is about to happen is remembered first: whoever finds the files after a power cut
        knows that they are ours.
        """
        accepted = [(job, result) for job, result in batch if self._accepts(job, result)]
        self._state.announce(
            Output(
                path=self._path(job, f),
                source=self._state.key(job.source.path),
                form=f.form,
                tune=f.tune,
                content="",
                coming=f.content,
            )
            for job, result in accepted
            for f in result.files
        )
        folders: set[str] = set()
        for job, result in accepted:
            for file in result.files:
                path = self._path(job, file)
                final = os.path.join(self._out, path)
                kept = ""
                try:
                    kept = self._keep_foreign(path, file, result)
                    os.replace(file.staged, final)
                except OSError as error:
                    disk.unkeep(final, kept)
                    if error.errno in _NO_ROOM:
                        raise
                    self._fail(result, f"cannot write {shown(final)}: {error.strerror}")
                    break
                folders.add(os.path.dirname(final))
        for folder in folders:
            disk.sync_folder(folder)
        gone = [path for job, result in accepted for path in self._remove_stale(job, result)]
        self._state.settle(batch, self._recipe, gone)

    def remove_outputs(self, key: bytes) -> int:
        """Remove the outputs of a source that is no more, as far as they are still as we wrote
        them; how many."""
        removed = sum(self._remove(output) for output in self._state.outputs_of(key))
        self._state.forget(key)
        return removed

    def _accepts(self, job: Job, result: Result) -> bool:
        """True if every output of a result may go to its place; folders are made."""
        if result.status != "done":
            return False
        try:
            for file in result.files:
                self._check(self._path(job, file), file, job)
        except Refused as refusal:
            self._fail(result, str(refusal))
            return False
        except OSError as error:
            if error.errno in _NO_ROOM:
                raise
            where = shown(str(error.filename or self._out))
            self._fail(result, f"cannot write to {where}: {error.strerror or error}")
            return False
        return True

    @staticmethod
    def _fail(result: Result, message: str) -> None:
        result.status, result.final = "failed", False
        result.problems = [problem(kinds.FILE, message)]
        for file in result.files:
            with contextlib.suppress(OSError):
                os.unlink(file.staged)

    @staticmethod
    def _path(job: Job, file: Staged) -> str:
        return str(PurePosixPath(job.target).with_name(file.name))

    def _check(self, path: str, file: Staged, job: Job) -> None:
        """Raise Refused unless ``path`` is ours to write. Makes its folder."""
        self._make_folder(PurePosixPath(path).parent)
        final = os.path.join(self._out, path)
        guard.refuse_odd(final)
        if _identity(final) in self._inputs:
            raise Refused(f"{shown(final)} is one of the files that are read; name another --out")
        if not self._overwrite:
            known = self._known(path)
            guard.refuse_foreign(final, known, job.source.path, file.content)

    def _known(self, path: str) -> dict[str, str]:
        """The contents that were written to a path, each with its source, if that may not be
        replaced by another: one that this run converts too has a place of its own by now."""
        final = os.path.join(self._out, path)
        folder, name = os.path.split(final)
        known = {}
        for content, below in Ledger(folder).named(name).items():
            known[content] = os.path.normpath(os.path.join(folder, below)) if below else ""
        if (output := self._state.output(path)) is not None:
            source = self._state.path_of(output.source) if output.source else ""
            known |= dict.fromkeys({output.content, output.coming} - {""}, source)
        for content, source in known.items():
            if source and self._state.key(source) in self._going:
                known[content] = ""
        return known

    def _keep_foreign(self, path: str, file: Staged, result: Result) -> str:
        """Keep what is about to be replaced and is not ours; where, or nothing."""
        final = os.path.join(self._out, path)
        if os.path.lexists(final) and not self._is_ours(path, file.content):
            kept = disk.keep(final, self._out)
            words = f"{shown(final)} was replaced; what it was is kept as {shown(kept)}"
            result.remarks.append(words)
            return kept
        return ""

    def _make_folder(self, below: PurePosixPath) -> None:
        """Make a folder below --out, step by step, so that no link on the way leads out."""
        here = self._out
        for part in below.parts:
            if part in ("..", "/", "") or "\0" in part:
                raise Refused(f"{shown(str(below))} would leave {shown(self._out)}")
            here = os.path.join(here, part)
            if os.path.islink(here):
                raise Refused(f"{shown(here)} is a link; outputs are only put into real folders")
            if not os.path.isdir(here):
                try:
                    os.mkdir(here)
                except FileExistsError:
                    if not os.path.isdir(here):
                        raise Refused(
                            f"cannot make the folder {shown(here)}: a file has that name"
                        ) from None
                disk.sync_folder(os.path.dirname(here))

    def _is_ours(self, path: str, new: str = "") -> bool:
        """True if the file is as a run wrote it (or has the new content already)."""
        final = os.path.join(self._out, path)
        if os.path.islink(final) or not os.path.isfile(final):
            return False
        return hash_of(final) in {*self._known(path), new} - {""}

    def _remove_stale(self, job: Job, result: Result) -> list[str]:
        """Remove what an earlier run made of this source and this one did not; their paths."""
        if result.status != "done":
            return []
        fresh = {self._path(job, file) for file in result.files}
        gone = []
        for output in self._state.outputs_of(self._state.key(job.source.path)):
            if output.form in self._recipe.formats and output.path not in fresh:
                self._remove(output)
                gone.append(output.path)
        return gone

    def _remove(self, output: Output) -> bool:
        """Remove an output if it is as we wrote it, and the folders that this leaves empty."""
        if not self._inside(output.path) or not self._is_ours(output.path):
            return False
        final = os.path.join(self._out, output.path)
        if _identity(final) in self._inputs:
            return False
        os.unlink(final)
        folder = os.path.dirname(final)
        while folder != self._out:
            try:
                os.rmdir(folder)
            except OSError:
                break
            folder = os.path.dirname(folder)
        return True

    def _inside(self, path: str) -> bool:
        final = os.path.join(self._out, path)
        return (
            os.path.commonpath([os.path.realpath(os.path.dirname(final)), self._out]) == self._out
        )


def _identity(path: str) -> tuple[int, int] | None:
    """Which file a path leads to, whatever its name; None if to none."""
    try:
        found = os.stat(path)
    except (OSError, ValueError):
        return None
    return found.st_dev, found.st_ino


def remove_staged(paths: Iterable[Staged]) -> None:
    """Remove staged files that will not be placed."""
    for file in paths:
        with contextlib.suppress(OSError):
            os.unlink(file.staged)
