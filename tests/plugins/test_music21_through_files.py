"""Voices, places and fingers through music21's own MusicXML, as it writes and parses it.

music21 is the reference: what a stream holds is asked of music21's own objects.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from music21 import converter, interval, note

import rollstave
import rollstave_music21
from tests.musicxml_in.test_voices import CASES, file_of

TUNE = """Title: Two Hands at the Weir
Tuning: {tuning}
Instrument: {instrument}
{headings}
Time: 4/4
"""

GUITAR = """
e|-----------------|-----0-------0---|
B|-----1---1---1---|---1-----1-------|
G|---0---0---0---0-|-------0-------0-|
D|-----------------|-----------------|
A|-3---------------|-3-------0-------|
E|---------3-------|-----------------|
{fingers}
"""

BANJO = """
D|---0---2---0---3-|-0-------5-------|
B|-1-------1-------|-0---3-----------|
G|-0---------------|-0---------0---2-|
D|-------2---------|-----------------|
g|-----0-------0---|-------0---------|
  T I M T I T M I   T   M T M   I   M
LH 1   2 1     3    0   3   4       2
"""


@pytest.fixture(autouse=True)
def _registered() -> Iterator[None]:
    rollstave_music21.register()
    yield
    rollstave_music21.unregister()


def voiced(score: rollstave.Score) -> list[tuple[object, ...]]:
    """Every note: its measure, onset, pitch, voice, and how long it is held."""
    return sorted(
        (m.index, e.onset, n.pitch.midi, n.voice, e.duration if n.lasts is None else n.lasts)
        for m in score.measures
        for e in m.events
        for n in e.notes
    )


def voiced_in_music21(score: Any) -> list[tuple[object, ...]]:
    found = []
    for index, measure in enumerate(score.parts[0].getElementsByClass("Measure")):
        for number, voice in enumerate(measure.voices, start=1):
            for one in voice.getElementsByClass(note.NotRest):
                for pitch in one.pitches:
                    length = Fraction(one.quarterLength)
                    found.append((index, Fraction(one.offset), pitch.midi, number, length))
    return sorted(found)


def fingered(score: rollstave.Score) -> list[tuple[object, ...]]:
    """Every note as a hand has it, whatever it sounds."""
    return [
        (m.index, e.onset, n.string, n.fret, n.finger, n.left_finger, n.inferred_finger, n.link)
        for m in score.measures
        for e in m.events
        for n in e.notes
    ]


def of_tab(text: str) -> tuple[rollstave.Tune, Any]:
    (tune,) = rollstave.read(text)
    return tune, converter.parse(text, format="rollstave", forceSource=True)


def through(score: Any, folder: Path) -> Any:
    """A stream written and parsed by music21 itself."""
    file = folder / "through.musicxml"
    score.write("musicxml", str(file))
    return converter.parse(str(file), forceSource=True, storePickle=False)


def test_the_file_that_music21_writes_is_read_without_it_too(tmp_path: Path) -> None:
    """music21 10 writes the letter of a plucking finger as a ``fingering``, and of the notes in a
    chord none; words of the plugin say them."""
    tune, score = of_tab(TUNE.format(tuning="gDGBD", instrument="banjo", headings="") + BANJO)
    through(score, tmp_path)
    (again,) = rollstave.read(tmp_path / "through.musicxml")
    typed, found = (
        [
            (n.string, n.fret, None if n.inferred_finger else n.finger, n.left_finger)
            for m in one.score.measures
            for e in m.events
            for n in e.notes
        ]
        for one in (tune, again)
    )
    assert found == typed
    assert len({finger for *_, finger, _ in typed}) == 4


def back(score: Any) -> rollstave.Score:
    text, _ = rollstave_music21.to_tab(score)
    (tune,) = rollstave.read(text)
    return tune.score


@pytest.mark.parametrize("name", CASES)
def test_two_voices_in_measures_of_music21_come_back(name: str, tmp_path: Path) -> None:
    score = converter.parseData(file_of(CASES[name]), format="musicxml")
    wanted = voiced_in_music21(score)
    assert {number for *_, number, _ in wanted} == {1, 2}
    assert voiced(back(score)) == wanted
    (tune,) = rollstave.read(file_of(CASES[name]))
    made = converter.parse(
        rollstave.write(tune, "text")[0].decode(), format="rollstave", forceSource=True
    )
    assert voiced_in_music21(made) == wanted
    assert voiced(back(through(made, tmp_path))) == wanted


@pytest.mark.parametrize(
    ("instrument", "tuning", "headings", "rows"),
    [
        ("guitar", "EADGBE", "Voices: strings 4-6\nCapo: 2", GUITAR.format(fingers="")),
        ("guitar", "DADGBE", "Capo: 3", GUITAR.format(fingers="")),
        ("five-string banjo", "gCGBD", "Capo: 2\nFifth string: raised to A", BANJO),
        ("five-string banjo", "gDGBD", "", BANJO),
    ],
)
def test_a_hand_keeps_everything_through_files_and_transposing(
    instrument: str, tuning: str, headings: str, rows: str, tmp_path: Path
) -> None:
    text = TUNE.format(tuning=tuning, instrument=instrument, headings=headings) + rows
    tune, score = of_tab(text)
    assert len(fingered(tune.score)) > 10
    setup = tune.score.setup
    again = back(through(score, tmp_path))
    assert fingered(again) == fingered(tune.score)
    assert voiced(again) == voiced(tune.score)
    assert again.setup == setup
    assert (again.title, again.composer) == (tune.score.title, tune.score.composer)
    for steps in (2, -1, interval.Interval("P4")):
        moved = score.transpose(steps)
        semitones = steps if isinstance(steps, int) else steps.semitones
        for one in (moved, through(moved, tmp_path), through(score, tmp_path).transpose(steps)):
            higher = back(one)
            assert fingered(higher) == fingered(tune.score)
            heard = [(*n[:2], n[2] - semitones, *n[3:]) for n in voiced(higher)]
            assert sorted(heard) == voiced(tune.score)
            assert higher.setup.instrument == setup.instrument
