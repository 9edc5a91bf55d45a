"""``rollstave convert``: tabs in, files out, and a report of what was understood."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from msgspec.structs import replace

from rollstave.cli.look import (
    hand_option,
    headings_option,
    names_option,
    options_from,
    sheet_options,
)
from rollstave.cli.taking import musicxml_options, taking_of

if TYPE_CHECKING:
    from rollstave.archive.jobs import Recipe

FEW = 12  # up to so many files that are named one by one are told about one by one


def formats_of(
    ctx: click.Context, param: click.Parameter, values: Sequence[str]
) -> tuple[str, ...]:
    """The formats of lists divided by commas, each once."""
    from rollstave.assembly.writers import find_writer, format_names

    parts = [part.strip().lower() for value in values for part in value.split(",")]
    names = tuple(dict.fromkeys(part for part in parts if part))
    for name in names:
        try:
            find_writer(name)
        except KeyError:
            known = ", ".join(format_names())
            raise click.BadParameter(f"{name!r} is not one of: {known}", ctx, param) from None
    return names


def _settings(
    ctx: click.Context, param: click.Parameter, values: Sequence[str]
) -> tuple[tuple[str, str, bool | int | float | str], ...]:
    """What ``--set FORMAT.OPTION=VALUE`` says: format, option, value of the option's type."""
    from rollstave.assembly.writers import find_writer

    found: dict[tuple[str, str], bool | int | float | str] = {}
    for typed in values:
        where, equals, value = typed.partition("=")
        form, dot, name = where.strip().partition(".")
        if not (equals and dot):
            raise click.BadParameter(f"{typed!r} is not FORMAT.OPTION=VALUE", ctx, param)
        try:
            options = {o.name: o for o in find_writer(form.lower()).thing.options}
        except KeyError:
            raise click.BadParameter(f"there is no format {form!r}", ctx, param) from None
        if name not in options:
            known = f"it has {', '.join(options)}" if options else "it has none"
            message = f"the format {form} has no option {name!r}; {known}"
            raise click.BadParameter(message, ctx, param)
        try:
            found[form.lower(), name] = options[name].read(value)
        except ValueError as error:
            raise click.BadParameter(str(error), ctx, param) from None
    return tuple((form, name, value) for (form, name), value in found.items())


@click.command()
@click.argument("files", nargs=-1)
@click.option(
    "--to",
    "formats",
    callback=formats_of,
    metavar="FORMATS",
    multiple=True,
    default=("musicxml,svg",),
    help="Formats to write, divided by commas: musicxml, mxl, svg, pdf, mei, midi, html, text, and "
    "those of plugins (rollstave plugins). May be given several times.  [default: musicxml,svg]",
)
@click.option(
    "--set",
    "settings",
    multiple=True,
    callback=_settings,
    metavar="FORMAT.OPTION=VALUE",
    help="Set an option of a format, such as text.width=100. May be given several times.",
)
@click.option(
    "--out",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder to write to; without it, beside each input. Folders keep their structure below.",
)
@click.option(
    "--list",
    "list_file",
    type=click.File("rb"),
    help="A file with the names of files or folders to convert, one a line; - is standard input.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the report as JSON.")
@click.option(
    "--report",
    is_flag=True,
    help="Write report.html and report.json for a few files too; folders always get them.",
)
@click.option(
    "--jobs",
    type=click.IntRange(1),
    help="Tunes converted at once in a folder.  [default: one for each processor]",
)
@click.option(
    "--seconds",
    type=click.FloatRange(0, min_open=True),
    default=60.0,
    show_default=True,
    help="Longest time for one tune of a folder.",
)
@click.option(
    "--memory",
    type=click.IntRange(128),
    default=1024,
    show_default=True,
    help="Megabytes that one tune of a folder may need.",
)
@click.option(
    "--again", is_flag=True, help="Convert a folder's tunes again even if nothing changed."
)
@click.option(
    "--overwrite",
    is_flag=True,
    help="Replace files that rollstave did not write, or that were edited since; what is replaced "
    "is kept in .rollstave/replaced.",
)
@hand_option
@names_option
@headings_option
@musicxml_options
@sheet_options
def convert(
    files: tuple[str, ...],
    formats: tuple[str, ...],
    settings: tuple[tuple[str, str, bool | int | float | str], ...],
    out: Path | None,
    list_file: Any,
    as_json: bool,
    report: bool,
    jobs: int | None,
    seconds: float,
    memory: int,
    again: bool,
    overwrite: bool,
    hand: str | None,
    names: str | None,
    headings: tuple[str, ...],
    octave: int,
    lead: str | None,
    since: Path | None,
    **look: Any,
) -> None:
    """Convert tabs to MusicXML and an engraved sheet. ``-`` reads standard input.

    A folder, a pattern in quotation marks or a list is an archive: all processors work on it,
    --out gets report.html, and the next run does only what changed.
    """
    if not files and list_file is None:
        raise click.UsageError("name a file or a folder to convert, or a list of them with --list")
    recipe = _recipe(formats, settings, hand, names, headings, look)
    recipe = replace(recipe, taking=taking_of(octave, lead, since))
    if _is_archive(files, out, list_file is not None or report):
        if since is not None:
            raise click.UsageError("--since is for one score and the tab that it was made from")
        from rollstave.cli.many import Wish, convert_many

        wish = Wish(
            jobs=jobs,
            seconds=seconds,
            megabytes=memory,
            again=again,
            overwrite=overwrite,
            as_json=as_json,
            list_name=getattr(list_file, "name", ""),
        )
        listed = list_file.read() if list_file is not None else b""
        sys.exit(convert_many(files, listed, out, recipe, wish))
    from rollstave.cli.few import convert_few

    sys.exit(convert_few(files, out, recipe, overwrite, as_json))


def _is_archive(files: Sequence[str], out: Path | None, asked: bool) -> bool:
    """True if the files are treated as an archive; says what is missing for that."""
    from rollstave.archive.sources import is_many

    many = [name for name in files if is_many(name)]
    if (asked or many) and out is None:
        what = f"{many[0]!r} stands for many files" if many else "a list or a report"
        raise click.UsageError(f"{what}: say with --out DIR where the outputs go")
    if (asked or many) and "-" in files:
        raise click.UsageError("standard input (-) cannot be converted together with a folder")
    return asked or bool(many) or (out is not None and len(files) > FEW and "-" not in files)


def _recipe(
    formats: tuple[str, ...],
    settings: tuple[tuple[str, str, bool | int | float | str], ...],
    hand: str | None,
    names: str | None,
    headings: tuple[str, ...],
    look: dict[str, Any],
) -> Recipe:
    from rollstave.archive.jobs import Recipe

    return Recipe(
        formats=formats,
        options=options_from(**look),
        hand=hand,
        names=names,
        settings=settings,
        headings=headings,
    )
