"""``rollstave convert``: tabs in, files out, and a report of what was understood."""

from __future__ import annotations

import json
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from rollstave.cli.look import hand_option, in_hand, options_from, sheet_options

if TYPE_CHECKING:
    from rollstave.api import Tune
    from rollstave.writing.options import SheetOptions

EXIT_ERROR = 2


def _formats(ctx: click.Context, param: click.Parameter, value: str) -> tuple[str, ...]:
    """The formats of a list divided by commas, each once."""
    from rollstave.writing import FORMATS

    names = tuple(dict.fromkeys(part.strip().lower() for part in value.split(",") if part.strip()))
    for name in names:
        if name not in FORMATS:
            raise click.BadParameter(f"{name!r} is not one of: {', '.join(FORMATS)}", ctx, param)
    return names


@click.command()
@click.argument("files", nargs=-1, required=True)
@click.option(
    "--to",
    "formats",
    callback=_formats,
    metavar="FORMATS",
    default="musicxml,svg",
    show_default=True,
    help="Formats to write, divided by commas: musicxml, svg, pdf, mei, midi, text.",
)
@click.option(
    "--out",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder to write to; without it, beside each input.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the report as JSON.")
@hand_option
@sheet_options
def convert(
    files: tuple[str, ...],
    formats: tuple[str, ...],
    out: Path | None,
    as_json: bool,
    hand: str | None,
    **look: Any,
) -> None:
    """Convert tabs to MusicXML and an engraved sheet. ``-`` reads standard input."""
    options = options_from(**look)
    reports: list[dict[str, Any]] = []
    failed = False
    for name in files:
        tunes, errors = _read(name)
        if tunes is not None:
            tunes = tuple(replace(tune, score=in_hand(tune.score, hand)) for tune in tunes)
            errors = _write(name, tunes, formats, out, reports, options)
        if errors:
            failed = True
            reports.append({"file": name, "problems": errors})
        if not as_json:
            _print(name, tunes or (), reports, errors)
    if as_json:
        _print_json(reports)
    if failed:
        sys.exit(EXIT_ERROR)


def _shown(name: str) -> str:
    return "standard input" if name == "-" else name


def _read(name: str) -> tuple[tuple[Tune, ...] | None, list[dict[str, Any]]]:
    """The tunes of a file, or None and the problems that kept it from being read."""
    from rollstave.api import read
    from rollstave.cli.files import read_bytes, stem_of
    from rollstave.cli.report import problem_data
    from rollstave.problems import Problem, Severity, TabError

    try:
        return read(read_bytes(name), name=stem_of(name)), []
    except TabError as error:
        return None, [problem_data(p) for p in error.problems]
    except OSError as error:
        problem = Problem(Severity.ERROR, "file", f"cannot be read: {error.strerror or error}")
        return None, [problem_data(problem)]


def _write(
    name: str,
    tunes: tuple[Tune, ...],
    formats: tuple[str, ...],
    out: Path | None,
    reports: list[dict[str, Any]],
    options: SheetOptions,
) -> list[dict[str, Any]]:
    """Write all formats of all tunes of a file, or nothing; the problems if it fails."""
    from rollstave.cli import files as disk
    from rollstave.cli.report import problem_data, summary
    from rollstave.problems import Problem, Severity
    from rollstave.writing import FORMATS, write

    folder = out or (Path() if name == disk.STANDARD_INPUT else Path(name).parent)
    waiting: list[tuple[Path, bytes]] = []
    written: list[list[str]] = []
    for position, tune in enumerate(tunes):
        stem = disk.stem_of(name)
        if len(tunes) > 1:
            stem = f"{stem}-{position + 1}-{disk.slug(tune.score.title)}"
        paths: list[str] = []
        for form in formats:
            extension = FORMATS[form].extension
            pages = write(tune, form, options)
            places = disk.output_paths(folder, stem, extension, len(pages))
            waiting.extend(zip(places, pages, strict=True))
            paths.extend(str(place) for place in places)
        written.append(paths)
    if name != disk.STANDARD_INPUT and any(
        place.exists() and place.samefile(name) for place, _ in waiting
    ):
        problem = Problem(
            Severity.ERROR,
            "file",
            "this would write over the file that is read; name a folder with --out, or rewrite "
            "a tab in place with: rollstave tidy",
        )
        return [problem_data(problem)]
    try:
        disk.write_all(waiting)
    except OSError as error:
        where = error.filename or folder
        problem = Problem(
            Severity.ERROR, "file", f"cannot write to {where}: {error.strerror or error}"
        )
        return [problem_data(problem)]
    for tune, paths in zip(tunes, written, strict=True):
        reports.append(summary(tune, _shown(name)) | {"written": paths})
    return []


def _print(
    name: str,
    tunes: tuple[Tune, ...],
    reports: list[dict[str, Any]],
    errors: list[dict[str, Any]],
) -> None:
    from rollstave.cli.report import for_people

    for error in errors:
        where = f":{error['line']}:{error['column']}" if error["line"] else ""
        click.echo(f"{_shown(name)}{where}: {error['severity']}: {error['message']}", err=True)
    if errors:
        return
    for tune, report in zip(tunes, reports[-len(tunes) :] or [{}] * len(tunes), strict=True):
        for line in for_people(tune, _shown(name)):
            click.echo(line)
        for path in report.get("written", ()):
            click.echo(f"  wrote {path}")


def _print_json(reports: list[dict[str, Any]]) -> None:
    """One object for one tune, a list for several."""
    data: Any = reports[0] if len(reports) == 1 else reports
    click.echo(json.dumps(data, indent=2, ensure_ascii=False))
