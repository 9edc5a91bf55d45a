"""``rollstave tunings``: the tunings that have names."""

from __future__ import annotations

import json

import click


@click.command()
@click.option("--json", "as_json", is_flag=True, help="Print the table as JSON.")
def tunings(as_json: bool) -> None:
    """List the tunings that are known, with their notes."""
    from rollstave.assembly.plugins import contract

    instruments = contract().instruments()

    if as_json:
        data = [
            {
                "instrument": i.name,
                "written": t.written,
                "names": list(t.names),
                "notes": [str(p) for p in reversed(t.pitches)],
            }
            for i in instruments
            for t in i.tunings
        ]
        click.echo(json.dumps(data, indent=2))
        return
    for instrument in instruments:
        click.echo(f"{instrument.name} (string {instrument.strings} to string 1)")
        for tuning in instrument.tunings:
            notes = " ".join(f"{p!s:<3}" for p in reversed(tuning.pitches))
            click.echo(f"  {tuning.written:<9} {notes}  {', '.join(tuning.names)}")
