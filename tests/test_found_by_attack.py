"""What the standing attack found (tests/benchmarks/attack.py), each kind in its smallest form."""

from __future__ import annotations

import io
from fractions import Fraction

import mido
import pytest
from lxml import etree
from msgspec.structs import replace

import rollstave
from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.instruments.tunings import named_form, parse_tuning
from rollstave.notating.values import written
from rollstave.pitch import Pitch
from rollstave.rhythm.meter import Meter
from rollstave.score.records import Score
from rollstave.writing.text.counting import value_sign

HEAD = (
    '<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Banjo</part-name>'
    '</score-part></part-list><part id="P1"><measure number="1"><attributes><divisions>{}'
    "</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>"
)
END = "</measure></part></score-partwise>"


def note(duration: int, more: str = "", notations: str = "", fret: int = 0, front: str = "") -> str:
    """A note on string 3 of the banjo, which is tuned to G3."""
    step, octave = {0: ("G", 3), 2: ("A", 3), 4: ("B", 3), 5: ("C", 4)}[fret]
    technical = f"<technical><string>3</string><fret>{fret}</fret>{notations}</technical>"
    return (
        f"<note>{front}<pitch><step>{step}</step><octave>{octave}</octave></pitch>"
        f"{f'<duration>{duration}</duration>' if duration else ''}{more}"
        f"<notations>{technical}</notations></note>"
    )


def score(divisions: int, *notes: str) -> rollstave.Tune:
    text = HEAD.format(divisions) + "".join(notes) + END
    (tune,) = rollstave.read(text)
    return tune


def typed_again(tune: rollstave.Tune | Score) -> Score:
    (again,) = rollstave.read(rollstave.write(tune, "text")[0])
    return again.score


def frets(tune: Score) -> list[tuple[float, int | None]]:
    return [(float(e.onset), n.fret) for m in tune.measures for e in m.events for n in e.notes]


def rows(cells: str, head: str = "") -> str:
    """A tab of which row 3 has these cells."""
    empty = "-" * len(cells)
    lines = [f"{label}|{cells if at == 2 else empty}|" for at, label in enumerate("DBGDg")]
    return "\n".join(["Title: Tide", "Time: 4/4", head, "", *lines]) + "\n"


# Tunings -----------------------------------------------------------------------------------------


def test_a_tuning_with_other_octaves_is_typed_with_them() -> None:
    """Octaves as in scientific pitch notation: middle C is C4."""
    pitches = tuple(Pitch.parse(name) for name in ("D4", "B3", "G3", "C2", "G4"))
    form = named_form(pitches, FIVE_STRING_BANJO)
    assert form == "g4C2G3B3D4"
    read = parse_tuning(form, FIVE_STRING_BANJO)
    assert read is not None
    assert read.pitches == pitches


@pytest.mark.parametrize("typed", ["g4D3G3B3D4", "g4 D3 G3 B3 D4", "g4-D3-G3-B3-D4", "gDGBD"])
def test_a_known_tuning_with_its_octaves_is_that_tuning(typed: str) -> None:
    assert parse_tuning(typed, FIVE_STRING_BANJO) is FIVE_STRING_BANJO.default
