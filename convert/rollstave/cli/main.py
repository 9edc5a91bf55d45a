"""The commands. Each lives in a module of its own, imported when it is asked for, so that help
answers at once."""

from __future__ import annotations

import contextlib
import importlib
import io
import sys
from typing import Any

import click

EXIT_ERROR, EXIT_STOPPED = 2, 130  # 130: ended by Ctrl-C, as shells say it

# name: (module, function, the line that the list of commands shows)
COMMANDS: dict[str, tuple[str, str, str]] = {
    "bench": ("rollstave.cli.bench", "bench", "Work on a tab with its sheet beside it."),
    "book": ("rollstave.cli.book", "book", "Make a songbook of tabs as one PDF."),
    "check": ("rollstave.cli.check", "check", "Proofread tabs without writing anything."),
    "compare": ("rollstave.cli.compare", "compare", "Say what is different in another version."),
    "convert": ("rollstave.cli.convert", "convert", "Convert tabs to sheets and other formats."),
    "plugins": ("rollstave.cli.plugins", "plugins", "List the plugins and what they offer."),
    "rework": ("rollstave.cli.rework", "rework", "Write a tune in another tuning, key or place."),
    "shapes": ("rollstave.cli.shapes", "shapes", "Show where chord shapes lie on the neck."),
    "tidy": ("rollstave.cli.tidy", "tidy", "Rewrite a tab in place, aligned and labelled."),
    "tunings": ("rollstave.cli.tunings", "tunings", "List the tunings that are known."),
}


def _of_plugins() -> dict[str, str]:
    """The commands that plugins say they have, and their packages. No plugin is loaded for it."""
    from rollstave.contract.discovery import COMMANDS as GROUP
    from rollstave.contract.discovery import entry_points

    return {f.name: f.package for f in entry_points(GROUP) if f.name not in COMMANDS}


class LazyGroup(click.Group):
    """A group that knows its commands by name and imports one only when it is used."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return sorted({*COMMANDS, *_of_plugins()})

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            from rollstave.cli.handout import command_of

            return command_of(cmd_name)
        module, function, _ = COMMANDS[cmd_name]
        command: click.Command = getattr(importlib.import_module(module), function)
        return command

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command. Ctrl-C is no error: click would say "Aborted!" and exit code 1."""
        try:
            return super().invoke(ctx)
        except KeyboardInterrupt:
            ctx.exit(EXIT_STOPPED)

    def main(self, *args: Any, **extra: Any) -> Any:
        """The whole command line; what the disk has against it is told in a line."""
        try:
            return super().main(*args, **extra)
        except OSError as error:
            where = f"{error.filename}: " if error.filename else ""
            with contextlib.suppress(OSError):
                click.echo(f"error: {where}{error.strerror or error}", err=True)
            sys.exit(EXIT_ERROR)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands, without importing any of them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, COMMANDS[name][2]) for name in sorted(COMMANDS)])
        if more := [(name, f"from {package}") for name, package in sorted(_of_plugins().items())]:
            with formatter.section("Commands of plugins, which NAME --help explains"):
                formatter.write_dl(more)


@click.group(cls=LazyGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="rollstave", prog_name="rollstave")
def main() -> None:
    """Turn plain-text string tablature into engraved notation."""
    for stream in (sys.stdout, sys.stderr):
        # A title may have letters that the terminal has not: they are escaped, no reason to end.
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
