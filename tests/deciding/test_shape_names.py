"""What shapes are called: by how they look and where they lie.

Names and frets are common practice for the five-string banjo, no source; chords are found by
music21.
"""

from __future__ import annotations

import json
from collections import defaultdict

import pytest
from click.testing import CliRunner
from music21 import chord as m21

from rollstave.cli.main import main
from rollstave.deciding.shape_names import shape_name
from rollstave.deciding.shapes import Frets, closed_shapes, movable_shapes
from rollstave.instruments.setup import Setup
from rollstave.instruments.table import FIVE_STRING_BANJO
from tests import tunes

ROOTS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")

# Tuning, chord, frets of strings 1 to 4, and what players call it.
CALLED = (
    ("gCGBD", "C", (5, 5, 5), "the bar at fret 5"),
    ("gCGBD", "F", (10, 10, 10), "the bar at fret 10"),
    ("gCGBD", "F", (7, 6, 5), "the C shape at fret 5"),
    ("gCGBD", "G", (9, 8, 7), "the C shape at fret 7"),
    ("gCGBD", "C", (14, 13, 12), "the C shape at fret 12"),
    ("gCGBD", "F", (3, 1, 2), "the F shape at fret 1"),
    ("gCGBD", "C", (10, 8, 9), "the F shape at fret 8"),
    ("gCGBD", "C", (2, 1, 0, 0), "open C"),
    ("gCGBD", "G", (0, 0, 0, 2), "open G"),
    ("gCGBD", "C", (5, 5, 5, 4), "the bar with its third in the bass at fret 5"),
    ("gDGBD", "A", (2, 2, 2, 2), "the bar with its fifth in the bass at fret 2"),
    ("gDGBD", "F", (3, 1, 2, 3), "the F shape with its root in the bass at fret 1"),
    ("gDGBD", "Am", (2, 1, 2), "the Am shape at fret 1"),
    ("gDGBD", "Em", (2, 0, 0, 2), "open Em"),
    ("gDGBD", "F#m", (4, 2, 2), "the Em shape at fret 2"),
)


@pytest.mark.parametrize(("tuning", "chord", "frets", "called"), CALLED)
def test_players_call_it_so(tuning: str, chord: str, frets: Frets, called: str) -> None:
    whole = (*frets, *(None,) * (5 - len(frets)))
    assert str(shape_name(chord, whole, tunes.setup(tuning))) == called


def setups() -> list[Setup]:
    return [Setup(FIVE_STRING_BANJO, tuning) for tuning in FIVE_STRING_BANJO.tunings]


@pytest.mark.parametrize("kind", ["", "m", "7", "m7", "dim"])
@pytest.mark.parametrize("setup", setups(), ids=lambda setup: setup.tuning.written)
def test_a_name_is_one_shape_and_a_shape_has_one_name(setup: Setup, kind: str) -> None:
    """Whatever chord it makes: a shape keeps its name as it moves, and no other has it."""
    names: dict[Frets, set[str]] = defaultdict(set)
    shapes: dict[str, set[Frets]] = defaultdict(set)
    for root in ROOTS:
        for frets in closed_shapes(root + kind, setup):
            low = min(f for f in frets if f is not None)
            pattern = tuple(None if f is None else f - low for f in frets)
            what = shape_name(root + kind, frets, setup).what
            names[pattern].add(what)
            shapes[what].add(pattern)
    assert {len(found) for found in (*names.values(), *shapes.values())} <= {1}


@pytest.mark.parametrize("tuning", ["gCGBD", "gDGBD"])
def test_a_shape_is_named_after_the_chord_that_it_makes_low_on_the_neck(tuning: str) -> None:
    """music21 names the chord of each triad on strings 1 to 3, moved down to the first frets."""
    setup = tunes.setup(tuning)
    seen = set()
    for root in ROOTS:
        for quality, kind in (("", "major"), ("m", "minor")):
            for frets in closed_shapes(root + quality, setup):
                if frets[3] is not None:
                    continue
                what = shape_name(root + quality, frets, setup).what
                low = min(f for f in frets[:3] if f is not None)
                made = {}
                for at in range(3):
                    notes = [setup.midi(n, (frets[n - 1] or 0) - low + at) for n in (1, 2, 3)]
                    sounding = m21.Chord(notes)
                    assert sounding.quality == kind
                    made[sounding.root().name.replace("-", "b")] = at
                seen.add(what)
                if what != "bar":
                    assert what.removesuffix(" shape").removesuffix("m") in made
    assert seen == {"bar", "F shape", "C shape", "Am shape", "Dm shape", "Em shape"}


def names_in(*chords: str) -> dict[Frets, str]:
    """The names that the command prints, by what is played."""
    result = CliRunner().invoke(main, ["shapes", "--tuning", "gCGBD", "--json", *chords])
    assert result.exit_code == 0, result.output
    return {
        tuple(held["frets"]): shape["name"]
        for shape in json.loads(result.stdout)
        for held in shape["positions"]
    }


def test_names_do_not_change_with_the_question() -> None:
    every = names_in("C", "F", "G", "Am")
    for asked in (("C",), ("G", "C"), ("Am", "F")):
        assert names_in(*asked).items() <= every.items()


def test_the_command_says_where_each_lies() -> None:
    result = CliRunner().invoke(main, ["shapes", "--tuning", "gCGBD", "C"])
    assert "\nF shape\n  C     fret 8   3:9 2:8 1:10  E4 G4 C5\n" in result.output
    assert "\nBar\n  C     fret 5   3:5 2:5 1:5  C4 E4 G4\n" in result.output


def test_every_movable_shape_has_a_name() -> None:
    setup = tunes.setup("gDGBD")
    for shape in movable_shapes(["C7", "Gm", "Bdim"], setup):
        assert {shape_name(h.name, h.frets, setup).what for h in shape.positions} == {
            shape_name(shape.positions[0].name, shape.positions[0].frets, setup).what
        }


def test_what_has_no_name() -> None:
    with pytest.raises(ValueError, match="not known"):
        shape_name("Xyz", (5, 5, 5, None, None), tunes.setup())
    with pytest.raises(ValueError, match="string"):
        shape_name("C", (None,) * 5, tunes.setup())
