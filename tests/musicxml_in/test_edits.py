"""Thirty files that were edited: what is said of them, and what stays as it was.

The edits are those of ``edits.py``; what must come back follows from the edit, and music21 10 is
the other program that saves.
"""

from __future__ import annotations

import re

import pytest

import rollstave
from tests.amount import some
from tests.musicxml_in.edits import Edited, Struck, edited

SEEDS = range(some(6, 30))  # six have every kind of edit


def struck(score: rollstave.Score) -> dict[Struck, rollstave.Note]:
    return {
        (m.index, e.onset, n.pitch.midi): n
        for m in score.measures
        for e in m.events
        for n in e.notes
    }


def hand(note: rollstave.Note) -> tuple[object, ...]:
    """What a note that was not touched keeps."""
    return (
        note.string,
        note.fret,
        note.finger,
        note.left_finger,
        note.marks,
        note.ghost,
        note.bend,
        note.vibrato,
        note.harmonic,
    )


def before(one: Edited) -> dict[Struck, rollstave.Note]:
    """The notes of the tune, a measure that was copied counted twice."""
    found = {}
    for (index, onset, midi), note in struck(one.tune.score).items():
        later = one.copied is not None and index > one.copied
        found[index + later, onset, midi] = note
        if index == one.copied:
            found[index + 1, onset, midi] = note
    return found


def wanted(one: Edited) -> set[Struck]:
    return (set(before(one)) - one.gone) | one.new


def changed_hands(one: Edited, score: rollstave.Score) -> list[Struck]:
    was, now = before(one), struck(score)
    near = {key[:2] for key in one.gone | one.new | one.moved.keys()}
    return [
        key
        for key in was.keys() & now.keys()
        if key[:2] not in near and hand(was[key]) != hand(now[key])
    ]


@pytest.mark.parametrize("seed", SEEDS)
def test_what_was_changed_is_taken_and_the_rest_stays(seed: int) -> None:
    one = edited(seed)
    (read,) = rollstave.read(one.data, since=one.tune)
    assert set(struck(read.score)) == wanted(one), one.said
    assert changed_hands(one, read.score) == [], one.said
    assert {note.voice for note in struck(read.score).values()} == {1}, one.said
    assert read.score.composer == one.tune.score.composer or "saved by music21" in one.said
    assert read.score.composer.casefold() != "music21"
    places = {key: (n.string, n.fret) for key, n in struck(read.score).items() if key in one.moved}
    assert places == one.moved, one.said
    assert read.score.setup == one.tune.score.setup, one.said
    named = {
        found[1]
        for p in read.problems
        if p.code == "staff-and-tab" and (found := re.match(r"measure (\w+),", p.message))
    }
    assert named == one.measures, one.said


@pytest.mark.parametrize("seed", SEEDS)
def test_without_the_tab_before_nothing_is_guessed(seed: int) -> None:
    one = edited(seed)
    if not one.measures:
        (read,) = rollstave.read(one.data)
        assert set(struck(read.score)) == wanted(one)
        return
    with pytest.raises(rollstave.TabError) as caught:
        rollstave.read(one.data)
    named = {
        found[1]
        for p in caught.value.problems
        if p.code == "staff-and-tab" and (found := re.match(r"measure (\w+),", p.message))
    }
    assert named == one.measures, one.said
