"""The same roll up the neck. music21 says which notes a chord has."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest
from msgspec.structs import replace

import rollstave
from rollstave import Score, TabError
from rollstave_arranging import moved_up
from rollstave_arranging.held import Shape
from rollstave_arranging.spans import spans_of
from rollstave_arranging.walking import walks
from tests import tunes
from tests.amount import some
from tests.benchmarks.arranging.measures import fingers, unplayable
from tests.benchmarks.arranging.tunes import score_of
from tests.chord_tones import tones

SOME = range(some(24, 200))
# One chord a measure in the bar, the shape of the open C, and the F shape (common practice, no
# source); strings 1 to 3 in gCGBD.
LANTERN = """\
Title: Up the Stairs
Tuning: gCGBD
Key: C
Time: 2/2

   C                 F                 G                 C
D|---------2-------|---------3-------|---------0-------|---------2-------|
B|---1---1---1---1-|---1---1---1---1-|---0---0---0---0-|---1---1---1---1-|
G|-----------------|-2---------------|-0-----------0---|-----------------|
C|-0-----------0---|-------------5---|-----------------|-0-----------0---|
g|-----0-----------|-----0-----------|-----0-----------|-----0-----------|
"""


def read(text: str) -> Score:
    (tune,) = rollstave.read(text)
    return tune.score


def places(score: Score) -> list[int]:
    """The lowest fret that is stopped in each measure; 0 where none is."""
    return [
        min((n.fret for e in m.events for n in e.notes if n.fret), default=0)
        for m in score.measures
    ]


def test_each_chord_takes_a_shape_that_teachers_hold() -> None:
    made = moved_up(read(LANTERN), "5-9")
    held = {
        c.text: tuple(f for f in (c.frets or ())[:3]) for m in made.score.measures for c in m.chords
    }
    # C by the bar at 5 and G by the shape of the open C at 7; the third string may carry the tune.
    assert held["C"][:2] == (5, 5)
    assert held["G"] == (9, 8, 7)
    assert made.says == "up the neck, frets 5 to 9"
    assert moved_up(read(LANTERN), "5-9") == made  # the same every time


def test_the_roll_does_not_change_stroke_by_stroke() -> None:
    old = read(LANTERN)
    new = moved_up(old, "5-9").score
    for before, after in zip(old.measures, new.measures, strict=True):
        assert fingers(before) == fingers(after)
        for was, now in zip(before.events, after.events, strict=True):
            assert was.onset == now.onset
            assert [n.string for n in was.notes if n.string in (1, 2, 5)] == [
                n.string for n in now.notes if n.string in (1, 2, 5)
            ]


@pytest.mark.parametrize("position", ["5-9", "7-12", "next"])
@pytest.mark.parametrize("name", ["lantern-stairs", "ferry-landing", "slate-roof-rain"])
def test_music21_finds_each_note_of_a_shape_in_its_chord(name: str, position: str) -> None:
    old = tunes.case(name)
    made = moved_up(old, position)
    told = made.changes[0].message.removeprefix("shapes, frets from string 1 on: ")
    shift = old.setup.capo if old.chords_by_shape else 0
    for part in told.split("; "):
        chord, _, shapes = part.partition(" ")
        for shape in re.findall(r"at fret \d+ \(([\d-]+)\)", shapes):
            for string, fret in enumerate(shape.split("-"), start=1):
                sounds = old.setup.midi(string, int(fret)) - shift
                assert sounds % 12 in tones(chord), (chord, shape)


def test_the_region_is_kept() -> None:
    new = moved_up(read(LANTERN), "7-12").score
    for place in places(new):
        assert place >= 6  # the melody may lie a fret below the shape


def test_a_pass_that_begins_down_climbs_and_comes_back() -> None:
    old = tunes.case("lantern-stairs")
    found = places(moved_up(old, "climb").score)
    third = len(found) // 3
    assert max(found[:2]) <= 4
    assert max(found[third : 2 * third]) >= 9
    assert max(found[-2:]) <= 6


def test_seeds_find_other_ways_and_each_the_same_one_again() -> None:
    old = tunes.case("lantern-stairs")
    ways = [moved_up(old, "3-14", seed=seed).score for seed in range(4)]
    assert len({tuple(places(way)) for way in ways}) >= 2
    assert moved_up(old, "3-14", seed=2).score == ways[2]


WALK = """\
Tuning: gCGBD
Key: C
Time: 4/4

   C                 G
