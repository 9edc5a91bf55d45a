"""``rollstave rework``: another version of a tune, as text that is edited on, or any format."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from click.core import ParameterSource
from msgspec import Struct

from rollstave.cli.convert import formats_of
from rollstave.cli.look import (
    hand_option,
    headings_option,
    names_option,
    options_from,
    sheet_options,
)
from rollstave.cli.offered import offered_option, taken_out
from rollstave.cli.output import overwrite_option
from rollstave.vocabulary import problems as kinds

if TYPE_CHECKING:
    from rollstave.api import Tune
    from rollstave.archive.jobs import Recipe
    from rollstave.archive.making import Made
    from rollstave.problems import Problem
    from rollstave.score.records import Score

_EXIT_ERROR = 2
Wish = tuple[str, dict[str, object]]  # a rework's name and its options


class Asked(Struct, frozen=True):
    """What was asked for: how to write, what to change, where to, and whether both versions."""

    recipe: Recipe
    wishes: list[Wish]
    out: Path | None
    overwrite: bool
    names: str | None
    beside: bool


class ReworkCommand(click.Command):
    """The command, with the options of all reworks; they are looked for when it is used."""

    def get_params(self, ctx: click.Context) -> list[click.Parameter]:
        from rollstave.assembly.reworking import reworks

        own = super().get_params(ctx)
        taken = {name for param in own for name in (*param.opts, *param.secondary_opts)}
        offered = [offered_option(option) for way in reworks() for option in way.options]
        return [*(o for o in offered if not taken & {*o.opts}), *own]


@click.command(cls=ReworkCommand)
@click.argument("files", nargs=-1, required=True)
@click.option(
    "--to",
    "formats",
    callback=formats_of,
    metavar="FORMATS",
    multiple=True,
    default=("text",),
    help="Formats to write, divided by commas.  [default: text]",
)
@click.option(
    "--out",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder to write to; without it, beside each input.",
)
@click.option(
    "--beside",
    is_flag=True,
    help="Both versions on one sheet, measure under measure, or on one page: pdf, unless --to "
    "says another format that shows both.",
)
@click.option("--json", "as_json", is_flag=True, help="Print what was changed as JSON.")
@overwrite_option
@hand_option
@names_option
@headings_option
@sheet_options
def rework(
    files: tuple[str, ...],
    formats: tuple[str, ...],
    out: Path | None,
    beside: bool,
    as_json: bool,
    overwrite: bool,
    hand: str | None,
    names: str | None,
    headings: tuple[str, ...],
    **more: Any,
) -> None:
    """Write another version of each tune: in another tuning or key, elsewhere on the neck, easier.

    Of tune.txt comes tune-tuning.txt, tune-key.txt and so on; the tune itself stays as it is.
    Several changes at once follow one another. With --beside the tune stands
    over its new version. ``-`` reads standard input and prints the text.
    """
    from rollstave.archive.jobs import Recipe

    given = taken_out(more)
    wishes = _wishes(given)
    if not wishes:
        asked = ", ".join(sorted("--" + name.replace("_", "-") for name in given))
        raise click.UsageError(f"say what to change: {asked or 'no plugin offers anything'}")
    if beside:
        formats = _formats_beside(formats, more.get("view", ""))
    recipe = Recipe(
        formats=formats, options=options_from(**more), hand=hand, names=None, headings=headings
    )
    ask = Asked(
        recipe=recipe,
        wishes=wishes,
        out=out,
        overwrite=overwrite,
        names=names,
        beside=beside,
    )
    reports = [_file(name, ask) for name in dict.fromkeys(files)]
    for report in reports:
        if not as_json:
            _tell(report)
    if as_json:
        for report in reports:
            report.pop("text", None)
        text = json.dumps(reports[0] if len(reports) == 1 else reports, indent=2)
        click.echo(text)
    if any(report["failed"] for report in reports):
        sys.exit(_EXIT_ERROR)


def _wishes(given: dict[str, Any]) -> list[Wish]:
    """The reworks that are asked for, in the order in which they are offered."""
    from rollstave.assembly.reworking import reworks

    found: list[Wish] = []
    for way in reworks():
        options = {option.name: given.get(option.name) for option in way.options}
        said = {
            name: value
            for name, value in options.items()
            if value is not None and value is not False
        }
        if said:
            found.append((way.name, said))
    return found


def _formats_beside(formats: tuple[str, ...], view: str) -> tuple[str, ...]:
    """The formats of two versions beside each other: those asked for, or a sheet on paper."""
    from rollstave.writing import FORMATS

    if view == "staff":
        raise click.UsageError("--beside shows two tabs; --view staff has none")
    usual = click.get_current_context().get_parameter_source("formats")
    if usual is ParameterSource.DEFAULT:
        return ("pdf",)
    able = [form.name for form in FORMATS.values() if form.beside]
    if others := [form for form in formats if form not in able]:
        raise click.UsageError(
            f"--beside cannot be written as {', '.join(others)}; it can as {', '.join(able)}"
        )
    return formats


def _file(name: str, asked: Asked) -> dict[str, Any]:
    """Rework the tunes of one file and write them; what there is to tell of it."""
    from rollstave.archive.jobs import itself_failed
    from rollstave.problems import TabError
    from rollstave.reporting.summary import problem_data

    report: dict[str, Any] = {"file": name, "failed": False, "tunes": [], "written": []}
    try:
        _rework(name, asked, report)
    except TabError as error:
        report["problems"] = [problem_data(p) for p in error.problems]
    except OSError as error:
        said = f"{error.filename or name}: {error.strerror or error}"
        report["problems"] = [problem_data(kinds.FILE.problem(said))]
    except Exception as error:  # costs this file
        report["problems"] = [itself_failed(error)]
    report["failed"] = bool(report.get("problems"))
    return report


def _rework(name: str, asked: Asked, report: dict[str, Any]) -> None:
    from msgspec.structs import replace

    from rollstave.api import read
    from rollstave.archive.making import make
    from rollstave.cli.few import given_headings_of
    from rollstave.deciding.named_by import in_names
    from rollstave.deciding.picking import in_hand
    from rollstave.reporting.files import read_bytes, stem_of
    from rollstave.reporting.summary import problem_data
    from rollstave.score.reworked import Reworked, beside

    recipe = asked.recipe
    given = given_headings_of(name, recipe)
    tunes = read(read_bytes(name), name=stem_of(name), headings=given)
    made: list[Tune] = []
    for tune in tunes:
        old = in_hand(tune.score, recipe.hand)
        new, says, changes = _reworked(old, asked.wishes)
        new = in_names(new, asked.names)
        if asked.beside:
            new = beside(in_names(old, asked.names), Reworked(score=new, says=says))
        made.append(replace(tune, score=new))
        changed = [problem_data(problem) for problem in changes]
        report["tunes"].append({"title": old.title, "is": says, "changes": changed})
    ways = [way for way, _ in asked.wishes]
    stem = "-".join([stem_of(name), *ways, *(["beside"] if asked.beside else [])])
    outputs = make(tuple(made), stem, recipe)
    if name == "-" and asked.out is None and recipe.formats == ("text",):
        report["text"] = "\n\n".join(output.data.decode() for output in outputs)
        return
    _place(name, outputs, asked, report)


def _reworked(score: Score, wishes: Sequence[Wish]) -> tuple[Score, str, list[Problem]]:
    """A score with all reworks done, what it is now, and what was changed on the way."""
    from rollstave.assembly.reworking import reworked

    says: list[str] = []
    changes: list[Problem] = []
    for way, options in wishes:
        made = reworked(score, way, options)
        score = made.score
        says += [made.says] if made.says else []
        changes += made.changes
    return score, "; ".join(says), changes


def _place(name: str, outputs: Sequence[Made], asked: Asked, report: dict[str, Any]) -> None:
    from rollstave.outputs.guard import Refused
    from rollstave.outputs.place import Wish as Placing
    from rollstave.outputs.place import place_all
    from rollstave.reporting.summary import problem_data

    folder = asked.out or (Path() if name == "-" else Path(name).parent)
    inputs = [] if name == "-" else [name]
    wish = Placing(source="".join(inputs), inputs=inputs, overwrite=asked.overwrite)
    paths = [(folder / output.name, output.data) for output in outputs]
    try:
        replaced = place_all(paths, wish)
    except Refused as refusal:
        report["problems"] = [problem_data(kinds.FILE.problem(str(refusal)))]
        return
    report["written"] = [str(path) for path, _ in paths]
    report["replaced"] = [f"{path} was replaced; it is kept as {kept}" for path, kept in replaced]


def _tell(report: dict[str, Any]) -> None:
    """One file's report for people; where the text itself is printed, beside it."""
    from rollstave.reporting.summary import printable

    beside = "text" in report
    name = "standard input" if report["file"] == "-" else report["file"]

    def say(words: str, err: bool) -> None:
        click.echo(printable(words), err=err)

    def line(problem: dict[str, Any]) -> str:
        where = f":{problem['line']}:{problem['column']}" if problem["line"] else ""
        return f"{name}{where}: {problem['severity']}: {problem['message']}"

    for problem in report.get("problems", ()):
        say(line(problem), err=True)
    if report["failed"]:
        return
    for tune in report["tunes"]:
        say(f"{name}: {tune['title']}: {tune['is'] or 'nothing to change'}", err=beside)
        for change in tune["changes"]:
            say(line(change), err=beside)
    for path in report["written"]:
        say(f"  wrote {path}", err=beside)
    for words in report.get("replaced", ()):
        say(words, err=beside)
    if beside:
        click.echo(report["text"], nl=False)
