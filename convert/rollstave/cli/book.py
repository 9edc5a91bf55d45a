"""``rollstave book``: many tabs, one PDF."""

from __future__ import annotations

import os
import sys
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from rollstave.cli.look import hand_option, names_option, options_from, sheet_options
from rollstave.cli.output import check_output, overwrite_option, put

if TYPE_CHECKING:
    from rollstave.score.records import Score


@click.command()
@click.argument("files", nargs=-1, required=True)
@click.option(
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    required=True,
    help="The PDF to write.",
)
@click.option("--title", default="Songbook", show_default=True, help="Title on the cover.")
@click.option("--author", default="", help="Name under the title.")
@click.option(
    "--order",
    type=click.Choice(["tuning", "title", "given"]),
    default="tuning",
    show_default=True,
    help="Order of the tunes: by tuning and title, by title, or as the files are given.",
)
@click.option(
    "--foreword",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="A text file; an empty line ends a paragraph.",
)
@overwrite_option
@hand_option
@names_option
@sheet_options
def book(
    files: tuple[str, ...],
    out: Path,
    title: str,
    author: str,
    order: str,
    foreword: Path | None,
    overwrite: bool,
    hand: str | None,
    names: str | None,
    **look: Any,
) -> None:
    """Make a songbook of FILES: cover, contents, signs and chord shapes, the tunes, an index.

    A file that cannot be read is named and left out; the exit code is then 2.
    """
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

    from rollstave.assembly.plugins import marks
    from rollstave.workers import CannotStart, cores
    from rollstave.writing.book import BookPlan, write_book

    inputs = [name for name in (*files, *([str(foreword)] if foreword else [])) if name != "-"]
    check_output(out, ".pdf", "a PDF", inputs, overwrite)
    plan = BookPlan(order=order, foreword=_words(foreword))
    failed: list[tuple[str, str]] = []
    refused: list[Score] = []
    data = b""
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("reading", total=len(files))
        scores: list[Score] = []
        for name in files:
            scores += _read(name, hand, names, failed)
            bar.advance(task)
        bar.reset(task, total=len(scores), description="engraving")
        look_of, step = options_from(**look), partial(bar.advance, task)
        try:
            data = write_book(
                scores, title, author, look_of, step, cores(), refused.append, marks, plan
            )
        except ValueError:
            pass  # no tune is left
        except (CannotStart, OSError) as error:  # no processes, or no room for what they need
            why = getattr(error, "strerror", None) or error
            failed.append((str(out), f"cannot be made: {why}"))
    failed.extend((score.title, "the engraver failed on this tune") for score in refused)
    _tell(failed)
    if data:
        put(out, data, inputs, overwrite)
        click.echo(f"wrote {out}: {len(scores) - len(refused)} tunes")
    if failed:
        sys.exit(2)


def _words(foreword: Path | None) -> str:
    """The words of a text file; click's error if it is none."""
    from rollstave.problems import TabError
    from rollstave.reading.page.decode import decode

    try:
        return decode(foreword.read_bytes()) if foreword else ""
    except TabError as error:
        raise click.UsageError(f"{foreword}: {error.problems[0].message}") from None


def _read(
    name: str, hand: str | None, names: str | None, failed: list[tuple[str, str]]
) -> list[Score]:
    """The scores of a file; if it cannot be read, none, and it is added to what failed."""
    from rollstave.api import has_no_tab, read_parts
    from rollstave.archive.given import given_for
    from rollstave.deciding.named_by import in_names
    from rollstave.deciding.picking import in_hand
    from rollstave.reporting.files import read_bytes, stem_of

    try:
        given = given_for(name, os.curdir)
        parts = read_parts(read_bytes(name), name=stem_of(name), headings=given)
        some = any(part.tunes for part in parts)
        for part in parts:
            if part.problems and not (some and has_no_tab(part)):
                shown = f"{name}, {part.name}" if part.name else name
                failed.append((shown, str(part.problems[0].message)))
        return [in_names(in_hand(tune.score, hand), names) for part in parts for tune in part.tunes]
    except OSError as error:
        failed.append((name, f"cannot be read: {error.strerror or error}"))
    except Exception as error:
        failed.append((name, f"rollstave itself failed: {type(error).__name__}: {error}"))
    return []


def _tell(failed: list[tuple[str, str]]) -> None:
    """Say which files and tunes are not in the book, and why."""
    for name, message in failed:
        click.echo(f"{name}: error: {message}", err=True)
