"""The options that say how a sheet looks, shared by the commands that make sheets."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

from rollstave.vocabulary.hands import HAND_WORDS

if TYPE_CHECKING:
    from rollstave.writing.options import SheetOptions

_OPTIONS = (
    click.option(
        "--view",
        type=click.Choice(["both", "tab", "staff"]),
        default="both",
        show_default=True,
        help="Staves of the sheet.",
    ),
    click.option(
        "--page-size",
        type=click.Choice(["a4", "a5", "letter"]),
        default="a4",
        show_default=True,
        help="Paper of the sheet.",
    ),
    click.option(
        "--size",
        type=click.Choice(["pocket", "small", "normal", "large"]),
        default="normal",
        show_default=True,
        help="Size of the staves: 5, 6 or 7 mm high, or large print.",
    ),
    click.option("--large", is_flag=True, help="Large print, as --size large."),
    click.option(
        "--lines",
        type=click.Choice(["phrases", "as-typed"]),
        default="phrases",
        show_default=True,
        help="Where systems break: at phrases of four measures, or where the typist broke them.",
    ),
    click.option(
        "--chord-row/--no-chord-row", default=True, help="Chord shapes at the head of the sheet."
    ),
    click.option("--mark-unsure", is_flag=True, help="Mark measures whose rhythm is not sure."),
    click.option(
        "--shapes-over-music", is_flag=True, help="Chord shapes over the staff at each chord name."
    ),
    click.option("--tab-rests", is_flag=True, help="Rests on the tab as well as on the staff."),
    click.option("--rolls/--no-rolls", default=True, help="Names over the rolls, and a legend."),
)


def sheet_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options; their values go to :func:`options_from`."""
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


def options_from(
    view: str,
    page_size: str,
    size: str,
    large: bool,
    lines: str,
    chord_row: bool,
    mark_unsure: bool,
    rolls: bool,
    shapes_over_music: bool,
    tab_rests: bool,
) -> SheetOptions:
    """The options of a sheet from what was typed."""
    from rollstave.writing.options import PAPERS, SheetOptions, View

    return SheetOptions(
        view=View(view),
        paper=PAPERS[page_size],
        size=size,
        large=large,
        as_typed=lines == "as-typed",
        chord_row=chord_row,
        rolls=rolls,
        shapes_over_music=shapes_over_music,
        mark_unsure=mark_unsure,
        tab_rests=tab_rests,
    )


def hand_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command ``--hand``; its value goes to ``deciding.picking.in_hand``."""
    return click.option(
        "--hand",
        type=click.Choice(list(HAND_WORDS)),
        help="How the right hand plays: the letters that are not written are chosen for it. "
        "Without it, a heading (Style:) or the written letters decide.",
    )(command)


def names_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command ``--chords``; its value goes to ``deciding.named_by.in_names``."""
    return click.option(
        "--chords",
        "names",
        type=click.Choice(["shape", "sounding", "both"]),
        help="Chord names under a capo: of the shape that is held, of what sounds, or both. "
        "Without it they stay as typed.",
    )(command)


def headings_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command ``--heading``; its values are headings of tabs that do not have them."""
    return click.option(
        "--heading",
        "headings",
        multiple=True,
        metavar="TEXT",
        help='A heading such as "Time: 2/4" for all tabs that do not say otherwise. May be given '
        "several times; a file headings.txt in a folder does the same for the tabs below it.",
    )(command)
