"""``rollstave convert`` for a few files: each is told about on its own."""

from __future__ import annotations

import json
import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from msgspec import Struct

from rollstave.vocabulary import problems as kinds

if TYPE_CHECKING:
    from rollstave.api import Tune
    from rollstave.archive.jobs import Recipe
    from rollstave.archive.making import ReadPart

EXIT_ERROR = 2


class Target(Struct, frozen=True):
    """Where the outputs of a file go; ``remark`` says why that is not its own name."""

    folder: Path
    stem: str
    remark: str = ""


class Few(Struct, frozen=True):
    """What is the same for all files of a command."""

    inputs: Sequence[str]
    recipe: Recipe
    overwrite: bool


def convert_few(
    files: Sequence[str], out: Path | None, recipe: Recipe, overwrite: bool, as_json: bool
) -> int:
    """Convert files one after another; the exit code."""
    once = {name if name == "-" else os.path.abspath(name): name for name in reversed(files)}
    files = list(reversed(once.values()))
    few = Few([name for name in files if name != "-"], recipe, overwrite)
    reports: list[dict[str, Any]] = []
    failed = False
    for name, target in zip(files, _targets(files, out), strict=True):
        parts, without = _read(name, recipe)
        for part in parts:
            failed |= not _convert_part(name, part, target, few, reports, as_json)
        if without and not as_json:
            _say(f"{name}: notice: {without}")
    if as_json:
        _print_json(reports)
    return EXIT_ERROR if failed else 0


def _convert_part(
    name: str,
    part: ReadPart,
    target: Target,
    few: Few,
    reports: list[dict[str, Any]],
    as_json: bool,
) -> bool:
    """Write one text of a file, and tell of it; False if that fails."""
    tunes, errors = part.tunes, part.errors
    shown = f"{_shown(name)}, {part.name}" if part.name else _shown(name)
    kept: list[str] = []
    if tunes:
        errors = _write(name, part, target, few, reports, kept)
    if errors:
        reports.append({"file": shown if part.name else name, "problems": errors})
    if not as_json:
        _print(shown, tunes, reports, errors)
        if target.remark and not errors:
            _say(f"{name}: notice: {target.remark}")
    for words in kept:
        _say(words, err=as_json)
    return not errors


def _targets(files: Sequence[str], out: Path | None) -> list[Target]:
    """Where the outputs of each file go. Files that would get the same names in a folder are told
    apart as those of an archive are."""
    from rollstave.reporting.files import stem_of

    folders = [out or (Path() if name == "-" else Path(name).parent) for name in files]
    targets = [Target(f, stem_of(name)) for f, name in zip(folders, files, strict=True)]
    if len(files) < 2:
        return targets
    from rollstave.archive.jobs import Source
    from rollstave.archive.names import name_all

    together: dict[str, list[int]] = {}
    for number, (folder, name) in enumerate(zip(folders, files, strict=True)):
        if name != "-":
            together.setdefault(os.path.abspath(folder), []).append(number)
    for numbers in together.values():
        sources = [
            Source(os.path.abspath(files[n]), files[n], os.path.basename(files[n]), walked=False)
            for n in numbers
        ]
        for number, job in zip(numbers, name_all(sources, reserved=()), strict=True):
            if job.remark:
                below = Path(job.target)
                targets[number] = Target(folders[number] / below.parent, below.name, job.remark)
    return targets


def _shown(name: str) -> str:
    return "standard input" if name == "-" else name


def given_headings_of(name: str, recipe: Recipe) -> str:
    """The headings that hold for a file where it does not say otherwise."""
    from rollstave.archive.given import given_for

    return "\n".join([*recipe.headings, given_for(name, os.curdir)]).strip()


