"""Guitar and ukulele shapes of a published data set: their sound, their names, their fingers.

Source: the npm package ``@tombatossals/chords-db`` 0.5.1 (MIT licence, in the data file), its
shapes of major, minor, dominant, minor and major seventh and diminished chords. Each row: key,
suffix, frets and fingers from the lowest string, and the MIDI numbers that sound.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import rollstave
from rollstave.deciding.naming import _name
from rollstave.deciding.shapes import suggest_fingers
from rollstave.instruments.setup import Setup
from rollstave.pitch import Pitch

DATA = json.loads((Path(__file__).parent / "data" / "chord-shapes.json").read_text("utf-8"))
# Measured when this was written: 254 of 289 guitar shapes, 210 of 288 for the ukulele.
SHARES = {"guitar": 0.85, "ukulele": 0.7}
SUFFIXES = {"major": "", "minor": "m", "7": "7", "m7": "m7", "maj7": "maj7", "dim": "dim"}


def _setup(name: str) -> Setup:
    instrument = next(i for i in rollstave.known_instruments() if i.name == name)
    return Setup(instrument, instrument.default)


@pytest.mark.parametrize("name", ["guitar", "ukulele"])
def test_shapes_sound_as_published(name: str) -> None:
    held = _setup(name)
    count = 0
    for key, suffix, frets, _, midi in DATA[name]:
        strings = len(frets)
        sounding = [held.midi(strings - n, f) for n, f in enumerate(frets) if f >= 0]
        assert sounding == midi, (key, suffix, frets)
        count += 1
    assert count > 200


@pytest.mark.parametrize("name", ["guitar", "ukulele"])
def test_complete_shapes_have_the_published_name(name: str) -> None:
    # A shape that leaves out a tone of its chord may be another chord: those are passed over.
    sizes = {"major": 3, "minor": 3, "dim": 3}
    seen = good = 0
    for key, suffix, _, _, midi in DATA[name]:
        tones = frozenset(note % 12 for note in midi)
        if len(tones) != sizes.get(suffix, 4):
            continue
        root = Pitch.parse(key + "4").midi % 12
        seen += 1
        good += _name(tones) == (root, SUFFIXES[suffix])
    assert seen > 150
    assert good == seen


@pytest.mark.parametrize("name", ["guitar", "ukulele"])
def test_suggested_fingers_agree_with_the_published_ones(name: str) -> None:
    # Hands differ, so agreement is a share: most shapes should be held as published.
    good = 0
    for _, _, frets, fingers, _ in DATA[name]:
        own = suggest_fingers(tuple(f if f >= 0 else None for f in reversed(frets))).fingers
        good += [f or 0 for f in reversed(own)] == fingers
    assert good / len(DATA[name]) > SHARES[name]
