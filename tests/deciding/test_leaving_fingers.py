"""Chord shapes beside what is struck while they are held, note by note.

A finger lies where a shape has it as long as its string sounds there or further up; a string that
is struck open or below it has lost that finger (by the nature of a fretted string). That a shape
stays the shape of its chord while melody notes take fingers off it is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from lxml import etree

import rollstave
from rollstave.deciding.shape_row import (
    leaving_strings,
    shape_changes,
    shape_row,
    without_shapes,
)
from rollstave.deciding.shape_use import ShapeAt
from rollstave.score.records import Note, Score
from rollstave.writing.options import SheetOptions
from tests import sheets, tunes
from tests.chord_tones import tones as harmony_of

CASES = [p.stem for p in (*tunes.SAMPLES, *tunes.STRESS)]


def _under(score: Score) -> Iterator[tuple[int, ShapeAt, Note]]:
    """Each note of the long strings with its measure and the shape that is held under its chord: a
    name holds until the next one."""
    changes = shape_changes(score)
    name = ""
    for measure in score.measures:
        for event in measure.events:
            here = measure.index, event.onset
            name = next((c.text for c in measure.chords[::-1] if c.onset <= event.onset), name)
            at = next((c for c in changes[::-1] if (c.measure, c.onset) <= here), None)
            if at is not None and at.shape.name == name:
                for note in event.notes:
                    if note.string != 5 and note.fret is not None and not note.harmonic:
                        yield measure.index, at, note
        name = measure.chords[-1].text if measure.chords else name


@pytest.mark.parametrize("case", CASES)
def test_a_finger_that_is_not_where_its_shape_has_it_is_said_to_leave(case: str) -> None:
    score = tunes.case(case)
    bare = without_shapes(score)
    row = leaving_strings(score)
    for index, at, note in _under(score):
        own = at.shape.frets[note.string - 1] or 0
        if (note.fret or 0) < own and index not in bare.get(at.shape.name, ()):
            assert note.string in at.leaving, (at, note)
    off: dict[object, set[int]] = {shape: set() for shape in row}
    for at in shape_changes(score):
        off[at.shape] |= at.leaving
    assert off == row


@pytest.mark.parametrize("case", CASES)
def test_fingers_that_leave_are_hollow_dots_and_nothing_else_is(case: str) -> None:
    leaving = leaving_strings(tunes.case(case))
    for options in (SheetOptions(), SheetOptions(shapes_over_music=True, chord_row=False)):
        hollow = [
            g
            for root in sheets.roots(case, options)
            for g in root.iter("{http://www.w3.org/2000/svg}circle")
            if g.get("class") == "leaving"
        ]
        changes = shape_changes(tunes.case(case))
        strings = [c.leaving for c in changes] if options.shapes_over_music else leaving.values()
        assert len(hollow) == sum(map(len, strings))
        words = "".join(t for r in sheets.roots(case, options) for t in r.itertext())
        assert ("comes off for melody notes" in words) == bool(hollow)


PASSING = """Title: A Finger More
Tuning: gDGBD
Time: 4/4

   G                 G
D|-------0-------0-|-------{last}-------2-|
B|---0-------0-----|---0-------{last}-----|
G|-0---------------|-----------------|
D|-----------------|-----------------|
g|-----0-------0---|-----0-------0---|
"""
BARRE = """Title: The Bar Comes Off
Tuning: gDGBD
Time: 4/4

   A                 A
