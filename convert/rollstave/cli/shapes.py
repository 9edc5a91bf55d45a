"""``rollstave shapes``: where closed chord shapes lie on the neck."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from rollstave.cli.output import check_output, overwrite_option, put

if TYPE_CHECKING:
    from rollstave.deciding.shapes import MovableShape, NamedShape
    from rollstave.instruments.setup import Setup


@click.command()
@click.argument("chords", nargs=-1, required=True)
@click.option("--tuning", default="gDGBD", show_default=True, help="Tuning, by letters or name.")
@click.option(
    "--out",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Draw the shapes to this SVG file.",
)
@overwrite_option
@click.option("--json", "as_json", is_flag=True, help="Print the shapes as JSON.")
def shapes(
    chords: tuple[str, ...], tuning: str, out: Path | None, overwrite: bool, as_json: bool
) -> None:
    """Print each closed shape of the CHORDS and where it makes which chord, up to fret 17."""
    from rollstave.deciding.shape_names import heading, shape_name
    from rollstave.deciding.shapes import CAUTION, movable_shapes
    from rollstave.instruments.setup import Setup
    from rollstave.instruments.table import FIVE_STRING_BANJO
    from rollstave.instruments.tunings import parse_tuning

    if out is not None:
        check_output(out, ".svg", "an SVG", overwrite=overwrite)
    known = parse_tuning(tuning, FIVE_STRING_BANJO)
    if known is None:
        raise click.BadParameter(
            f"{tuning!r} is no tuning: write five letters, string 5 first, as gDGBD",
            param_hint="--tuning",
        )
    setup = Setup(FIVE_STRING_BANJO, known)
    try:
        found = movable_shapes(chords, setup)
    except ValueError as error:
        raise click.BadParameter(str(error), param_hint="CHORDS") from error
    if as_json:
        click.echo(json.dumps([_data(shape, setup) for shape in found], indent=2))
    else:
        click.echo(
            f"Closed shapes in {known.written}, frets counted from the nut. A shape lies at the "
            "fret of its lowest finger\non strings 1 to 3, and is named after the chord that it "
            "makes low on the neck."
        )
        for shape in found:
            click.echo(f"\n{heading(shape, setup)}")
            for held in shape.positions:
                at = shape_name(held.name, held.frets, setup).fret
                click.echo(
                    f"  {held.name:<5} fret {at:<3} {frets_text(held)}  {notes_text(held, setup)}"
                )
        click.echo(f"\n{CAUTION}")
    if out is not None:
        from rollstave.writing.sheet.shapesheet import write_shape_sheet

        put(out, write_shape_sheet(found, setup), overwrite=overwrite, err=as_json)
        click.echo(f"wrote {out}", err=as_json)


def frets_text(held: NamedShape) -> str:
    """``3:9 2:8 1:10``: string and fret, low strings first, as the trade writes shapes."""
    pairs = [(n, f) for n, f in enumerate(held.frets, start=1) if f is not None]
    return " ".join(f"{n}:{f}" for n, f in reversed(pairs))


def notes_text(held: NamedShape, setup: Setup) -> str:
    """The notes of a shape, low strings first: ``E4 G4 C5``, spelled for the chord."""
    return " ".join(_notes(held, setup))


def _notes(held: NamedShape, setup: Setup) -> list[str]:
    from rollstave.pitch import Key, spell

    tonic = held.name[:2] if held.name[1:2] in ("#", "b") else held.name[:1]
    fifths = max(-7, min(7, Key(tonic).fifths))
    pairs = [(n, f) for n, f in enumerate(held.frets, start=1) if f is not None]
    return [str(spell(setup.midi(n, f), fifths)) for n, f in reversed(pairs)]


def _data(shape: MovableShape, setup: Setup) -> dict[str, object]:
    from rollstave.deciding.shape_names import heading, shape_name
    from rollstave.deciding.shapes import suggest_fingers

    return {
        "name": heading(shape, setup),
        "pattern": shape.pattern,
        "positions": [
            {
                "chord": held.name,
                "at": shape_name(held.name, held.frets, setup).fret,
                "frets": held.frets,
                "notes": _notes(held, setup),
                "fingers": suggest_fingers(held.frets).fingers,
            }
            for held in shape.positions
        ],
    }