D|-------5-------5-|-------12------12|
B|---5-------5-----|---12------12----|
G|-5-------5---5---|-12------12------|
C|-----------------|-----------------|
g|-----0-----------|-----0-----------|
"""


@pytest.mark.parametrize("chromatic", [False, True])
def test_the_bass_string_walks_into_the_next_place(chromatic: bool) -> None:
    """Scale steps, or fret by fret, up into the thumb's next note (common practice, no source)."""
    score = read(WALK)
    spans = spans_of(score)
    shapes = [Shape((fret, fret, fret, None, None), 0, frozenset()) for fret in (5, 12)]
    changed = {m.at: m.event for span in spans for m in span.moments}
    found = walks(score, spans, shapes, frozenset(), changed, chromatic=chromatic)
    walked = [n for _, event in sorted(found.items()) for n in event.notes]
    # The thumb goes on with G4 (67): E and F of C major before it, or F and F sharp.
    steps = [score.setup.midi(n.string, n.fret or 0) for n in walked]
    assert steps == ([65, 66] if chromatic else [64, 65])
    assert {n.string for n in walked} <= {3, 4}
    assert all(3 <= (n.fret or 0) <= 13 or n.fret == 0 or n.string == 4 for n in walked)


def test_a_slur_stays_a_slur_with_its_interval() -> None:
    old = tunes.case("ferry-landing")
    new = moved_up(old, "5-9").score
    kept = [n for m in new.measures for e in m.events for n in e.notes if n.link is not None]
    were = [n for m in old.measures for e in m.events for n in e.notes if n.link is not None]
    assert [n.link for n in kept] == [n.link for n in were]
    for measure in new.measures:
        for before, after in pairwise(measure.events):
            for note in after.notes:
                if note.link is not None:
                    (source,) = [n for n in before.notes if n.string == note.string]
                    assert source.fret is not None
                    assert note.fret is not None
                    assert 1 <= abs(note.fret - source.fret) <= 4


@pytest.mark.parametrize(
    ("position", "words"),
    [
        ("high", "is no place on the neck: write two frets, such as 5-9"),
        ("20-24", "nearest comes --position 12-17"),
        ("5-6", "nearest comes --position 5-9"),
    ],
)
def test_no_place_is_refused_with_what_comes_nearest(position: str, words: str) -> None:
    with pytest.raises(TabError, match=words):
        moved_up(read(LANTERN), position)


def test_without_chords_it_says_what_is_missing() -> None:
    bare = "\n".join(["D|-1---4---6---3---|", *(f"{s}|{'-' * 17}|" for s in "BGDg")])
    with pytest.raises(TabError, match="there are no chords to take up the neck"):
        moved_up(read("Time: 4/4\n\n" + bare + "\n"), "5-9")


@pytest.mark.parametrize("number", SOME)
def test_nothing_unplayable_is_written_and_the_fingers_stay(number: int) -> None:
    old = score_of(number)
    try:
        new = moved_up(old, "5-9").score
    except TabError:
        if any(m.chords for m in old.measures):
            raise
        pytest.skip("no chord is named, and much of it is none")
    assert len(unplayable(new)) <= len(unplayable(old))
    same = sum(fingers(a) == fingers(b) for a, b in zip(old.measures, new.measures, strict=True))
    # Of all tunes it is 98% and more (`--part neck` of the benchmark); of a short one a measure
    # that comes twice may be one of eight.
    assert same >= 0.85 * len(old.measures)


def test_a_tune_without_names_goes_up_by_the_triads_of_its_measures() -> None:
    """C is C, E and G, F is F, A and C (common practice): under no name, as under the names."""
    named = read(LANTERN)
    bare = replace(named, measures=tuple(replace(m, chords=()) for m in named.measures))
    made = moved_up(bare, "5-9")
    assert any("no chords are named: those of" in told.message for told in made.changes)
    assert [fingers(m) for m in made.score.measures] == [fingers(m) for m in bare.measures]
    assert any(a != b for a, b in zip(bare.measures, made.score.measures, strict=True))
