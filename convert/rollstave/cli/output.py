"""The one file that a command writes with ``--out``: guarded before the work, placed after it."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, NoReturn

import click

_EXIT_ERROR = 2


def overwrite_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command ``--overwrite``."""
    return click.option(
        "--overwrite",
        is_flag=True,
        help="Replace a file that rollstave did not write, or that was edited since; it is kept in "
        ".rollstave/replaced.",
    )(command)


def check_output(
    out: Path, ending: str, what: str, inputs: Sequence[str] = (), overwrite: bool = False
) -> None:
    """Raise click.BadParameter if a file may not be written: before hours of work for it."""
    from rollstave.outputs import guard
    from rollstave.outputs.ledger import Ledger

    try:
        guard.refuse_ending(str(out), ending, what)
        guard.refuse_odd(str(out))
        guard.refuse_inputs(str(out), inputs)
        if not overwrite:
            known = dict.fromkeys(Ledger(str(out.parent)).named(out.name), "")
            guard.refuse_foreign(str(out), known, "", "")
    except guard.Refused as refusal:
        raise click.BadParameter(str(refusal), param_hint="--out") from None
    except OSError as error:
        _cannot_write(out, error)


def put(
    out: Path, data: bytes, inputs: Sequence[str] = (), overwrite: bool = False, err: bool = False
) -> None:
    """Write a file, and say what it replaced (``err``: on standard error). Ends the command with
    exit code 2 if it cannot be written."""
    from rollstave.outputs import guard
    from rollstave.outputs.place import Wish, place_all

    try:
        replaced = place_all([(out, data)], Wish(inputs=inputs, overwrite=overwrite))
    except guard.Refused as refusal:
        raise click.BadParameter(str(refusal), param_hint="--out") from None
    except OSError as error:
        _cannot_write(out, error)
    for path, where in replaced:
        _say(f"{path} was replaced; what it was is kept as {where}", err)


def _cannot_write(out: Path, error: OSError) -> NoReturn:
    _say(f"cannot write to {error.filename or out}: {error.strerror or error}", err=True)
    sys.exit(_EXIT_ERROR)


def _say(text: str, err: bool) -> None:
    from rollstave.reporting.summary import printable

    click.echo(printable(text), err=err)
