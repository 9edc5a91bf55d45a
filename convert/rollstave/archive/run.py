"""The run: jobs to workers and back, in batches into their places, until all is done."""

from __future__ import annotations

import hashlib
import os
import secrets
import shutil
import time
from collections import Counter, deque
from collections.abc import Callable, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, wait
from contextlib import AbstractContextManager
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from msgspec import Struct, field

from rollstave.archive.jobs import Job, Recipe, Result, itself_failed, problem
from rollstave.archive.lock import Lock
from rollstave.archive.placing import Placer, remove_staged
from rollstave.archive.state import State
from rollstave.archive.task import CannotStage, convert_and_stage
from rollstave.outputs.own import own_folder
from rollstave.reporting.summary import where
from rollstave.vocabulary import problems as kinds
from rollstave.workers import MEGABYTE, WorkerLost, Workers, cores

TRIES = 3  # a tune whose worker died is blamed after so many; a kill from outside is not its fault
_AHEAD = 4  # jobs handed out for each worker
_BATCH, _BATCH_SECONDS = 32, 0.5  # results that are put in place together
_LOCK_PATIENCE = 70.0  # a worker killed at a bad moment keeps the others waiting up to a minute
PRELOAD = ("rollstave.archive.task", "rollstave.api", "rollstave.writing.sheet", "verovio")

Task = Callable[[Job, Recipe, str, int], Result]


class Tally(Struct):
    """What a run did. ``counts`` has done, warned (of done), failed, skipped, vanished, unchanged
    (of done), removed (outputs) and parts_failed (texts of files that are done); ``failures`` pairs
    a name with the first reason, ``kept`` says which files of others were replaced and where they
    are now."""

    total: int = 0
    counts: Counter[str] = field(default_factory=Counter)
    failures: list[tuple[str, str]] = field(default_factory=list)
    remarks: list[tuple[str, str]] = field(default_factory=list)
    kept: list[str] = field(default_factory=list)

    def add(
        self,
        job: Job,
        status: str,
        tunes: Sequence[dict[str, Any]],
        problems: Sequence[dict[str, Any]],
    ) -> None:
        self.counts[status] += 1
        if any(p["severity"] == "warning" for t in tunes for p in t["problems"]):
            self.counts["warned"] += 1
        seen: set[str] = set()
        for first in problems if status in ("failed", "done") else ():
            part = first.get("part_of_file", "")
            if part in seen:
                continue
            seen.add(part)
            name = f"{job.source.name}, {part}" if part else job.source.name
            self.failures.append((name + where(first), first["message"]))
        self.counts["parts_failed"] += len(seen - {""}) if status == "done" else 0
        if job.remark:
            self.remarks.append((job.source.name, job.remark))

    @property
    def looked_at(self) -> int:
        """How many files the run has come to an end with."""
        return sum(self.counts[s] for s in ("done", "failed", "skipped", "vanished"))


class Archive(AbstractContextManager["Archive"]):
    """An --out folder that a run works on. Raises OSError if it cannot be written.

    ``others`` is true if another run is at work on the same folder.
    """

    def __init__(self, out: Path) -> None:
        self.out = out
        out.mkdir(parents=True, exist_ok=True)
        self.folder = Path(own_folder(str(out)))
        self.lock = Lock(self.folder / "lock")
        with self.lock:
            self.others = self._clear_dead_runs()
            token = secrets.token_hex(8)
            self._alive = Lock(self.folder / f"{token}.alive")
            self.staging = self.folder / f"{token}.staging"
            try:
                self._alive.acquire(1.0)
                self.staging.mkdir()
                self.state = State(self.folder, out)
            except BaseException:
                self._leave()
                raise

    def _clear_dead_runs(self) -> bool:
        """Remove what runs that were stopped have left; true if another run is alive."""
        living = False
        for path in self.folder.glob("*.alive"):
            claim = Lock(path)
            if not claim.acquire(0):
                living = True
                continue
            claim.release()
            shutil.rmtree(path.with_suffix(".staging"), ignore_errors=True)
            path.unlink(missing_ok=True)
        return living

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.state.close()
        self._leave()

    def _leave(self) -> None:
        """Take away what says that this run is at work."""
        shutil.rmtree(self.staging, ignore_errors=True)
        self._alive.release()
        (self.folder / f"{self.staging.stem}.alive").unlink(missing_ok=True)

    def __enter__(self) -> Self:
        return self


class Limits(Struct, frozen=True):
    """How many workers, and what one tune may take: seconds, and megabytes of a worker's data."""

    jobs: int | None = None
    seconds: float = 60.0
    megabytes: int = 1024


