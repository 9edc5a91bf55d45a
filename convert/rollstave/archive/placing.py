"""Puts staged outputs in their places below --out: only there, whole, and over nothing foreign."""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
from collections.abc import Iterable, Sequence
from pathlib import Path, PurePosixPath

from rollstave.archive.jobs import Job, Recipe, Result, Staged, problem
from rollstave.archive.names import shown
from rollstave.archive.state import Output, State
from rollstave.vocabulary import problems as kinds

_NO_ROOM = {errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EIO}


class Refused(Exception):
    """An output cannot go to its place; the text says why. Costs one tune."""


class Placer:
    """Places the outputs of batches of jobs. ``inputs`` are the real paths of all sources.

    Callers hold the lock of the --out folder. ``overwrite`` lets files that are not ours, or were
    changed since we wrote them, be replaced.
    """

    def __init__(
        self, out: Path, state: State, recipe: Recipe, inputs: frozenset[str], overwrite: bool
    ) -> None:
        self._out = os.path.realpath(out)
        self._state = state
        self._recipe = recipe
        self._inputs = inputs
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
                final = os.path.join(self._out, self._path(job, file))
                try:
                    os.replace(file.staged, final)
                except OSError as error:
                    if error.errno in _NO_ROOM:
                        raise
                    self._fail(result, f"cannot write {shown(final)}: {error.strerror}")
                    break
                folders.add(os.path.dirname(final))
        for folder in folders:
            _sync_folder(folder)
        gone = [path for job, result in accepted for path in self._remove_stale(job, result)]
        self._state.settle(batch, self._recipe, gone)

    def remove_outputs(self, key: str) -> int:
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
                self._check(self._path(job, file), file)
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

    def _check(self, path: str, file: Staged) -> None:
        """Raise Refused unless ``path`` is ours to write. Makes its folder."""
        self._make_folder(PurePosixPath(path).parent)
        final = os.path.join(self._out, path)
        if not os.path.lexists(final):
            return
        if os.path.isdir(final) and not os.path.islink(final):
            raise Refused(f"cannot write {shown(final)}: a folder has that name")
        if os.path.realpath(final) in self._inputs:
            raise Refused(f"{shown(final)} is one of the files that are read; name another --out")
        if self._overwrite or self._is_ours(path, file.content):
            return
        raise Refused(
            f"{shown(final)} was there before, or was changed since rollstave wrote it, and is "
            "left as it is; move it away, or convert with --overwrite"
        )

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
                _sync_folder(os.path.dirname(here))

    def _is_ours(self, path: str, new: str = "") -> bool:
        """True if the file is as a run wrote it (or has the new content already)."""
        final = os.path.join(self._out, path)
        if os.path.islink(final) or not os.path.isfile(final):
            return False
        known = self._state.output(path)
        ours = {known.content, known.coming} if known else set()
        return hash_of(final) in (ours | {new}) - {""}

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
        if os.path.realpath(final) in self._inputs:
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


def hash_of(path: str) -> str:
    """The hash of a file's bytes. Raises OSError."""
    with open(path, "rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _sync_folder(folder: str) -> None:
    """See to it that the names in a folder are on the disk, where the system can do that."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def remove_staged(paths: Iterable[Staged]) -> None:
    """Remove staged files that will not be placed."""
    for file in paths:
        with contextlib.suppress(OSError):
            os.unlink(file.staged)
