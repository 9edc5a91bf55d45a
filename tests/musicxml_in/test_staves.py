"""Staff and tab that disagree after an edit, and what comes back as it was.

The edits are made by music21 10 on what rollstave writes of a sample, as an arranger's program
would: one staff is changed and the other is not.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from music21 import converter, musicxml, note, stream

import rollstave

SAMPLE = Path(__file__).parents[2] / "samples" / "ferry-landing.txt"
STAFF, TAB = 0, 1


@cache
def tune() -> rollstave.Tune:
    return rollstave.read(SAMPLE)[0]


def opened() -> stream.Score:
    return converter.parseData(rollstave.write(tune(), "musicxml")[0])


def saved(score: stream.Score) -> bytes:
    return musicxml.m21ToXml.GeneralObjectExporter(score).parse()


def first_of(score: stream.Score, staff: int, measure: int) -> note.Note:
    return next(iter(score.parts[staff].measure(measure).recurse().getElementsByClass("Note")))


def places(score: rollstave.Score, fingers: bool = False) -> set[tuple[object, ...]]:
    """All notes; music21 does not keep ``pluck``, so fingers come back only with the tab."""
    return {
        (m.index, e.onset, n.string, n.fret, n.pitch.midi, n.finger if fingers else None)
        for m in score.measures
        for e in m.events
        for n in e.notes
    }


def raised(staff: int) -> bytes:
    """The sample with the first note of measure 3 a tone higher on one staff."""
    score = opened()
    first_of(score, staff, 3).transpose(2, inPlace=True)
    return saved(score)


def test_what_was_not_edited_comes_back_as_it_was() -> None:
    (again,) = rollstave.read(saved(opened()))
    assert places(again.score) == places(tune().score)
    assert not [p for p in again.problems if p.code in ("staff-and-tab", "frets")]


@pytest.mark.parametrize("staff", [STAFF, TAB])
def test_nothing_is_guessed(staff: int) -> None:
    with pytest.raises(rollstave.TabError) as caught:
        rollstave.read(raised(staff))
    said = [p.message for p in caught.value.problems if p.code == "staff-and-tab"]
    assert len(said) == 2
    assert said[0].startswith("measure 3, beat 1: the staff has")
    assert "the tab" in said[0]


def test_the_user_may_say_which_leads() -> None:
    was = first_of(opened(), STAFF, 3).pitch.midi
    data = raised(STAFF)
    for lead, midi in (("staff", was + 2), ("tab", was)):
        (read,) = rollstave.read(data, lead=lead)
        gained = places(read.score) - places(tune().score)
        assert [found[4] for found in gained] == ([midi] if lead == "staff" else [])


@pytest.mark.parametrize("staff", [STAFF, TAB])
def test_what_was_changed_since_counts(staff: int) -> None:
    was = first_of(opened(), STAFF, 3).pitch.midi
    (read,) = rollstave.read(raised(staff), since=tune())
    (lost,) = places(tune().score) - places(read.score)
    (gained,) = places(read.score) - places(tune().score)
    assert (lost[4], gained[4]) == (was, was + 2)


def test_deleted_on_the_tab_and_added_on_the_staff() -> None:
    score = opened()
    gone = first_of(score, TAB, 3)
    gone.activeSite.replace(gone, note.Rest(quarterLength=gone.quarterLength))
    first_of(score, STAFF, 5).transpose(-1, inPlace=True)
    (read,) = rollstave.read(saved(score), since=tune())
    lost = places(tune().score) - places(read.score)
    gained = places(read.score) - places(tune().score)
    assert len(lost) == 2
    assert len(gained) == 1


def test_a_part_without_its_tab_has_its_places_again() -> None:
    """Notes that come back without string and fret, since the program knows no tab."""
    score = opened()
    staff = stream.Score([score.parts[STAFF]])
    (read,) = rollstave.read(saved(staff), since=tune())
    assert places(read.score, fingers=True) == places(tune().score, fingers=True)


def test_transposed_it_keeps_its_fingering() -> None:
    (read,) = rollstave.read(saved(opened().transpose(2)))
    assert {p[:4] for p in places(read.score)} == {p[:4] for p in places(tune().score)}
    assert read.score.setup.capo == 2


def test_only_what_changed_is_searched() -> None:
    """One note without a place does not move the others."""
    score = opened()
    for staff in (STAFF, TAB):
        first_of(score, staff, 5).pitch.midi += 1
    (read,) = rollstave.read(saved(score), lead="staff")
    assert len(places(read.score) - places(tune().score)) == 1
