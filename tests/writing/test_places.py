"""From a note on the sheet to where it was typed."""

from __future__ import annotations

import re

import rollstave
from rollstave.writing.options import SheetOptions
from rollstave.writing.places import measure_id, note_places
from tests import tunes


def test_every_note_of_a_sheet_has_its_place_and_no_other(sample_name: str) -> None:
    """The text at the place of a note is its fret, as Verovio's SVG shows it on the tab."""
    tune = tunes.sample(sample_name)
    lines = next(p for p in tunes.SAMPLES if p.stem == sample_name).read_text().split("\n")
    pages = rollstave.write(tune, "svg", SheetOptions(prefix="x-"))
    drawn = [
        name
        for page in pages
        for name in re.findall(r'id="(x-[nt]\d+-\d+-\d+-\d+)"', page.decode())
    ]
    places = note_places(tune.score, "x-")
    assert sorted(drawn) == sorted(places)
    frets = {n.place: n for m in tune.score.measures for e in m.events for n in e.notes}
    for place in places.values():
        fret = "x" if frets[place].muted else str(frets[place].fret)
        assert lines[place.line - 1][place.column - 1 :].lstrip("(<").startswith(fret)


def test_measures_have_the_ids_of_the_sheet(sample_name: str) -> None:
    tune = tunes.sample(sample_name)
    words = b"".join(rollstave.write(tune, "svg", SheetOptions(prefix="x-"))).decode()
    for measure in tune.score.measures:
        assert f'id="{measure_id(measure.index, "x-")}"' in words
