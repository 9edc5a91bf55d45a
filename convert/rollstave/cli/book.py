"""``rollstave book``: many tabs, one PDF."""

from __future__ import annotations

import os
import sys
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
@overwrite_option
@hand_option
@names_option
@sheet_options
def book(
    files: tuple[str, ...],
    out: Path,
    title: str,
    author: str,
    overwrite: bool,
    hand: str | None,
    names: str | None,
    **look: Any,
) -> None:
    """Make a songbook of FILES: cover, contents by tuning, the tunes, an index.

    A file that cannot be read is named and left out; the exit code is then 2.
    """
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn

    from rollstave.assembly.plugins import marks
    from rollstave.workers import CannotStart, cores
    from rollstave.writing.book import write_book

    inputs = [name for name in files if name != "-"]
    check_output(out, ".pdf", "a PDF", inputs, overwrite)
    scores: list[Score] = []
    failed: list[tuple[str, str]] = []
    console = Console(stderr=True)
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn())
    with Progress(*columns, console=console, transient=True) as bar:
        task = bar.add_task("reading", total=len(files))
        for name in files:
            scores += _read(name, hand, names, failed)
            bar.advance(task)
        bar.reset(task, total=len(scores), description="engraving")
        refused: list[Score] = []
        try:
            data = write_book(
                scores,
                title,
                author,
                options_from(**look),
                lambda: bar.advance(task),
                cores(),
                refused.append,
                marks,
            )
        except ValueError:
            data = b""
        except (CannotStart, OSError) as error:  # no processes, or no room for what they need
            data = b""
            failed.append(
                (str(out), f"cannot be made: {getattr(error, 'strerror', None) or error}")
            )
    failed.extend((score.title, "the engraver failed on this tune") for score in refused)
    _tell(failed)
    if data:
        put(out, data, inputs, overwrite)
        click.echo(f"wrote {out}: {len(scores) - len(refused)} tunes")
    if failed:
        sys.exit(2)


def _read(
    name: str, hand: str | None, names: str | None, failed: list[tuple[str, str]]
) -> list[Score]:
    """The scores of a file; if it cannot be read, none, and it is added to what failed."""
    from rollstave.api import read
    from rollstave.archive.given import given_for
    from rollstave.deciding.named_by import in_names
    from rollstave.deciding.picking import in_hand
    from rollstave.problems import TabError
    from rollstave.reporting.files import read_bytes, stem_of

    try:
        tunes = read(read_bytes(name), name=stem_of(name), headings=given_for(name, os.curdir))
        return [in_names(in_hand(tune.score, hand), names) for tune in tunes]
    except TabError as error:
        failed.append((name, str(error.problems[0].message)))
    except OSError as error:
        failed.append((name, f"cannot be read: {error.strerror or error}"))
    except Exception as error:
        failed.append((name, f"rollstave itself failed: {type(error).__name__}: {error}"))
    return []


def _tell(failed: list[tuple[str, str]]) -> None:
    """Say which files and tunes are not in the book, and why."""
    for name, message in failed:
        click.echo(f"{name}: error: {message}", err=True)
