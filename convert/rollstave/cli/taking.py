"""The options that say how a MusicXML file is taken where there is a choice."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from rollstave.musicxml_in.taking import Taking


def musicxml_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command ``--octave``, ``--lead`` and ``--since``; they go to :func:`taking_of`."""
    options = (
        click.option(
            "--octave",
            type=click.IntRange(-9, 9),
            default=0,
            metavar="N",
            help="Read the notes of MusicXML so many octaves higher, or lower with -1.",
        ),
        click.option(
            "--lead",
            type=click.Choice(["staff", "tab", "newer"]),
            help="What counts where staff and tab of a MusicXML file disagree; newer is whichever "
            "was changed since the tab that --since names. Without it nothing is guessed.",
        ),
        click.option(
            "--since",
            type=click.Path(exists=True, dir_okay=False, path_type=Path),
            help="The tab that a MusicXML file was made from, or a file with it among others: what "
            "was changed counts, what comes back as it was keeps its strings, frets and fingers.",
        ),
    )
    for option in reversed(options):
        command = option(command)
    return command


def taking_of(octave: int, lead: str | None, since: Path | None) -> Taking:
    """How a MusicXML file is taken, from the options of a command."""
    if lead == "newer" and since is None:
        raise click.UsageError("--lead newer needs --since TAB, to know what is newer")
    from rollstave.musicxml_in.taking import Taking

    if since is None:
        return Taking(octave=octave, lead=lead or "")
    from rollstave.api import read
    from rollstave.problems import TabError

    try:
        tunes = read(since)
    except (TabError, OSError) as error:
        raise click.BadParameter(f"{since} cannot be read: {error}", param_hint="--since") from None
    scores = tuple(tune.score for tune in tunes)
    return Taking(octave=octave, lead=lead or "", since=scores[0], among=scores)
