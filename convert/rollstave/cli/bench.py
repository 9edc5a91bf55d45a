"""``rollstave bench``: a tab and its sheet side by side in the browser."""

from __future__ import annotations

import sys
from pathlib import Path

import click

_EXIT_ERROR = 2


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=0,
    help="Port on 127.0.0.1; 0, the default, takes a free one.",
)
@click.option("--browser/--no-browser", default=True, help="Open the browser.")
def bench(file: Path, port: int, browser: bool) -> None:
    """Work on a tab with its sheet beside it, in the browser.

    The sheet follows while you type here or save the file in any editor. Nothing is written until
    you save; text that was not saved is kept as a draft and offered when you return. Only the
    browser window that is opened here gets in. Ctrl-C ends the bench, with exit code 0.
    """
    from rollstave.bench.serve import serve
    from rollstave.problems import TabError

    try:
        serve(file, port, browser, click.echo, show_key=sys.stdout.isatty())
    except TabError as error:
        for problem in error.problems:
            click.echo(problem.format(str(file)), err=True)
        sys.exit(_EXIT_ERROR)
    except OSError as error:
        why = error.strerror or str(error)
        click.echo(f"{file}: error: cannot be put on the bench: {why}", err=True)
        sys.exit(_EXIT_ERROR)
