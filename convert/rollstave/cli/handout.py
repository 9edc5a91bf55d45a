"""The commands that plugins offer: a hand-out made of a tune, or of words, and written."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from rollstave.cli.look import hand_option, headings_option, options_from, sheet_options
from rollstave.cli.offered import offered_option, taken_out
from rollstave.cli.output import check_output, overwrite_option, put

if TYPE_CHECKING:
    from rollstave.api import Tune
    from rollstave.contract.offers import HandoutMaker
    from rollstave.problems import Problem
    from rollstave.writing.handout.records import Handout

_EXIT_ERROR = 2
# What the ending of the file says; the formats of a hand-out.
_FORMATS = {
    **{".pdf": "pdf", ".svg": "svg", ".html": "html", ".txt": "text"},
    **{".musicxml": "musicxml", ".mid": "midi"},
}
_ONLY_SHEETS = ("lines", "chord_row", "shapes_over_music", "rolls")


def command_of(name: str) -> click.Command | None:
    """The command of a maker that a plugin offers; None if none does."""
    from rollstave.assembly.handouts import makers

    maker = next((m for m in makers() if m.name == name), None)
    if maker is None:
        return None
    of_tune = maker.takes == "tune"

    def run(**given: Any) -> None:
        _run(maker, given)

    run.__doc__ = maker.help
    command = click.command(name, help=_help(maker))(run)
    decorated = (sheet_options, overwrite_option, *((hand_option, headings_option) * of_tune))
    for decorate in decorated:
        decorate(command)  # adds its options to those that are there
    command.params = [p for p in command.params if p.name not in _ONLY_SHEETS]
    own = [offered_option(option) for option in maker.options]
    taken = {word for p in command.params for word in (*p.opts, *p.secondary_opts)}
    params: list[click.Parameter] = [_argument(maker), *(o for o in own if not taken & {*o.opts})]
    params.append(
        click.Option(
            ["--out"],
            type=click.Path(dir_okay=False, path_type=Path),
            help="The file to write: .pdf, .html (a page that plays), .svg, .txt, or .musicxml and "
            ".mid with the exercises alone. Without it, the text is printed.",
        )
    )
    if of_tune:
        params.append(
            click.Option(
                ["--tune"],
                type=click.IntRange(1),
                help="Which tune of a file with several, counted from 1.",
            )
        )
    command.params = [*params, *command.params]
    return command


def _help(maker: HandoutMaker) -> str:
    what = "FILE, a tab" if maker.takes == "tune" else "WORDS"
    said = maker.help.rstrip(".")
    if maker.takes == "tune":
        return f"{said}. Made from {what}; - reads standard input."
    return f"{said}. {what} are {maker.takes}."


def _argument(maker: HandoutMaker) -> click.Argument:
    if maker.takes == "tune":
        return click.Argument(["file"])
    return click.Argument(["words"], nargs=-1, required=True)


def _run(maker: HandoutMaker, given: dict[str, Any]) -> None:
    from rollstave.assembly.handouts import made
    from rollstave.problems import TabError

    out: Path | None = given.pop("out")
    overwrite: bool = given.pop("overwrite")
    options = {
        n: value
        for n, value in taken_out(given).items()
        if value is not None and value is not False
    }
    ending = out.suffix.lower() if out is not None else ".txt"
    if ending not in _FORMATS:
        known = ", ".join(_FORMATS)
        raise click.BadParameter(f"{out}: its ending says the format: {known}", param_hint="--out")
    source = given.pop("file", None)
    # An option may name a file that is read, too: none of them is written over.
    told_files = [value for value in options.values() if isinstance(value, str)]
    inputs = [name for name in (source, *told_files) if name and os.path.isfile(name)]
    if out is not None:
        check_output(out, ending, f"a file that ends with {ending}", inputs, overwrite)
    try:
        if source is None:
            told: object = tuple(given.pop("words"))
        else:
            told = _tune(source, given)
        handout = made(maker.name, told, options)
        pages = _written(handout, _FORMATS[ending], given)
    except TabError as error:
        _refuse(source or maker.name, error.problems)
    except OSError as error:
        raise click.ClickException(f"{error.filename or source}: {error.strerror}") from None
    if out is None:
        click.echo(b"\n".join(pages), nl=False)
        return
    paths = _paths(out, len(pages))
    for path, page in zip(paths, pages, strict=True):
        put(path, page, inputs, overwrite)
    count = len(handout.exercises)
    click.echo(f"wrote {', '.join(map(str, paths))}: {count} exercise{'s' * (count != 1)}")


def _tune(source: str, given: dict[str, Any]) -> Tune:
    """The tune of a file that the hand-out is of."""
    from msgspec.structs import replace

    from rollstave.api import read
    from rollstave.archive.jobs import Recipe
    from rollstave.cli.few import given_headings_of
    from rollstave.deciding.picking import in_hand
    from rollstave.reporting.files import read_bytes, stem_of
    from rollstave.writing.options import SheetOptions

    hand, headings = given.pop("hand"), given.pop("headings")
    number: int | None = given.pop("tune")
    recipe = Recipe(formats=(), options=SheetOptions(), headings=headings)
    said = given_headings_of(source, recipe)
    tunes = read(read_bytes(source), name=stem_of(source), headings=said)
    if number is None and len(tunes) > 1:
        titles = ", ".join(f"{n} {t.score.title}" for n, t in enumerate(tunes, start=1))
        raise click.UsageError(f"{source} has several tunes; say which with --tune: {titles}")
    if number is not None and number > len(tunes):
        raise click.BadParameter(f"{source} has {len(tunes)}", param_hint="--tune")
    tune = tunes[(number or 1) - 1]
    return replace(tune, score=in_hand(tune.score, hand))


def _written(handout: Handout, form: str, look: dict[str, Any]) -> list[bytes]:
    from rollstave.api import write

    usual: dict[str, Any] = {
        "lines": "phrases",
        "chord_row": False,
        "rolls": False,
        "shapes_over_music": False,
    }
    return write(handout, form, options_from(**usual | look) if form != "text" else None)


def _paths(out: Path, count: int) -> list[Path]:
    from rollstave.reporting.files import output_paths

    return output_paths(out.parent, out.stem, out.suffix, count)


def _refuse(name: str, problems: tuple[Problem, ...]) -> None:
    from rollstave.reporting.summary import printable

    for problem in problems:
        click.echo(printable(problem.format(name)), err=True)
    sys.exit(_EXIT_ERROR)
