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

CASES = [p.stem for p in (*tunes.SAMPLES, *tunes.STRESS)]


def _under(score: Score) -> Iterator[tuple[int, ShapeAt, Note]]:
    """Each note of the long strings with its measure and the shape that is held under its chord."""
    changes = shape_changes(score)
    for measure in score.measures:
        for event in measure.events:
            here = measure.index, event.onset
            name = next((c.text for c in measure.chords[::-1] if c.onset <= event.onset), "")
            at = next((c for c in changes[::-1] if (c.measure, c.onset) <= here), None)
            if at is not None and at.shape.name == name:
                for note in event.notes:
                    if note.string != 5 and note.fret is not None and not note.harmonic:
                        yield measure.index, at, note


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


def test_a_shape_is_not_held_where_the_hand_plays_elsewhere() -> None:
    """Thornhedge Corner has B at frets 8 and 9 in measure 4, and in measure 1 at fret 4 first; the
    Long Causeway has the F sharp of D in two measures of eight, between open strings."""
    assert without_shapes(tunes.case("five-sharps")) == {"B": (0,), "E": (), "F#7": ()}
    assert "D" not in {shape.name for shape in shape_row(tunes.case("sixty-four"))}
    (root,) = sheets.roots("five-sharps")
    words = " ".join(" ".join(root.itertext()).split())
    assert "No shape goes with what is played under E and F♯7, and under B in m. 1." in words
