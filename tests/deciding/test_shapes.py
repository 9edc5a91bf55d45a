"""Chord shapes: movable ones against the trade's table, fingers, what a tune holds."""

from __future__ import annotations

import itertools

import music21
import pytest

from rollstave.deciding.shapes import LAST_FRET, movable_shapes, suggest_fingers, used_shapes
from tests import tunes

# The project's table of shapes in C tuning, gCGBD (common practice; pitches by arithmetic):
# closed shapes as string: fret, what they sound as MIDI numbers (C4 = 60), and the chord.
CLOSED = [
    ({3: 5, 2: 6, 1: 7}, [60, 65, 69], "F"),
    ({3: 7, 2: 8, 1: 9}, [62, 67, 71], "G"),
    ({3: 12, 2: 13, 1: 14}, [67, 72, 76], "C"),
    ({3: 9, 2: 8, 1: 10}, [64, 67, 72], "C"),
]


def _shapes(*names: str) -> dict[tuple[int | None, ...], str]:
    found = movable_shapes(names, tunes.setup("gCGBD"))
    return {p.frets: p.name for shape in found for p in shape.positions}


@pytest.mark.parametrize(("shape", "sounds", "chord"), CLOSED)
def test_shapes_of_the_trade(shape: dict[int, int], sounds: list[int], chord: str) -> None:
    frets = tuple(shape.get(string) for string in range(1, 6))
    assert _shapes("C", "F", "G")[frets] == chord
    held = tunes.setup("gCGBD")
    assert [held.midi(s, f) for s, f in shape.items()] == sounds


def test_the_f_shape_moved_up_seven_frets_is_c() -> None:
    # Common practice: 3:2 2:1 1:3 is F; moved up seven frets it is C.
    for shape in movable_shapes(["C", "F", "G"], tunes.setup("gCGBD")):
        frets = {p.frets: p.name for p in shape.positions}
        if frets.get((3, 1, 2, None, None)) == "F":
            assert frets[(10, 8, 9, None, None)] == "C"
            break
    else:
        pytest.fail("the F shape is missing")


@pytest.mark.parametrize("tuning", ["gDGBD", "gCGBD", "gCGCD"])
@pytest.mark.parametrize("name", ["C", "Dm", "G7", "F#m", "Bb"])
def test_all_shapes_sound_their_chord(tuning: str, name: str) -> None:
    # music21, harmony.ChordSymbol: the pitch classes of a chord by its name.
    figure = name.replace("b", "-")
    tones = {p.pitchClass for p in music21.harmony.ChordSymbol(figure).pitches}
    held = tunes.setup(tuning)
    count = 0
    for shape in movable_shapes([name], held):
        for place in shape.positions:
            pairs = [(s, f) for s, f in enumerate(place.frets, start=1) if f is not None]
            assert {held.midi(s, f) % 12 for s, f in pairs} == tones
            assert all(1 <= f <= LAST_FRET for _, f in pairs)
            count += 1
    assert count


@pytest.mark.parametrize("strings", [3, 4])
def test_no_closed_shape_is_missed(strings: int) -> None:
    """All frets on the first three or four strings within a reach of three, tried one by one."""
    held = tunes.setup("gDGBD")
    tones = {p.pitchClass for p in music21.harmony.ChordSymbol("D").pitches}
    expected = {
        (*frets, *(None,) * (5 - strings))
        for frets in itertools.product(range(1, LAST_FRET + 1), repeat=strings)
        if max(frets) - min(frets) <= 3
        and {held.midi(s, f) % 12 for s, f in enumerate(frets, start=1)} == tones
    }
    found = {
        p.frets
        for shape in movable_shapes(["D"], held)
        for p in shape.positions
        if (p.frets[3] is None) == (strings == 3)
    }
    assert found == expected


def test_an_unknown_chord_is_refused() -> None:
    with pytest.raises(ValueError, match="Xyz"):
        movable_shapes(["Xyz"], tunes.setup())


# Fingers of shapes that every teacher shows so (common practice, no source).
@pytest.mark.parametrize(
    ("frets", "fingers"),
    [
        ((2, 1, 0, 0, None), (2, 1, None, None, None)),  # C in C tuning
        ((3, 1, 2, None, None), (3, 1, 2, None, None)),  # the F shape
        ((7, 6, 5, None, None), (3, 2, 1, None, None)),  # the D shape
        ((5, 5, 5, None, None), (1, 1, 1, None, None)),  # a bar
        ((0, 0, 0, 0, 0), (None,) * 5),
    ],
)
def test_fingers_of_common_shapes(
    frets: tuple[int | None, ...], fingers: tuple[int | None, ...]
) -> None:
    assert suggest_fingers(frets).fingers == fingers


def test_fingers_never_cross_or_repeat() -> None:
    for frets in itertools.product((None, 0, 2, 3, 4), repeat=4):
        found = suggest_fingers((*frets, None))
        stopped = [(f, g) for f, g in zip(frets, found.fingers, strict=False) if f]
        for (fret, finger), (other, second) in itertools.combinations(stopped, 2):
            assert finger is not None
            assert second is not None
            if fret < other:
                assert finger <= second
            if finger == second:
                assert fret == other
                assert found.barre or finger == 4
        if found.barre:
            low, high = found.barre
            assert all(frets[s - 1] != 0 for s in range(low, high + 1))


def test_used_shapes_come_once() -> None:
    shapes = used_shapes(tunes.case("lantern-stairs").measures)
    assert shapes
    seen = [(s.name, tuple(f or None for f in s.frets)) for s in shapes]
    assert len(seen) == len(set(seen))
