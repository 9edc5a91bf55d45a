"""Fingers of the picking hand, chord names and shapes held."""

from __future__ import annotations

from fractions import Fraction

import pytest

import rollstave
from rollstave.deciding.chords import chord_name, chord_tones
from rollstave.deciding.hands import hand_of
from rollstave.score.records import Finger, Score

TAB = """Title: The Ferry Bell
Time: 4/4
{headings}

   {over}
D|-------0-------0-|
B|---0-------0-----|
G|-0---------------|
D|---------0-------|
g|-----0-------0---|
   {under}
"""


def _read(headings: str = "Key: G", over: str = "", under: str = "") -> Score:
    return rollstave.read(TAB.format(headings=headings, over=over, under=under))[0].score


def _fingers(score: Score) -> list[tuple[str, bool]]:
    return [
        (n.finger.value, n.inferred_finger)
        for e in score.measures[0].events
        for n in e.notes
        if n.finger
    ]


def test_the_fixed_hand() -> None:
    # Common practice of older styles: thumb on 5, 4 and 3, index on 2, middle on 1.
    assert _fingers(_read()) == [(f, True) for f in "TITMTITM"]


def test_letters_that_are_written_are_kept() -> None:
    # Written letters win over the rule: here the bluegrass hand, T on string 2.
    found = _fingers(_read(under="T T T M I T T M"))
    assert found == [(f, False) for f in "TTTMITTM"]


def test_down_picking() -> None:
    # Common practice: the nail of the index finger strikes, the thumb plays string 5.
    assert [f for f, _ in _fingers(_read("Key: G\nStyle: clawhammer"))] == list("IITIIITI")


@pytest.mark.parametrize(
    "style", ["down-picked", "clawhammer", "Frailing", "rapping", "old knock-down"]
)
def test_words_for_down_picking(style: str) -> None:
    assert hand_of(style).finger(1) is Finger.INDEX
    assert hand_of(style).finger(5) is Finger.THUMB


def test_a_bass_belongs_to_the_chord() -> None:
    chord = chord_name("D/F#", Fraction(0))
    assert (chord.root, chord.bass, chord.kind) == (("D", 0), ("F", 1), "major")


def test_an_unknown_suffix_keeps_its_text() -> None:
    chord = chord_name("Gpeg", Fraction(0))
    assert (chord.root, chord.kind, chord.text) == (("G", 0), "other", "Gpeg")
    assert chord_tones(chord) is None


def test_a_shape_is_held() -> None:
    # Open G tuning sounds G, B, D on open strings (common practice): the open chord is G.
    (chord,) = _read(over="G").measures[0].chords
    assert chord.frets == (0, 0, 0, 0, 0)


def test_no_shape_where_a_note_is_foreign() -> None:
    # D and its tones D F# A; the open G string is foreign.
    (chord,) = _read(over="D").measures[0].chords
    assert chord.frets is None


def test_chords_fall_on_their_columns() -> None:
    measure = _read(over="G       C").measures[0]
    found = [(c.text, c.onset) for c in measure.chords]
    struck = [e for e in measure.events if e.notes]
    assert found == [("G", struck[0].onset), ("C", struck[4].onset)]