def _read(name: str, recipe: Recipe) -> tuple[list[ReadPart], str]:
    """The texts of a file, each with its tunes or the problems that kept it from being read, and
    what is said of those of several that have no tab."""
    from rollstave.archive.jobs import itself_failed
    from rollstave.archive.making import ReadPart, read_each
    from rollstave.reporting.files import read_bytes, stem_of
    from rollstave.reporting.summary import problem_data

    try:
        given = given_headings_of(name, recipe)
        data = read_bytes(name)
        return read_each(data, stem_of(name), recipe.hand, given, recipe.names, recipe.taking)
    except OSError as error:
        problem = kinds.FILE.problem(f"cannot be read: {error.strerror or error}")
        return [ReadPart(errors=[problem_data(problem)])], ""
    except Exception as error:  # costs this file, as in a folder
        return [ReadPart(errors=[itself_failed(error)])], ""


def _write(
    name: str,
    part: ReadPart,
    target: Target,
    few: Few,
    reports: list[dict[str, Any]],
    kept: list[str],
) -> list[dict[str, Any]]:
    """Write all formats of all tunes of a text, or nothing; the problems if it fails.

    ``kept`` gets a line for each file of others that was replaced, as was wished.
    """
    from rollstave.archive.jobs import itself_failed, problem
    from rollstave.archive.making import make
    from rollstave.outputs.guard import Refused
    from rollstave.outputs.place import Wish, place_all
    from rollstave.problems import TabError
    from rollstave.reporting.summary import problem_data, summary

    folder, tunes = target.folder, part.tunes
    shown = f"{_shown(name)}, {part.name}" if part.name else _shown(name)
    try:
        made = make(tunes, target.stem + part.ending, few.recipe)
    except TabError as error:  # a plugin's writer failed
        return [problem_data(p) for p in error.problems]
    except OSError as error:  # no room for what the typesetter needs meanwhile
        place = f"{error.filename}: " if error.filename else ""
        return [problem(kinds.FILE, f"cannot be made: {place}{error.strerror or error}")]
    except Exception as error:
        return [itself_failed(error)]
    wish = Wish(
        source="" if name == "-" else name,
        inputs=few.inputs,
        overwrite=few.overwrite,
        also_known=_of_archives,
    )
    try:
        replaced = place_all([(folder / output.name, output.data) for output in made], wish)
    except Refused as refusal:
        return [problem(kinds.FILE, str(refusal))]
    except OSError as error:
        where = error.filename or folder
        return [problem(kinds.FILE, f"cannot write to {where}: {error.strerror or error}")]
    kept += [f"{path} was replaced; what it was is kept as {where}" for path, where in replaced]
    for position, tune in enumerate(tunes):
        written = [str(folder / output.name) for output in made if output.tune == position]
        report = summary(tune, shown) | {"written": written}
        if target.remark:
            report["problems"] = [problem(kinds.NAME, target.remark), *report["problems"]]
        reports.append(report)
    return []


def _of_archives(path: str) -> dict[str, str]:
    """What runs over whole folders wrote to a path."""
    from rollstave.archive.state import known_of

    return known_of(path)


def _say(text: str, err: bool = False) -> None:
    from rollstave.reporting.summary import printable

    click.echo(printable(text), err=err)


def _print(
    name: str,
    tunes: tuple[Tune, ...],
    reports: list[dict[str, Any]],
    errors: list[dict[str, Any]],
) -> None:
    from rollstave.reporting.summary import for_people, printable, where

    for error in errors:
        line = f"{name}{where(error)}: {error['severity']}: {error['message']}"
        click.echo(printable(line), err=True)
    if errors:
        return
    for tune, report in zip(tunes, reports[-len(tunes) :] or [{}] * len(tunes), strict=True):
        for line in for_people(tune, name):
            click.echo(printable(line))
        for path in report.get("written", ()):
            click.echo(printable(f"  wrote {path}"))


def _print_json(reports: list[dict[str, Any]]) -> None:
    """One object for one tune, a list for several."""
    data: Any = reports[0] if len(reports) == 1 else reports
    text = json.dumps(data, indent=2, ensure_ascii=False)
    # JSON is UTF-8 whatever the terminal has (RFC 8259 section 8.1); half a surrogate pair, from a
    # file name, is written as JSON's own escape.
    click.echo(text.encode("utf-8", "backslashreplace"))