class Run:
    """Converts jobs into an archive. ``watch`` is called with the tally after every file.

    ``also_read`` are files that are read and not converted: a list of names. ``task`` is what a
    worker does; tests give one with faults.
    """

    def __init__(
        self,
        archive: Archive,
        recipe: Recipe,
        jobs: Sequence[Job],
        *,
        limits: Limits | None = None,
        overwrite: bool = False,
        again: bool = False,
        also_read: Sequence[str] = (),
        watch: Callable[[Tally], None] = lambda tally: None,
        task: Task = convert_and_stage,
    ) -> None:
        self.tally = Tally(len(jobs))
        self._archive = archive
        self._recipe = recipe
        # Two runs at once start from both ends, and each takes what the other has done as done.
        self._waiting = deque(enumerate(reversed(jobs) if archive.others else jobs))
        self._limits = limits or Limits()
        self._again = again
        self._watch = watch
        self._task = task
        self._placer = Placer(
            archive.out, archive.state, recipe, jobs, overwrite=overwrite, others=also_read
        )
        self._under_way: dict[Future[Result], tuple[int, Job]] = {}
        self._tries: Counter[int] = Counter()
        self._finished: list[tuple[Job, Result]] = []
        self._placed_at = time.monotonic()
        self._stopping = False

    def stop(self) -> None:
        """Ask a run to end soon, from a signal handler: what is being placed is placed first."""
        self._stopping = True

    def run(self) -> Tally:
        """Do all jobs. Raises OSError or CannotStage if the disk is full; what was done stays
        done. Raises KeyboardInterrupt if it was stopped before its end."""
        limits = self._limits
        count = max(1, min(limits.jobs or cores(), len(self._waiting)))
        with Workers(
            count,
            seconds=limits.seconds,
            memory=limits.megabytes * MEGABYTE,
            preload=PRELOAD,
        ) as workers:
            try:
                while self._waiting or self._under_way:
                    if self._stopping:
                        raise KeyboardInterrupt
                    self._hand_out(workers)
                    self._gather(workers)
                    if self._is_time():
                        self._place()
            finally:
                self._place()
        return self.tally

    def _hand_out(self, workers: Workers) -> None:
        ahead = _AHEAD * workers.count
        while self._waiting and len(self._under_way) < ahead and not self._stopping:
            ticket, job = self._waiting.popleft()
            if not self._again and self._is_done(job):
                continue
            future = workers.submit(
                self._task, job, self._recipe, str(self._archive.staging), ticket
            )
            self._under_way[future] = (ticket, job)

    def _is_done(self, job: Job) -> bool:
        """True if an earlier run, or another one just now, has done this very job."""
        try:
            with open(job.source.path, "rb") as stream:
                content = hashlib.file_digest(stream, "sha256").hexdigest()
        except (OSError, ValueError):
            return False
        state = self._archive.state
        if not state.is_done(job, self._recipe, content):
            return False
        status, tunes, problems = state.status_of(state.key(job.source.path))
        self.tally.counts["unchanged"] += status == "done"
        self.tally.add(job, status, tunes, problems)
        self._watch(self.tally)
        return True

    def _gather(self, workers: Workers) -> None:
        """Wait a little for results; start the workers anew if none comes for too long."""
        if not self._under_way:
            return
        deadline = time.monotonic() + self._limits.seconds + _LOCK_PATIENCE
        done: set[Future[Result]] = set()
        while not done and time.monotonic() < deadline and not self._stopping:
            done, _ = wait(self._under_way, timeout=_BATCH_SECONDS, return_when=FIRST_COMPLETED)
            if not done and self._finished:
                self._place()
        if not done:
            if not self._stopping:
                workers.restart()
            return
        for future in done:
            ticket, job = self._under_way.pop(future)
            try:
                self._end(job, future.result())
            except WorkerLost as lost:
                self._lost(ticket, job, lost)
            except CannotStage:
                raise
            except Exception as error:
                told = itself_failed(error)
                self._end(job, Result("failed", problems=[told], final=False))

    def _lost(self, ticket: int, job: Job, lost: WorkerLost) -> None:
        """A worker is lost with a job: it is tried again, or blamed."""
        self._tries[ticket] += 1
        if lost.reason == "died" and self._tries[ticket] < TRIES:
            self._waiting.appendleft((ticket, job))
            return
        told = problem(kinds.WORKER, _blame(lost, self._limits))
        self._end(job, Result("failed", problems=[told], final=False))

    def _end(self, job: Job, result: Result) -> None:
        self._finished.append((job, result))

    def _is_time(self) -> bool:
        waited = time.monotonic() - self._placed_at
        return len(self._finished) >= _BATCH or waited > _BATCH_SECONDS

    def _place(self) -> None:
        batch, self._finished = self._finished, []
        self._placed_at = time.monotonic()
        if not batch:
            return
        try:
            with self._archive.lock:
                self._placer.place(batch)
        except OSError:
            for _, result in batch:
                remove_staged(result.files)
            raise
        for job, result in batch:
            self.tally.add(job, result.status, result.tunes, result.problems)
            self.tally.kept += result.remarks
            self._watch(self.tally)

    def remove_vanished(self, folders: Sequence[str], jobs: Sequence[Job]) -> None:
        """Remove the outputs of sources that were in ``folders`` and are no more.

        Nothing is removed if no source at all was found: a drive may not be connected.
        """
        if not jobs:
            return
        state = self._archive.state
        here = (job.source.path for job in jobs if not _is_gone(job.source.path))
        present = {state.key(path) for path in here}
        with self._archive.lock:
            for key in state.sources():
                path = state.path_of(key)
                inside = any(path.startswith(os.path.join(folder, "")) for folder in folders)
                if key not in present and inside and _is_gone(path):
                    self.tally.counts["removed"] += self._placer.remove_outputs(key)


def _is_gone(path: str) -> bool:
    try:
        os.lstat(path)
    except FileNotFoundError:
        return True
    except (OSError, ValueError):
        return False
    return False


def _blame(lost: WorkerLost, limits: Limits) -> str:
    if lost.reason == "too slow":
        return (
            f"it took longer than {limits.seconds:g} seconds and was given up; --seconds gives "
            "a tune more time"
        )
    if lost.reason == "too much memory":
        return (
            f"it needed more than {limits.megabytes} MB of memory and was given up; --memory "
            "gives a tune more"
        )
    return f"the engraver ended its process on this tune, {TRIES} times over ({lost.detail})"


__all__ = ["Archive", "CannotStage", "Limits", "Run", "Tally"]
