"""A tune made easier, and the melody that is found for it. Arrangers of the rhythm benchmark know
which notes of theirs are the melody; none of those asked here has been fitted on."""

from __future__ import annotations

import pytest

import rollstave
from rollstave import Score, TabError
from rollstave_arranging import made_easier
from tests import tunes
from tests.amount import crossed, some
from tests.benchmarks.arranging.measures import unplayable
from tests.benchmarks.arranging.melodies import found_in
from tests.benchmarks.arranging.tunes import score_of
from tests.tunes import SAMPLES

SOME = range(0, some(60, 400), 5)
WAYS = ("ours", "kestrel", "linnet")  # marten's rolls: see the benchmark
ROLLS = ("rolled", "alder", "bramble", "clover", "hazel", "juniper")


def notes(score: Score) -> list[rollstave.Note]:
    return [n for m in score.measures for e in m.events for n in e.notes]


@pytest.mark.parametrize("arranger", WAYS)
def test_the_melody_is_found(arranger: str) -> None:
    found, _, _ = found_in(SOME, arranger)
    assert found.there > 200
    assert found.right >= 0.95 * found.there
    assert found.others < 0.05 * (found.right + found.others)


@pytest.mark.parametrize("arranger", ROLLS)
def test_in_a_roll_the_melody_is_found_where_it_is_not_called_doubtful(arranger: str) -> None:
    """Of all measures less: what is left of a tune in rolls is a guess where that is said."""
    found, sure, _ = found_in(SOME, arranger)
    assert 0.2 * found.measures < sure.measures < found.measures
    assert sure.right >= 0.95 * sure.there
    assert sure.others < 0.05 * (sure.right + sure.others)


def test_where_the_melody_is_a_guess_it_is_said() -> None:
    for level in (3, 4):
        told = [p.message for p in made_easier(score_of(0), level).changes]  # in rolls
        assert any("cannot be told surely from the filling" in message for message in told)


def test_each_step_leaves_fewer_notes() -> None:
    old = tunes.case("ferry-landing")
    counts = [len(notes(made_easier(old, level).score)) for level in (1, 2, 3, 4)]
    assert len(notes(old)) > counts[0] >= counts[1] > counts[2] > counts[3] > 10


def test_first_no_slurs_and_graces() -> None:
    new = made_easier(tunes.case("ferry-landing"), 1).score
    assert all(n.link is None and n.bend is None for n in notes(new))
    assert not any(e.grace for m in new.measures for e in m.events)
    # A quick slur is one stroke on the time of its first note: 2s4 is a quarter on the 4 that it
    # goes to, 2p0 on the 2 that is struck (common practice, no source).
    for index, fret in ((2, 4), (4, 2)):
        (first, *_) = new.measures[index].events
        assert [(n.string, n.fret) for n in first.notes] == [(3, fret)]
        assert first.duration == 1


def test_then_first_position() -> None:
    old = tunes.case("slate-roof-rain")
    assert max(n.fret or 0 for n in notes(old)) >= 9
    new = made_easier(old, 2).score
    high = [n for n in notes(new) if (n.fret or 0) > 5 and not n.harmonic and not n.muted]
    assert len(high) <= 0.03 * len(notes(new))


def test_then_melody_and_one_drone_or_pinch() -> None:
    new = made_easier(tunes.case("ferry-landing"), 3).score
    for measure in new.measures:
        assert len(measure.events) <= 8
        assert sum(e.duration for e in measure.events) == measure.length


def test_then_the_melody_alone_on_the_beats() -> None:
    new = made_easier(tunes.case("ferry-landing"), 4).score
    for measure in new.measures:
        assert all(len(e.notes) <= 1 for e in measure.events)
        assert all(e.onset % new.meter.beat == 0 for e in measure.events if measure.number)
        assert sum(e.duration for e in measure.events) == measure.length


def test_of_lantern_stairs_the_thumb_is_left() -> None:
    """Its first strain says itself: let the thumb carry the tune. Plucks aside."""
    old = tunes.case("lantern-stairs")
    left = made_easier(old, 4).score
    there = kept = 0
    for measure, easier in zip(old.measures[:16], left.measures[:16], strict=True):
        sounding = [{n.pitch.midi % 12 for n in e.notes} for e in easier.events]
        onsets = [e.onset for e in easier.events]
        for event in measure.events:
            thumb = [n.pitch.midi % 12 for n in event.notes if n.string in (3, 4)]
            if not thumb or len(event.notes) > 1:
                continue
            there += 1
            kept += event.onset in onsets and thumb[0] in sounding[onsets.index(event.onset)]
    assert there > 25
    assert kept >= 0.95 * there


def test_a_note_before_an_empty_beat_goes_to_it() -> None:
    """An eighth before the beat for the beat is an anticipation (a term of the trade)."""
    text = """Time: 4/4

e|-----------------|-----------------|
B|-----------------|-1-------3-------|
G|-------0-----2---|-----------------|
D|-0---2-----------|-----------------|
A|-----------------|-----------------|
E|-----------------|-----------------|
"""
    (tune,) = rollstave.read(text)
    first = made_easier(tune.score, 4).score.measures[0]
    assert [(e.onset, e.notes[0].fret) for e in first.events] == [(0, 0), (1, 2), (2, 0), (3, 2)]


@pytest.mark.parametrize(("sample", "level"), crossed([p.stem for p in SAMPLES], [1, 2, 3, 4]))
def test_the_text_is_read_back_with_the_same_times(sample: str, level: int) -> None:
    new = made_easier(tunes.case(sample), level).score
    (back,) = rollstave.read(rollstave.write(new, "text")[0])

    def times(score: Score) -> list[list[object]]:
        return [
            [
                (e.onset, e.duration, [(n.string, n.fret) for n in e.notes])
                for e in m.events
                if e.notes
            ]
            for m in score.measures
        ]

    assert times(back.score) == times(new)


def test_no_such_step() -> None:
    with pytest.raises(TabError, match="easier takes 1 to 4; nearest comes --easier 4"):
        made_easier(tunes.case("ferry-landing"), 5)


@pytest.mark.parametrize("number", range(some(16, 200)))
def test_nothing_unplayable_is_written(number: int) -> None:
    old = score_of(number)
    for level in (2, 4):
        new = made_easier(old, level).score
        assert len(unplayable(new)) <= len(unplayable(old))


def test_thinned_to_the_melody_a_roll_is_counted_in_quarters() -> None:
    """A beginner counts one, two, three, four (common practice, no source)."""
    old = tunes.case("lantern-stairs")
    first = made_easier(old, 3).score.measures[0]
    struck = [e.onset for e in first.events if e.notes]
    assert set(struck) <= {0, 1, 2, 3}
    assert len(struck) > 1
