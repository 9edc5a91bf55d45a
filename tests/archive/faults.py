"""Tasks with faults, for workers of the tests and of the fault benchmark."""

from __future__ import annotations

import os
import time
from pathlib import Path

from rollstave.archive.jobs import Job, Recipe, Result
from rollstave.archive.task import convert_and_stage


def poisoned(job: Job, recipe: Recipe, staging: str, ticket: int) -> Result:
    """Aborts, hangs, or eats memory on files that are named so; converts the others."""
    name = Path(job.source.path).stem
    if name.startswith("abort"):
        os.abort()
    if name.startswith("hang"):
        time.sleep(600)
    if name.startswith("eat"):
        hoard = []
        while True:
            hoard.append(bytearray(16 * 1024 * 1024))
    if name.startswith("raise"):
        raise KeyError("an error nobody thought of")
    return convert_and_stage(job, recipe, staging, ticket)


def killed_once(job: Job, recipe: Recipe, staging: str, ticket: int) -> Result:
    """Kills its worker the first time it comes to a file that is named so, half way through."""
    path = Path(job.source.path)
    mark = path.with_suffix(".killed")
    result = convert_and_stage(job, recipe, staging, ticket)
    if path.stem.startswith("once") and not mark.exists():
        mark.touch()
        os.kill(os.getpid(), 9)
    return result
