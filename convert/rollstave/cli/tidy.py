"""``rollstave tidy``: a tab rewritten cleanly in its own file."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from rollstave.api import Tune
    from rollstave.problems import Problem

_EXIT_ERROR = 2


@click.command()
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--diff", is_flag=True, help="Show what would change, and write nothing.")
@click.option(
    "--width",
    type=click.IntRange(20, 400),
    default=80,
    show_default=True,
    help="Characters in a line; a measure that needs more gets more.",
)
@click.option(
    "--force", is_flag=True, help="Write even if something was not understood or is not sure."
)
def tidy(files: tuple[Path, ...], diff: bool, width: int, force: bool) -> None:
    """Rewrite tabs in place: aligned, labelled, with headings and a line of counts.

    A file with anything that was not understood, or with a rhythm that is not sure, is left as
    it is unless --force is given.
    """
    failed = [not _tidied(path, diff, width, force) for path in files]
    if any(failed):
        sys.exit(_EXIT_ERROR)


def _tidied(path: Path, diff: bool, width: int, force: bool) -> bool:
    """Tidy one file; an error that nobody thought of costs this file only."""
    try:
        return _tidy(path, diff, width, force)
    except OSError:  # of what is printed
        raise
    except Exception as error:
        said = f"rollstave itself failed: {type(error).__name__}: {error}"
        click.echo(f"{path}: error: {said}", err=True)
        return False


def _tidy(path: Path, diff: bool, width: int, force: bool) -> bool:
    """Tidy one file; False if it was left alone because of something wrong."""
    from rollstave.api import read
    from rollstave.archive.given import given_for
    from rollstave.assembly.documents import kind_of
    from rollstave.musicxml_in.detect import is_musicxml
    from rollstave.problems import TabError
    from rollstave.reading.page.decode import decode_with

    try:
        data = path.read_bytes()
        if is_musicxml(data):
            click.echo(
                f"{path}: error: this is MusicXML, not a tab, and stays as it is; "
                f"rollstave convert {path} --to text --out FOLDER makes a tab of it",
                err=True,
            )
            return False
        if kind := kind_of(data):
            click.echo(
                f"{path}: error: this is a {kind}, which tidy does not write into; "
                f"rollstave convert {path} --to text --out FOLDER makes a tab of it",
                err=True,
            )
            return False
        tunes = read(data, name=path.stem, headings=given_for(str(path), os.curdir))
    except TabError as error:
        for problem in error.problems:
            click.echo(problem.format(str(path)), err=True)
        return False
    except OSError as error:
        click.echo(f"{path}: error: cannot be read: {error.strerror or error}", err=True)
        return False
    before, encoding = decode_with(data)
    text, doubts = _rewritten(tunes, width)
    for doubt in doubts:
        click.echo(f"{path}{doubt}", err=True)
    if diff:
        _show(path, before, text)
        return True
    if doubts and not force:
        click.echo(f"{path}: left as it is; --force rewrites it all the same", err=True)
        return False
    try:
        tidied = encoding.encode(text.replace("\n", _line_end(before)))
    except UnicodeEncodeError as error:
        missing = error.object[error.start]
        click.echo(
            f"{path}: error: the file is in {encoding.name}, which cannot hold {missing!r}; save "
            "it as UTF-8 first",
            err=True,
        )
        return False
    if tidied == data:
        click.echo(f"{path}: already tidy")
        return True
    return _write(path, data, tidied, bool(doubts))


def _line_end(text: str) -> str:
    """The line end that most lines of a text have."""
    pairs, old, new = text.count("\r\n"), text.count("\r"), text.count("\n")
    counts = {"\n": new - pairs, "\r\n": pairs, "\r": old - pairs}
    return max(counts, key=lambda end: counts[end])


def _write(path: Path, before: bytes, after: bytes, doubtful: bool) -> bool:
    """Put the tidied text in the place of what was read; False if that cannot be done. Where it is
    doubtful, something may be lost by it, and the old text is kept."""
    from rollstave.outputs.disk import keep, unkeep
    from rollstave.outputs.rewrite import rewrite

    kept = ""
    real = os.path.realpath(path)
    try:
        if doubtful:
            kept = keep(real, os.path.dirname(real))
        rewrite(path, before, after, kept)
    except OSError as error:
        unkeep(real, kept)
        click.echo(f"{path}: error: cannot be written: {error.strerror or error}", err=True)
        return False
    click.echo(f"{path}: tidied")
    if kept:
        click.echo(f"{path}: the text as it was is kept as {kept}")
    return True


def _rewritten(tunes: tuple[Tune, ...], width: int) -> tuple[str, list[str]]:
    """The text of all tunes, and what speaks against writing it, each with its place."""
    from rollstave.api import read
    from rollstave.deciding.playback import play_order
    from rollstave.problems import TabError
    from rollstave.score.compare import first_difference
    from rollstave.writing.text import write_text

    doubts = []
    texts = []
    for tune in tunes:
        doubts += [problem.format("") for problem in tune.problems if _is_doubt(problem, tune)]
        texts.append(write_text(tune.score, width).decode())
    text = "\n\n".join(texts)
    try:
        again = read(text)
    except TabError as error:
        return text, [
            *doubts,
            f": the tidied text could not be read back: {error.problems[0].message}",
        ]
    if len(again) != len(tunes):
        doubts.append(f": the tidied text would be read as {len(again)} tunes, not {len(tunes)}")
    for one, other in zip(tunes, again, strict=False):
        if where := first_difference(one.score, other.score):
            doubts.append(f": tidied, {where} of {one.score.title!r} would be read differently")
        elif play_order(one.score.measures) != play_order(other.score.measures):
            doubts.append(f": tidied, {one.score.title!r} would be played in another order")
        elif one.score.notes != other.score.notes:
            doubts.append(f": tidied, the words of {one.score.title!r} would change their order")
    return text, doubts


def _is_doubt(problem: Problem, tune: Tune) -> bool:
    """True for a problem for which a tab is left as it is. What is likely is no doubt, and neither
    is what counts leave open: how long the last note is. The counts are kept as they are."""
    from rollstave.grid.typed import LineKind
    from rollstave.problems import Severity
    from rollstave.rhythm.spoken import LIKELY

    if problem.code == "rhythm-unsure" and problem.place is not None:
        line, column = problem.place.line, problem.place.column
        likely = all(
            m.rhythm.confidence >= LIKELY for m in tune.score.measures if m.first_line == line
        )
        counted = any(
            (m.first_line, m.first_column) == (line, column) and m.attached(LineKind.COUNTS)
            for m in tune.grid.measures
        )
        return not (likely or counted)
    return problem.severity is Severity.WARNING and problem.code != "measure-length"


def _show(path: Path, before: str, after: str) -> None:
    import difflib

    old = [line.rstrip("\r") for line in before.split("\n")]
    lines = difflib.unified_diff(old, after.split("\n"), str(path), f"{path} (tidied)", lineterm="")
    for line in lines:
        click.echo(line)
