"""What guards ``tidy``: no field of a score may change without being seen."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec import Struct
from msgspec.structs import replace

import rollstave
from rollstave.grid.typed import Bar, LegendSign
from rollstave.score import records
from rollstave.score.compare import AS_SEEN, MAY_DIFFER, first_difference
from rollstave.score.records import (
    Change,
    ChordName,
    Event,
    Finger,
    GraceNote,
    Measure,
    Note,
    OtherVersion,
    Rhythm,
    Score,
)

TEXT = """Title: Two Oars
Composer: Larkspur Ferry school

A line of words.

   G
D|-0---2---0---2---|
B|-0---2---0---2---|
G|-2---0---(2)4---0|
D|-0---2---0---2---|
g|-0---9---0---9---|
"""


def base() -> Score:
    """A score that has a record of each kind at the beginning of its first measure."""
    (tune,) = rollstave.read(TEXT)
    measure = tune.score.measures[0]
    note = measure.events[0].notes[0]
    grace = GraceNote(string=1, fret=2, pitch=note.pitch, place=note.place)
    typed = replace(note, finger=Finger.THUMB, inferred_finger=False)
    notes = (typed, *measure.events[0].notes[1:])
    event = replace(measure.events[0], notes=notes, grace=((grace,),))
    changed = replace(measure, events=(event, *measure.events[1:]), change=Change())
    return replace(tune.score, measures=(changed, *tune.score.measures[1:]))


def with_record(score: Score, kind: type[Struct], change: Any) -> Score:
    """The score with its first record of a kind changed by a function."""
    measure = score.measures[0]
    event = measure.events[0]
    if kind is Score:
        changed: Score = change(score)
        return changed
    if kind is Note:
        event = replace(event, notes=(change(event.notes[0]), *event.notes[1:]))
    elif kind is GraceNote:
        event = replace(event, grace=((change(event.grace[0][0]),),))
    elif kind is Event:
        event = change(event)
    if kind is ChordName:
        measure = replace(measure, chords=(change(measure.chords[0]),))
    elif kind is Measure:
        measure = change(measure)
    elif kind is Change:
        measure = replace(measure, change=change(measure.change))
    else:
        measure = replace(measure, events=(event, *measure.events[1:]))
    return replace(score, measures=(measure, *score.measures[1:]))


# What a field is changed to where a word that nothing else has would not do.
OTHERS: dict[tuple[type[Struct], str], Any] = {
    (Score, "measures"): (),
    (Score, "notes"): ("Another line.",),
    (Score, "note_measures"): (1,),
    (Score, "signs"): (LegendSign(sign="*", means="muted", line="* = muted"),),
    (Measure, "left"): Bar.REPEAT_START,
    (Measure, "chords"): (),
    (Note, "finger"): Finger.MIDDLE,
}
FIELDS = [(kind, name) for kind in MAY_DIFFER for name in kind.__struct_fields__]


def test_every_record_of_the_score_is_compared() -> None:
    kinds = {
        thing
        for thing in vars(records).values()
        if isinstance(thing, type)
        and issubclass(thing, Struct)
        and thing.__module__ == records.__name__
    }
    # How a rhythm was found is left out whole, and so is another version beside the tune.
    assert kinds - set(MAY_DIFFER) == {Rhythm, OtherVersion}
    assert "rhythm" in MAY_DIFFER[Measure]
    assert "beside" in MAY_DIFFER[Score]


def test_what_may_differ_is_there_and_says_why() -> None:
    for kind, names in MAY_DIFFER.items():
        assert set(names) <= set(kind.__struct_fields__)
        assert all(names.values())
    assert all(name in kind.__struct_fields__ for kind, name in AS_SEEN)


@pytest.mark.parametrize(("kind", "name"), FIELDS, ids=lambda part: getattr(part, "__name__", part))
def test_a_change_of_any_field_is_seen_unless_it_is_named(kind: type[Struct], name: str) -> None:
    score = base()
    other = OTHERS.get((kind, name), "something else")
    changed = with_record(score, kind, lambda record: replace(record, **{name: other}))
    assert changed != score
    seen = first_difference(score, changed)
    if (kind, name) in ((Note, "inferred_finger"), (ChordName, "inferred")):
        assert seen is not None, "what was typed is not what we found"
    else:
        assert (seen is None) == (name in MAY_DIFFER[kind])


@pytest.mark.parametrize("kind", list(MAY_DIFFER), ids=lambda kind: kind.__name__)
def test_a_field_that_is_added_is_compared(kind: type[Struct]) -> None:
    """A record with one field more: nothing else has to be done for it to be seen."""
    more = type(kind)(
        "More", (kind,), {"__annotations__": {"colour": str}, "colour": ""}, frozen=True
    )

    def dyed(colour: str) -> Score:
        def dye(record: Struct) -> Struct:
            fields = {name: getattr(record, name) for name in record.__struct_fields__}
            return more(**fields, colour=colour)

        return with_record(base(), kind, dye)

    assert first_difference(dyed("red"), dyed("red")) is None
    assert first_difference(dyed("red"), dyed("blue")) is not None


def test_what_we_found_may_be_found_otherwise() -> None:
    def ours(finger: Finger | None) -> Score:
        found = replace(base().measures[0].events[0].notes[0], finger=finger, inferred_finger=True)
        return with_record(base(), Note, lambda note: found)

    assert first_difference(ours(Finger.THUMB), ours(Finger.MIDDLE)) is None
    assert first_difference(ours(Finger.THUMB), ours(None)) is None
    assert first_difference(ours(Finger.THUMB), base()) is not None


@pytest.mark.parametrize(
    ("typed", "changed", "said"),
    [
        ("Two Oars", "Three Oars", "its words"),
        ("A line of words.", "Other words.", "its words"),
        ("Title", "Capo: 2\nTitle", "its headings"),
        ("Title", "Key: D\nTitle", "its headings"),
        ("D|-0---2---0---2---|", "D|-0---2---0---5---|", "measure 1"),
    ],
)
def test_where_two_scores_differ_is_said(typed: str, changed: str, said: str) -> None:
    (one,), (other,) = (rollstave.read(text) for text in (TEXT, TEXT.replace(typed, changed)))
    assert first_difference(one.score, other.score) == said
    assert first_difference(one.score, one.score) is None
