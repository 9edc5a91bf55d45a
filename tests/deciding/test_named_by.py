"""Chord names under a capo, told by what is held; music21 10 names and transposes the chords."""

from __future__ import annotations

from fractions import Fraction

import pytest
from music21 import chord, harmony, interval, pitch

import rollstave
from rollstave.deciding.chords import chord_name
from rollstave.deciding.named_by import in_names, moved_chord
from rollstave.deciding.shape_row import shape_row
from rollstave.proofreading import proofread

# A chord of G, then of C, then of D7, in open G tuning with a capo at 2: it sounds A, D and E7.
TAB = """Title: The Half-Tide Gate
Tuning: gDGBD
Capo: 2
Key: A
Time: 4/4

   {0:<18}{1:<18}{2}
D|-----0-------0---|-----2-------2---|-----4-------4---|
B|---0-------0-----|---1-------1-----|---1-------1-----|
G|-0-------0-------|-0-------0-------|-2-------2-------|
D|-------0-------0-|-2-----2-------2-|-------0-------0-|
g|-----------------|-----------------|-----------------|
"""
SHAPES, SOUNDS = ("G", "C", "D7"), ("A", "D", "E7")


@pytest.mark.parametrize(("names", "by_shape"), [(SHAPES, True), (SOUNDS, False)])
def test_it_is_told_by_what_is_held(names: tuple[str, ...], by_shape: bool) -> None:
    # music21 names what sounds.
    (tune,) = rollstave.read(TAB.format(*names))
    heard = [
        chord.Chord(sorted({n.pitch.midi for e in m.events for n in e.notes})).root().name
        for m in tune.score.measures
    ]
    assert heard[:2] == ["A", "D"]
    assert tune.score.chords_by_shape is by_shape
    assert any(f.subject == "chord names" for f in tune.findings) is by_shape
    assert [s.frets[:3] for s in shape_row(tune.score)][:2] == [(0, 0, 0), (2, 1, 0)]
    # Said once for the tune, and only where names and staff differ.
    told = [c for c in proofread(tune) if c.kind.code == "chord"]
    assert len(told) == by_shape


@pytest.mark.parametrize("typed", [SHAPES, SOUNDS])
def test_names_as_asked_for(typed: tuple[str, ...]) -> None:
    (tune,) = rollstave.read(TAB.format(*typed))

    def names(how: str | None) -> list[str]:
        return [c.text for m in in_names(tune.score, how).measures for c in m.chords]

    assert names(None) == list(typed)
    assert names("shape") == list(SHAPES)
    assert names("sounding") == list(SOUNDS)
    both = in_names(tune.score, "both")
    assert [(c.text, c.beside) for m in both.measures for c in m.chords] == [
        *zip(SHAPES, SOUNDS, strict=True)
    ]
    # Shapes stay where they are, whatever they are called.
    assert {s.frets for s in shape_row(both)} == {
        s.frets for s in shape_row(in_names(tune.score, "sounding"))
    }


@pytest.mark.parametrize("name", ["G", "Bbm7", "F#dim", "C6/9", "D/F#", "Ebmaj7/G"])
@pytest.mark.parametrize("up", [1, 2, 5, -3])
def test_a_name_moves_as_music21_moves_it(name: str, up: int) -> None:
    there = moved_chord(chord_name(name, Fraction(0)), up, 0)
    letter = name[:2] if name[1:2] in ("#", "b") else name[0]
    wanted = pitch.Pitch(letter.replace("b", "-")).transpose(interval.Interval(up)).pitchClass
    step, alter = there.root or ("", 0)
    assert pitch.Pitch(step + ("#" * alter if alter > 0 else "-" * -alter)).pitchClass == wanted
    assert harmony.ChordSymbol(there.text[: len(step) + abs(alter)].replace("b", "-"))
    assert moved_chord(there, -up, 0).kind == chord_name(name, Fraction(0)).kind


def test_both_names_and_what_they_mean_stand_on_the_sheet() -> None:
    (tune,) = rollstave.read(TAB.format(*SHAPES))
    (page,) = rollstave.write(in_names(tune.score, "both"), "svg")
    words = page.decode()
    for label in ("G (A)", "C (D)", "D7 (E7)"):
        assert label in words
    assert "in parentheses of what sounds" in words
    (page,) = rollstave.write(tune, "svg")
    assert "2 semitones higher" in page.decode()
