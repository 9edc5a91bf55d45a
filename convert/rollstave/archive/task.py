"""What a worker does for one job: read, convert, and write the outputs into the staging folder."""

from __future__ import annotations

import errno
import hashlib
import os
from collections.abc import Sequence
from pathlib import Path, PurePosixPath
from typing import Any

from msgspec.structs import replace

from rollstave.api import NO_TAB_CODES
from rollstave.archive.jobs import Job, Recipe, Result, Staged, itself_failed, problem
from rollstave.archive.making import Made, ReadPart, in_short, make, read_each
from rollstave.problems import Severity
from rollstave.vocabulary import problems as kinds

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
        parts, without = read_each(
            data,
            PurePosixPath(job.source.below).stem,
            recipe.hand,
            given,
            recipe.names,
            recipe.taking,
        )
        tunes, made, problems = _made(parts, stem, recipe)
    except (MemoryError, CannotStage):
        raise
    except Exception as error:
        return Result("failed", content, problems=[itself_failed(error)])
    if without:
        told = problem(kinds.DOCUMENT, without, Severity.NOTICE)
        (tunes[0]["problems"] if tunes else problems).append(told)
    if not tunes:
        no_tab = job.source.walked and {p["code"] for p in problems} & NO_TAB_CODES
        return Result("skipped" if no_tab else "failed", content, problems=problems)
    files = _stage(made, staging, ticket)
    return Result("done", content, tunes=tunes, problems=problems, files=files)


def _made(
    parts: Sequence[ReadPart], stem: str, recipe: Recipe
) -> tuple[list[dict[str, Any]], list[Made], list[dict[str, Any]]]:
    """The texts of a file as what is told of their tunes, their outputs, and the problems of those
    that cannot be converted: one of several costs itself only."""
    from rollstave.problems import TabError
    from rollstave.reporting.summary import problem_data

    tunes: list[dict[str, Any]] = []
    made: list[Made] = []
    problems: list[dict[str, Any]] = []
    for part in parts:
        errors = part.errors
        of = {"part_of_file": part.name} if part.name else {}
        try:
            outputs = make(part.tunes, stem + part.ending, recipe) if part.tunes else []
        except TabError as error:  # a plugin's writer
            errors = [problem_data(p) for p in error.problems]
        if errors:
            problems += [p | of for p in errors]
            continue
        made += [replace(output, tune=output.tune + len(tunes)) for output in outputs]
        tunes += [in_short(tune) | of for tune in part.tunes]
    return tunes, made, problems


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
