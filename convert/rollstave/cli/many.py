"""``rollstave convert`` for an archive: progress while it runs, a table and reports at its end."""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click
from msgspec import Struct
from msgspec.structs import replace

from rollstave.reporting.summary import printable

if TYPE_CHECKING:
    from rollstave.archive.jobs import Job, Recipe
    from rollstave.archive.run import Archive, Run, Tally
    from rollstave.archive.sources import Found

EXIT_ERROR, EXIT_STOPPED = 2, 130  # 130: ended by Ctrl-C, as shells say it
_MOST_FAILURES = _MOST_REMARKS = 20  # told at the end; the report has all
_NARROW = 60  # columns of a terminal below which the bar itself needs all the room


class Wish(Struct, frozen=True):
    """How an archive is to be converted: workers, limits of a tune, and what to do again."""

    jobs: int | None
    seconds: float
    megabytes: int
    again: bool
    overwrite: bool
    as_json: bool
    list_name: str = ""


def convert_many(
    arguments: Sequence[str], listed: bytes, out: Path | None, recipe: Recipe, wish: Wish
) -> int:
    """Convert all that the arguments and the list stand for into ``out``; the exit code."""
    from rollstave.archive.making import versions
    from rollstave.archive.run import Archive
    from rollstave.archive.sources import read_list

    assert out is not None
    recipe = replace(recipe, versions=versions())
    try:
        with Archive(out) as archive:
            return _convert([*arguments, *read_list(listed)], archive, recipe, wish)
    except KeyboardInterrupt:  # before there was anything to stop, or a second time
        say("stopped; the same command goes on from there")
        return EXIT_STOPPED
    except BrokenPipeError:  # whoever reads the output has read enough
        raise
    except OSError as error:
        where = error.filename or out
        click.echo(printable(f"cannot write to {where}: {error.strerror or error}"), err=True)
        return EXIT_ERROR


def _convert(arguments: Sequence[str], archive: Archive, recipe: Recipe, wish: Wish) -> int:
    from rollstave.archive.names import name_all
    from rollstave.archive.run import CannotStage, Limits, Run
    from rollstave.archive.sources import find
    from rollstave.workers import CannotStart

    if archive.state.set_aside:
        say(f"what earlier runs did could not be read and begins anew: {archive.state.set_aside}")
    if archive.others:
        say("another run is at work on the same folder; this one begins at the other end")
    found = find(arguments, archive.out, archive.state.output_paths())
    jobs = name_all(found.sources)
    if not jobs:
        say("no tab was found: " + _searched(found))
        return EXIT_ERROR
    stopped = ""
    with _progress(len(jobs)) as watch:
        run = Run(
            archive,
            recipe,
            jobs,
            limits=Limits(wish.jobs, wish.seconds, wish.megabytes),
            overwrite=wish.overwrite,
            again=wish.again,
            also_read=[wish.list_name] if wish.list_name else [],
            watch=watch,
        )
        try:
            with _stops(run):
                run.run()
                run.remove_vanished(found.folders, jobs)
        except KeyboardInterrupt:
            stopped = "stopped"
        except CannotStart as error:
            stopped = f"worker processes cannot be started: {error}"
        except CannotStage as error:
            stopped = f"cannot write to {archive.out}: {error}"
        except OSError as error:
            stopped = f"cannot write to {archive.out}: {error.strerror or error}"
    return _finish(
        archive, recipe, run, found, jobs, stopped, as_json=wish.as_json, overwrite=wish.overwrite
    )


def _finish(
    archive: Archive,
    recipe: Recipe,
    run: Run,
    found: Found,
    jobs: Sequence[Job],
    stopped: str,
    *,
    as_json: bool,
    overwrite: bool,
) -> int:
    """The reports, the table, the last words; the exit code."""
    from rollstave.archive.report import write_reports
    from rollstave.outputs.guard import Refused

    tally = run.tally
    said = ""
    left = len(jobs) - tally.looked_at
    paths: list[Path] = []
    try:
        paths, kept = write_reports(
            archive.out, archive.state, recipe.formats, found, left, overwrite
        )
        tally.kept += kept
    except Refused as refusal:
        said = f"the report is not written: {refusal}"
    except OSError as error:
        stopped = stopped or f"cannot write the report: {error.strerror or error}"
    try:
        _tell(tally, found, paths, as_json)
    except BrokenPipeError:
        raise
    except OSError as error:
        say(f"the summary cannot be printed: {error.strerror or error}")
        return EXIT_ERROR
    if stopped:
        say(
            f"{stopped}: {tally.looked_at} of {tally.total} files are done; the same command "
            "goes on from there"
        )
        return EXIT_STOPPED if stopped == "stopped" else EXIT_ERROR
    for folder, reason in found.unlisted:
        say(f"{folder}: cannot be read: {reason}")
    for pattern in found.unmatched:
        say(f"{pattern}: no file is called so")
    if said:
        say(said)
    failed = tally.counts["failed"] or tally.counts["parts_failed"]
    bad = failed or found.unlisted or found.unmatched or said
    return EXIT_ERROR if bad else 0


