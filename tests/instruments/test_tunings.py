"""Tunings as people type them."""

from __future__ import annotations

import pytest

from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.instruments.tunings import parse_tuning, suggest

# What is typed, and the tuning that is meant (common practice).
TYPED = [
    ("gDGBD", "gDGBD"),
    ("open G", "gDGBD"),
    ("Open G tuning", "gDGBD"),
    ("OPEN-G", "gDGBD"),
    ("standard", "gDGBD"),
    ("G D G B D", "gDGBD"),
    ("gdgbd", "gDGBD"),
    ("g-D-G-B-D", "gDGBD"),
    ("g, D, G, B, D", "gDGBD"),
    ("C", "gCGBD"),
    ("drop C", "gCGBD"),
    ("Standard C tuning", "gCGBD"),
    ("double C", "gCGCD"),
    ("Double-C (gCGCD)", "gCGCD"),
    ("gcgcd", "gCGCD"),
    ("open C", "gCGCE"),
    ("sawmill", "gDGCD"),
    ("Mountain Modal", "gDGCD"),
    ("modal (gDGCD)", "gDGCD"),
    # What kind of thing is tuned, and that it is the usual way, names no tuning.
    *((f"{word} open G", "gDGBD") for word in ("banjo", "standard", "regular", "usual", "normal")),
    ("C, regular banjo tuning", "gCGBD"),
    # String 1 is the first in every count of strings (common practice, no source).
    ("1=D, 2=B, 3=G, 4=D, 5=G", "gDGBD"),
    ("5=g 4=c 3=g 2=c 1=d", "gCGCD"),
    ("1: E, 2: C#, 3: A, 4: E, 5: a", "aEAC#E"),
    ("G minor", "gDGBbD"),
    ("gDGBbD", "gDGBbD"),
    ("gDGB♭D", "gDGBbD"),
    ("g D G Bb D", "gDGBbD"),
    ("f#DF#AD", "f#DF#AD"),
    ("F# D F# A D", "f#DF#AD"),
    ("open D", "f#DF#AD"),
    ("aDF#AD", "aDF#AD"),
    ("double D", "aDADE"),
    ("aDADE", "aDADE"),
    ("open A", "aEAC#E"),
    ("aEAC#E", "aEAC#E"),
]


@pytest.mark.parametrize(("typed", "written"), TYPED)
def test_typed(typed: str, written: str) -> None:
    tuning = parse_tuning(typed, FIVE_STRING_BANJO)
    assert tuning is not None
    assert tuning.written == written


def test_an_unlisted_tuning_takes_the_nearest_octaves() -> None:
    # By arithmetic: each string goes to the octave nearest to open G. gEGBE: E3 (D3 + 2) and E4.
    tuning = parse_tuning("gEGBE", FIVE_STRING_BANJO)
    assert tuning is not None
    assert [str(p) for p in tuning.pitches] == ["E4", "B3", "G3", "E3", "G4"]


@pytest.mark.parametrize("typed", ["", "gDGB", "gDGBDD", "harbour", "open Z", "12345", "x"])
def test_no_tuning(typed: str) -> None:
    assert parse_tuning(typed, FIVE_STRING_BANJO) is None


@pytest.mark.parametrize(
    ("typed", "meant"), [("sawmil", "sawmill"), ("duble C", "double C"), ("harbour", None)]
)
def test_did_you_mean(typed: str, meant: str | None) -> None:
    assert suggest(typed, FIVE_STRING_BANJO) == meant


@pytest.mark.parametrize(
    ("typed", "written"),
    # Letters say what the strings are; a name beside them may be another's word for it.
    [
        ("sawmill (gCGCD)", "gCGCD"),
        ("gCGCD (sawmill)", "gCGCD"),
        ("(gCGCE) open G", "gCGCE"),
        ("double C [g D G B D]", "gDGBD"),
        ("open G, gCGBD", "gCGBD"),
        ("sawmill", "gDGCD"),
    ],
)
def test_letters_win_over_a_name(typed: str, written: str) -> None:
    tuning = parse_tuning(typed, FIVE_STRING_BANJO)
    assert tuning is not None
    assert tuning.written == written
