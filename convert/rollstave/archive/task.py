"""What a worker does for one job: read, convert, and write the outputs into the staging folder."""

from __future__ import annotations

import errno
import hashlib
import os
from pathlib import Path, PurePosixPath

from rollstave.archive.jobs import Job, Recipe, Result, Staged, itself_failed, problem
from rollstave.archive.making import Made, in_short, make, read_tunes
from rollstave.vocabulary import problems as kinds

# Problems that say a file is no tab at all: such files of a walked folder are skipped.
NO_TAB_CODES = frozenset({"empty", "no-tab", "binary"})

# What ends the whole run, because every other file would meet it too.
_NO_ROOM = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EROFS, errno.EIO}


class CannotStage(Exception):
    """The staging folder cannot be written: the disk is full or read-only. Ends the run."""

    def __init__(self, number: int) -> None:
        super().__init__(number)
        self.number = number

    def __str__(self) -> str:
        return os.strerror(self.number)


def convert_and_stage(job: Job, recipe: Recipe, staging: str, ticket: int) -> Result:
    """Convert the source of a job; its outputs lie in ``staging``, their names begin with
    ``ticket``. Raises CannotStage."""
    from rollstave.problems import TabError
    from rollstave.reporting.summary import problem_data

    try:
        data = Path(job.source.path).read_bytes()
    except FileNotFoundError:
        told = problem(kinds.FILE, "cannot be read: it vanished, or was never there")
        return Result("vanished" if job.source.walked else "failed", problems=[told], final=False)
    except (OSError, ValueError) as error:
        words = getattr(error, "strerror", None) or error
        told = problem(kinds.FILE, f"cannot be read: {words}")
        return Result("failed", problems=[told], final=False)
    content = hashlib.sha256(data).hexdigest()
    stem = PurePosixPath(job.target).name
    given = recipe.given(job.source)
    try:
        tunes = read_tunes(
            data, PurePosixPath(job.source.below).stem, recipe.hand, given, recipe.names
        )
        made = make(tunes, stem, recipe)
    except TabError as error:
        status = "failed"
        if job.source.walked and {p.code for p in error.problems} & NO_TAB_CODES:
            status = "skipped"
        return Result(status, content, problems=[problem_data(p) for p in error.problems])
    except (MemoryError, CannotStage):
        raise
    except Exception as error:
        return Result("failed", content, problems=[itself_failed(error)])
    files = _stage(made, staging, ticket)
    return Result("done", content, [in_short(tune) for tune in tunes], files=files)


def _stage(made: list[Made], staging: str, ticket: int) -> list[Staged]:
    """Write every output whole, to the disk itself."""
    files = []
    try:
        for number, output in enumerate(made):
            path = os.path.join(staging, f"{ticket}-{number}")
            with open(path, "wb") as stream:
                stream.write(output.data)
                stream.flush()
                os.fsync(stream.fileno())
            digest = hashlib.sha256(output.data).hexdigest()
            files.append(
                Staged(
                    tune=output.tune,
                    form=output.form,
                    name=output.name,
                    staged=path,
                    content=digest,
                )
            )
    except OSError as error:
        raise CannotStage(error.errno or errno.EIO) from error
    return files
