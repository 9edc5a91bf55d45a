"""Chord names keep their own place in time, over a long note too.

Where each name stands is known from how the tab is typed: four characters are a quarter note.
music21 reads what is written, and writes what is read.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations

import pytest

import rollstave
from rollstave.score.compare import first_difference

NAMES = ("G", "Em", "C", "D")
# On which beats of a measure a name stands, the first of them on the first beat.
PLACES = [(0, *more) for count in (1, 2, 3) for more in combinations((1, 2, 3), count)]


def tab(beats: tuple[int, ...], strokes: tuple[int, ...] = (0,)) -> str:
    over = "".join((NAMES[beat] if beat in beats else "").ljust(4) for beat in range(4))
    row = "-" + "".join(("0" if beat in strokes else "-").ljust(4, "-") for beat in range(4)) + "|"
    rows = [f"{label}|{row if label == 'D' else '-' * 17 + '|'}" for label in "DBGD"]
    full = "g|-0---0---0---0---|" if strokes == (0, 1, 2, 3) else "g|-----------------|"
    head = "Title: Long Oar\nTuning: gDGBD\nTime: 4/4\nKey: G\n"
    return "\n".join((head, "   " + over, *rows, full)) + "\n"


def places(score: rollstave.Score) -> list[tuple[Fraction, str]]:
    return [(c.onset, c.text) for m in score.measures for c in m.chords]


@pytest.mark.parametrize("beats", PLACES)
def test_names_over_one_long_note(beats: tuple[int, ...]) -> None:
    (tune,) = rollstave.read(tab(beats))
    assert places(tune.score) == [(Fraction(b), NAMES[b]) for b in beats]
    for to in ("text", "musicxml"):
        (again,) = rollstave.read(rollstave.write(tune, to)[0])
        assert places(again.score) == places(tune.score)
        assert first_difference(tune.score, again.score) is None


@pytest.mark.parametrize("beats", PLACES)
def test_music21_reads_each_in_its_place(beats: tuple[int, ...]) -> None:
    from music21 import converter

    (tune,) = rollstave.read(tab(beats))
    data = rollstave.write(tune, "musicxml")[0]
    (measure,) = converter.parseData(data, format="musicxml").parts[0].getElementsByClass("Measure")
    found = [(h.offset, h.figure) for h in measure.getElementsByClass("Harmony")]
    assert found == [(b, NAMES[b]) for b in beats]


def test_a_name_that_music21_writes_between_notes() -> None:
    """It writes ``offset`` where a name stands over a long note."""
    from music21 import harmony, meter, note, stream
    from music21.musicxml.m21ToXml import GeneralObjectExporter

    measure = stream.Measure(number=1)
    measure.append(meter.TimeSignature("4/4"))
    measure.append(note.Note("D4", quarterLength=4))
    for at, root in ((0, "G"), (1.5, "C"), (3, "D")):
        measure.insert(at, harmony.ChordSymbol(root))
    (tune,) = rollstave.read(GeneralObjectExporter(stream.Part([measure])).parse())
    assert places(tune.score) == [(0, "G"), (Fraction(3, 2), "C"), (3, "D")]


def test_a_name_that_is_typed_a_little_before_its_note_is_that_of_the_note() -> None:
    """Two characters before it, as people type (common practice, no source)."""
    text = tab((0, 2), (0, 2)).replace("G       C", "G     C")
    (tune,) = rollstave.read(text)
    assert places(tune.score) == [(0, "G"), (2, "C")]


def test_names_on_the_sheet_stand_in_their_order() -> None:
    from lxml import etree

    (tune,) = rollstave.read(tab((0, 1, 2, 3), (0, 3)))
    page = etree.fromstring(rollstave.write(tune, "svg")[0])
    names = {t.text: float(t.get("x", 0)) for t in page.findall(".//{*}text[@class='chord']")}
    assert sorted(names, key=lambda name: names[name]) == list(NAMES)
    gaps = [b - a for a, b in zip(names.values(), list(names.values())[1:], strict=False)]
    assert min(gaps) > 300  # none was pushed aside by another