def _tell(tally: Tally, found: Found, paths: Sequence[Path], as_json: bool) -> None:
    """The report as JSON (always UTF-8, RFC 8259 section 8.1), or the table. Raises OSError."""
    if as_json and paths:
        click.echo(paths[0].read_bytes(), nl=False)
        return
    _table(tally, found)
    for path in paths:
        click.echo(printable(f"wrote {path}"))


def say(text: str) -> None:
    """A line for people, on standard error."""
    click.echo(printable(text), err=True)


def _searched(found: Found) -> str:
    from rollstave.archive.sources import TAB_ENDINGS

    if found.unlisted:
        folder, reason = found.unlisted[0]
        return f"{folder} cannot be read: {reason}"
    if found.unmatched and not found.folders:
        return f"no file is called {found.unmatched[0]}"
    endings = ", ".join(sorted(e for e in TAB_ENDINGS if e))
    return f"files are looked into that have no ending or one of {endings}"


_ROWS = (
    ("done", "converted"),
    ("unchanged", "  of these, unchanged since the last run"),
    ("warned", "  of these, with warnings"),
    ("failed", "failed"),
    ("parts_failed", "messages of mailboxes that failed; the others are converted"),
    ("skipped", "skipped: no tab in them"),
    ("vanished", "vanished while the run went on"),
    ("removed", "old outputs removed, their tabs are gone"),
)


def _table(tally: Tally, found: Found) -> None:
    """What became of the files, and the first failures with their reasons."""
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    console = Console()
    table = Table(box=None, pad_edge=False)
    table.add_column("files", justify="right")
    table.add_column("")
    for name, words in _ROWS:
        if tally.counts[name] or name == "done":
            table.add_row(str(tally.counts[name]), words)
    passed = len(found.passed) + sum(found.others.values())
    if passed:
        table.add_row(str(passed), "passed over: not called as tabs are, or no plain files")
    for name, reason in tally.remarks[:_MOST_REMARKS]:
        console.print(Text(printable(f"{name}: notice: {reason}")), soft_wrap=True)
    if len(tally.remarks) > _MOST_REMARKS:
        more = len(tally.remarks) - _MOST_REMARKS
        console.print(f"and {more} more with other names; the report has them all")
    for words in tally.kept[:_MOST_REMARKS]:
        console.print(Text(printable(words)), soft_wrap=True)
    if len(tally.kept) > _MOST_REMARKS:
        console.print(
            f"and {len(tally.kept) - _MOST_REMARKS} more were replaced and are kept there"
        )
    for name, reason in tally.failures[:_MOST_FAILURES]:
        console.print(Text(printable(f"{name}: error: {reason}")), soft_wrap=True)
    if len(tally.failures) > _MOST_FAILURES:
        console.print(f"and {len(tally.failures) - _MOST_FAILURES} more; the report has them all")
    console.print(table)


@contextmanager
def _progress(total: int) -> Iterator[Callable[[Tally], None]]:
    """A bar with counts and the time left, where standard error is a terminal."""
    from rich.console import Console
    from rich.progress import (
        BarColumn,
        MofNCompleteColumn,
        Progress,
        ProgressColumn,
        TextColumn,
        TimeRemainingColumn,
    )

    console = Console(stderr=True)
    if not console.is_terminal:
        yield lambda tally: None
        return
    columns: list[ProgressColumn]
    columns = [BarColumn(None), MofNCompleteColumn(), TimeRemainingColumn(compact=True)]
    if console.width >= _NARROW:
        words_column = TextColumn("{task.description}")
        columns = [words_column, BarColumn(), MofNCompleteColumn(), TimeRemainingColumn()]
    with Progress(*columns, console=console, transient=True) as bar:
        task = bar.add_task("converting", total=total)

        def watch(tally: Tally) -> None:
            words = f"{tally.counts['warned']} with warnings, {tally.counts['failed']} failed"
            bar.update(task, completed=tally.looked_at, description=words)

        yield watch


@contextmanager
def _stops(run: Run) -> Iterator[None]:
    """Let Ctrl-C and a plea to end (SIGTERM) stop the run between two batches; a second one ends
    it at once."""
    asked = False

    def stop(number: int, frame: object) -> None:
        nonlocal asked
        if asked:
            raise KeyboardInterrupt
        asked = True
        run.stop()

    before = {}
    for sign in (signal.SIGINT, signal.SIGTERM):
        if signal.getsignal(sign) is signal.SIG_IGN:
            continue  # so it was asked for: a run in the background does not hear Ctrl-C
        try:
            before[sign] = signal.signal(sign, stop)
        except ValueError:  # not in the main thread
            break
    try:
        yield
    finally:
        for sign, old in before.items():
            signal.signal(sign, old)