D|-------2-------2-|-------2-------{last}-|
B|---2-------2-----|---2-------2-----|
G|-2-------2-------|-2-------2-------|
D|-----------------|-----------------|
g|-----0-------0---|-----0-------0---|
"""


@pytest.mark.parametrize(("last", "hollow"), [("2", 0), ("0", 1), ("4", 0)])
def test_a_finger_across_strings_comes_off_as_a_whole(last: str, hollow: int) -> None:
    (tune,) = rollstave.read(BARRE.format(last=last))
    (shape,) = shape_row(tune.score)
    assert shape.frets[:3] == (2, 2, 2)
    root = etree.fromstring(rollstave.write(tune, "svg")[0])
    shapes = [e for e in root.iter() if e.get("class") == "leaving"]
    assert [etree.QName(e).localname for e in shapes] == ["path"] * hollow


def _notes_of(score: Score, number: int) -> list[Note]:
    """What is struck on the long strings in the measure of that number."""
    (measure,) = (m for m in score.measures if m.number == number)
    return [note for event in measure.events for note in event.notes if note.string != 5]


@pytest.mark.parametrize("case", CASES)
def test_no_shape_is_held_against_the_notes(case: str) -> None:
    """In a measure that has one name, and is not told of at the foot, the tab has no more notes
    beside a shape, on its open strings and silent ones too, than notes where the shape has them."""
    score = tunes.case(case)
    bare = without_shapes(score)
    counts: dict[tuple[int, str], list[int]] = {}
    for index, at, note in _under(score):
        if len(score.measures[index].chords) < 2 and index not in bare.get(at.shape.name, ()):
            own = at.shape.frets[note.string - 1]
            count = counts.setdefault((index, at.shape.name), [0, 0])
            count[0] += note.fret == own
            count[1] += note.fret != own and not (own and own < (note.fret or 0))
    assert all(ready >= beside for ready, beside in counts.values()), counts


@pytest.mark.parametrize("number", [12, 17, 36, 57])
def test_another_chord_than_the_one_named_has_not_its_shape(number: int) -> None:
    """The Long Causeway strikes the triad of C, told by music21, under an open G."""
    score = tunes.case("sixty-four")
    struck = {note.pitch.midi % 12 for note in _notes_of(score, number)}
    assert harmony_of("C") <= struck | {7}
    assert struck - harmony_of("G")
    assert number - 1 in without_shapes(score)["G"]


def test_a_chord_struck_at_once_beside_a_shape_is_another_one() -> None:
    """Whitewash Morning brushes 2-1-2-0 at the end of measure 1, under an open G."""
    score = tunes.case("brushes")
    assert [note.fret for note in _notes_of(score, 1)[-4:]] in ([2, 1, 2, 0], [0, 2, 1, 2])
    assert without_shapes(score)["G"] == (0,)
    (root,) = sheets.roots("brushes")
    words = " ".join(" ".join(root.itertext()).split())
    assert "under D, C and D7, and under the G of m. 1." in words


@pytest.mark.parametrize(
    ("case", "number", "name", "string", "frets"),
    [
        ("five-sharps", 4, "B", 2, [11]),  # all four fingers are at 7, 8, 9 and 9
        ("quince-orchard-waltz", 6, "Am", 3, [2, 0, 2]),  # the name stands over measure 5
    ],
)
def test_a_finger_comes_off_for_what_is_struck_elsewhere(
    case: str, number: int, name: str, string: int, frets: list[int]
) -> None:
    score = tunes.case(case)
    notes = _notes_of(score, number)
    assert [note.fret for note in notes if note.string == string] == frets
    ((shape, off),) = ((s, off) for s, off in leaving_strings(score).items() if s.name == name)
    assert set(frets) - {shape.frets[string - 1]}
    assert string in off


def test_the_key_is_true_of_a_string_without_a_sign() -> None:
    """The Lantern Stairs strike the fourth string at 5 under an F that has none there."""
    score = tunes.case("lantern-stairs")
    assert 5 in {note.fret for note in _notes_of(score, 13) if note.string == 4}
    shapes = {s.name: s for s in reversed(shape_row(score)) if 1 in s.frets}
    assert shapes["F"].frets[3] is None
    words = " ".join(t for root in sheets.roots("lantern-stairs") for t in root.itertext())
    assert "a string without a sign is no part of the shape" in words
    assert "not struck" not in words


def test_a_passing_note_leaves_a_shape_and_three_of_four_do_not() -> None:
    for last, held in (("0", True), ("2", False)):
        (tune,) = rollstave.read(PASSING.format(last=last))
        assert (without_shapes(tune.score) == {}) == held


def test_a_shape_is_not_held_where_the_hand_plays_elsewhere() -> None:
    """Thornhedge Corner has B at frets 8 and 9 in measure 4, and in measure 1 at fret 4 first; the
    Long Causeway has the F sharp of D in two measures of eight, between open strings."""
    assert without_shapes(tunes.case("five-sharps")) == {"B": (0, 4, 5, 6), "E": (), "F#7": ()}
    assert "D" not in {shape.name for shape in shape_row(tunes.case("sixty-four"))}
