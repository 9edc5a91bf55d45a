"""Options of plugins on the command line: those of reworks and of hand-outs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from rollstave.contract.offers import WriterOption

_GIVEN = "asked_"  # before the name of an option of a plugin, which no other option has


def offered_option(option: WriterOption) -> click.Option:
    """The option of a plugin as one of a command; None where it is not given."""
    flag = option.default is False
    return click.Option(
        ["--" + option.name.replace("_", "-"), _GIVEN + option.name],
        is_flag=flag,
        type=None if flag else type(option.default),
        default=None,
        help=option.help,
    )


def taken_out(given: dict[str, Any]) -> dict[str, Any]:
    """What plugins' options were given, by their own names, taken out of what a command was."""
    names = [name for name in given if name.startswith(_GIVEN)]
    return {name.removeprefix(_GIVEN): given.pop(name) for name in names}
