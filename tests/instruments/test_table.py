"""The instruments' data: intervals between open strings, and tabs read for each of them.

Intervals: common practice (a guitar is tuned in fourths with a third, a mandolin and a tenor banjo
in fifths, as a fiddle is, a bass in fourths), no source. General MIDI programs: General MIDI
Level 1 sound set.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

import rollstave
from rollstave.instruments.abbreviations import abbreviated
from rollstave.instruments.instrument import Instrument

BY_NAME = {i.name: i for i in rollstave.known_instruments()}

# Semitones from the last string up to string 1, and the MIDI number of the last string
# (middle C = 60).
INTERVALS = {
    "guitar": (40, [5, 5, 5, 4, 5]),
    "bass": (28, [5, 5, 5]),
    "ukulele": (67, [-7, 4, 5]),
    "baritone ukulele": (50, [5, 4, 5]),
    "mandolin": (55, [7, 7, 7]),
    "fiddle": (55, [7, 7, 7]),
    "tenor banjo": (48, [7, 7, 7]),
    "plectrum banjo": (48, [7, 4, 3]),
    "five-string banjo": (67, [-17, 5, 4, 3]),
}


@pytest.mark.parametrize("name", INTERVALS)
def test_usual_tuning(name: str) -> None:
    pitches = [p.midi for p in reversed(BY_NAME[name].default.pitches)]
    assert (pitches[0], [b - a for a, b in pairwise(pitches)]) == INTERVALS[name]


@pytest.mark.parametrize("instrument", rollstave.known_instruments(), ids=lambda i: i.name)
def test_every_tuning_has_a_pitch_for_each_string(instrument: Instrument) -> None:
    for tuning in instrument.tunings:
        assert len(tuning.pitches) == instrument.strings
        assert tuning.name
        letters = "".join(p.letter for p in reversed(tuning.pitches))
        assert tuning.written.upper() == letters.upper()


def tab(labels: str, heading: str = "") -> str:
    """A measure of eight notes, one string after the other, open and at fret 2."""
    names = labels.split()
    rows = []
    for index, name in enumerate(names):
        cells = ["-"] * 17
        for note in range(8):
            if note % len(names) == index:
                cells[1 + 2 * note] = "0" if note < len(names) else "2"
        rows.append(f"{name}|{''.join(cells)}|")
    return f"Title: Harbour Scale\n{heading}Time: 4/4\n\n" + "\n".join(rows) + "\n"


@pytest.mark.parametrize(
    ("labels", "heading", "name"),
    [
        ("E B G D A E", "", "guitar"),
        ("D A G D A D", "", "guitar"),
        ("E A D G", "", "mandolin"),
        ("A E C G", "", "ukulele"),
        ("A D G C", "", "tenor banjo"),
        ("D B G C", "Instrument: plectrum banjo\n", "plectrum banjo"),
        ("G D A E", "", "bass"),
        ("G D A E", "Instrument: mandolin\n", "mandolin"),
        ("E B G D", "Instrument: baritone ukulele\n", "baritone ukulele"),
        ("D B G D g", "", "five-string banjo"),
        ("E A D G", "Instrument: violin\n", "fiddle"),
        ("E A D G", "Fiddle tab, 4/4\n", "fiddle"),
        ("E A D G", "An old fiddle tune of the river.\n", "mandolin"),
        ("E A E A", "fiddle, cross tuned AEAE\n", "fiddle"),
        ("E A D G", "The bass part, lowest string first.\n", "bass"),
        ("E A D G", "Let the bass strings ring.\n", "mandolin"),
        ("G D A E", "Mandolin, 4/4\n", "mandolin"),
        ("E A D G", "Fiddle; the figures are frets as on a mandolin.\n", "fiddle"),
    ],
)
def test_rows_and_labels_choose_the_instrument(labels: str, heading: str, name: str) -> None:
    (tune,) = rollstave.read(tab(labels, heading))
    assert tune.score.setup.instrument.name == name


def test_a_guitar_tab_sounds_as_the_open_strings_say() -> None:
    """E4 B3 G3 D3 A2 E2 (common practice), MIDI numbers by the General MIDI table."""
    (tune,) = rollstave.read(tab("E B G D A E"))
    heard = [n.pitch.midi for m in tune.score.measures for e in m.events for n in e.notes]
    assert heard == [64, 59, 55, 50, 45, 40, 66, 61]


def test_string_1_has_frets_1_to_5_where_no_short_string_forbids_them() -> None:
    text = tab("E B G D A E").replace("E|-----------0-----|", "E|-----------3-----|")
    assert "E|-----------3" in text
    (tune,) = rollstave.read(text)
    assert 40 + 3 in [n.pitch.midi for m in tune.score.measures for e in m.events for n in e.notes]


def test_unlabelled_rows_of_six_in_several_systems_are_a_guitar() -> None:
    system = "\n".join(["|-0---2---0---2---|"] * 6)
    (tune,) = rollstave.read(f"Two Buoys\n\n{system}\n\n{system}\n")
    assert tune.score.setup.instrument.name == "guitar"
    assert "instrument" in {p.code for p in tune.problems}


@pytest.mark.parametrize(
    ("name", "short"),
    [("five-string banjo", "Bjo."), ("Guitar", "Gtr."), ("hurdy-gurdy", ""), ("", ""), (" ", "")],
)
def test_a_name_is_cut_short_as_in_a_score(name: str, short: str) -> None:
    """As in scores for several players (common practice, no source)."""
    assert abbreviated(name) == short
