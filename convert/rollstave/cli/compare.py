"""``rollstave compare``: what is different in another version of a tune."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from rollstave.cli.taking import musicxml_options, taking_of

if TYPE_CHECKING:
    from rollstave.api import Tune

EXIT_DIFFERENT, EXIT_ERROR = 1, 2


@click.command()
@click.argument("old", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.argument("new", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the differences as JSON.")
@musicxml_options
def compare(
    old: Path, new: Path, as_json: bool, octave: int, lead: str | None, since: Path | None
) -> None:
    """Say what is different in NEW, measure by measure; both may be text or MusicXML.

    A score that was made from OLD and edited is read with --since OLD if nothing else is said.
    Exit code 0 if nothing is different, 1 if something is, 2 if a file cannot be read.
    """
    from rollstave.reporting.compared import differences
    from rollstave.score.aligned import alike

    befores = _tunes(old, None)
    afters = _tunes(new, taking_of(octave, lead, since or old))
    if len(afters) == 1 < len(befores):  # one tune of a file was taken elsewhere and back
        befores = (max(befores, key=lambda tune: alike(tune.score, afters[0].score)),)
    if len(befores) != len(afters):
        click.echo(f"{old} has {len(befores)} tunes, {new} has {len(afters)}", err=True)
        sys.exit(EXIT_ERROR)
    report: list[dict[str, Any]] = []
    for before, after in zip(befores, afters, strict=True):
        found = differences(before.score, after.score)
        report.append({"title": after.score.title, "differences": [_data(d) for d in found]})
        if not as_json:
            click.echo(f"{after.score.title}: {_counted(len(found))}")
            for one in found:
                click.echo(f"  {one.line}")
    if as_json:
        click.echo(json.dumps(report, indent=2, ensure_ascii=False))
    sys.exit(EXIT_DIFFERENT if any(tune["differences"] for tune in report) else 0)


def _data(difference: Any) -> dict[str, str]:
    fields = ("what", "old", "new", "beat", "words")
    return {name: getattr(difference, name) for name in fields}


def _counted(number: int) -> str:
    return f"{number} difference{'s' if number > 1 else ''}" if number else "nothing is different"


def _tunes(path: Path, taking: Any) -> tuple[Tune, ...]:
    """The tunes of a file; ends the command with exit code 2 if it cannot be read."""
    from rollstave.api import read_parts
    from rollstave.musicxml_in.taking import AS_IT_IS
    from rollstave.reporting.files import read_bytes, stem_of

    try:
        data = read_bytes(str(path))
    except OSError as error:
        click.echo(f"{path}: error: cannot be read: {error.strerror or error}", err=True)
        sys.exit(EXIT_ERROR)
    parts = read_parts(data, name=stem_of(str(path)), taking=taking or AS_IT_IS)
    tunes = tuple(tune for part in parts for tune in part.tunes)
    if not tunes:
        for problem in (p for part in parts for p in part.problems):
            click.echo(problem.format(str(path)), err=True)
        sys.exit(EXIT_ERROR)
    return tunes
