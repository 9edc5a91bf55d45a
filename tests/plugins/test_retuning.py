"""The same tune in another tuning. music21 says what is struck, from tables of its own."""

from __future__ import annotations

import pytest
from msgspec.structs import replace
from music21 import pitch as music21_pitch

import rollstave
from rollstave import Measure, Score, TabError
from rollstave_arranging import retuned
from tests import tunes
from tests.amount import some
from tests.benchmarks.arranging.baseline import lowest_frets
from tests.benchmarks.arranging.measures import broken, frets, travel, unplayable
from tests.benchmarks.arranging.tunes import score_of

# Open strings 1 to 5, octaves by arithmetic (common practice, no source).
OPEN = {
    "gDGBD": ("D4", "B3", "G3", "D3", "G4"),
    "gCGBD": ("D4", "B3", "G3", "C3", "G4"),
    "gCGCD": ("D4", "C4", "G3", "C3", "G4"),
    "gDGCD": ("D4", "C4", "G3", "D3", "G4"),
    "aEAC#E": ("E4", "C#4", "A3", "E3", "A4"),
}
SOME = range(some(24, 200))


def sounding(tuning: str, string: int, fret: int) -> int:
    """What music21 makes of an open string moved up by a fret's semitones; frets of string 5 are
    counted along the neck, whose fifth fret it begins beside (common practice, no source)."""
    up = fret - 5 if string == 5 and fret else fret
    return int(music21_pitch.Pitch(OPEN[tuning][string - 1]).transpose(up).midi)


def heard(score: Score) -> list[list[int]]:
    return [sounds for m in score.measures for sounds in heard_in(m)]


def heard_in(measure: Measure) -> list[list[int]]:
    return [sorted(n.pitch.midi for n in event.notes) for event in measure.events]


def test_from_open_g_to_c_only_string_4_is_fingered_anew() -> None:
    old = tunes.case("ferry-landing")
    new = retuned(old, "gCGBD").score
    for before, after in zip(old.measures, new.measures, strict=True):
        for was, now in zip(before.events, after.events, strict=True):
            for one, other in zip(was.notes, now.notes, strict=True):
                assert one.string == other.string
                # C3 is two semitones below D3: two frets more on that string, and no other.
                assert other.fret == (one.fret or 0) + (2 if one.string == 4 else 0)


@pytest.mark.parametrize("tuning", OPEN)
def test_music21_hears_the_same_pitches(tuning: str) -> None:
    old = tunes.case("ferry-landing")
    made = retuned(old, tuning)
    moved = {c.place for c in made.changes if c.place is not None}
    # The drone goes with G: where the fifth string would be an A, it is let down to G.
    drone = sounding("gDGBD", 5, 0)
    for before, after in zip(old.measures, made.score.measures, strict=True):
        for was, now in zip(before.events, after.events, strict=True):
            there = {n.place: n for n in now.notes}
            for note in was.notes:
                if note.place in moved:
                    continue
                new = there[note.place]
                assert new.fret is not None
                if note.string == 5 and note.fret == 0:
                    assert (new.string, new.fret, new.pitch.midi) == (5, 0, drone)
                    continue
                assert new.pitch.midi == sounding(tuning, new.string, new.fret) == note.pitch.midi


def test_what_cannot_be_played_is_said_note_by_note() -> None:
    # D3 is below every string of open A but its octave is not.
    made = retuned(tunes.case("ferry-landing"), "aEAC#E")
    low = [n for m in tunes.case("ferry-landing").measures for e in m.events for n in e.notes]
    places = {n.place for n in low if str(n.pitch) == "D3"}
    told = {c.place for c in made.changes if "octave" in c.message}
    assert places <= told
    assert all(c.severity is not rollstave.Severity.ERROR for c in made.changes)


def test_a_string_that_is_tuned_up_asks_for_care() -> None:
    made = retuned(tunes.case("ferry-landing"), "gDGCD")
    warned = [c.message for c in made.changes if c.severity is rollstave.Severity.WARNING]
    assert any("string 2 is tuned up 1 semitone to C4" in words for words in warned)


def test_its_own_tuning_changes_nothing() -> None:
    old = tunes.case("lantern-stairs")
    made = retuned(old, "gCGBD")
    assert (made.score, made.says, made.changes) == (old, "", ())


def test_no_tuning_is_refused_with_what_would_be_one() -> None:
    with pytest.raises(TabError, match="'gXYZ' is no tuning of a five-string banjo: write 5 let"):
        retuned(tunes.case("ferry-landing"), "gXYZ")


def test_the_text_is_read_back_as_the_same_music() -> None:
    made = retuned(tunes.case("ferry-landing"), "gCGBD")
    (back,) = rollstave.read(rollstave.write(made.score, "text")[0])
    assert heard(back.score) == heard(made.score)
    assert [frets(m) for m in back.score.measures] == [frets(m) for m in made.score.measures]


@pytest.mark.parametrize("number", SOME)
def test_nothing_unplayable_is_written(number: int) -> None:
    old = score_of(number)
    for tuning in ("gCGBD", "gDGCD"):
        new = retuned(old, tuning).score
        assert len(unplayable(new)) <= len(unplayable(old))


def test_there_and_back_by_a_string_tuned_down() -> None:
    """Where strings are only tuned down on the way there, all pitches stay on their strings."""
    same = total = 0
    for number in SOME:
        old = score_of(number)
        if old.setup.tuning.written != "gDGBD":
            continue
        back = retuned(retuned(old, "gCGBD").score, "gDGBD").score
        total += len(old.measures)
        same += sum(frets(a) == frets(b) for a, b in zip(old.measures, back.measures, strict=True))
    assert total
    assert same >= 0.95 * total


def test_what_the_words_say_was_moved_is_brought_back() -> None:
    old = score_of(10)  # in open C, whose C3 is below every string of open G
    there = retuned(old, "gDGBD").score
    back = retuned(there, old.setup.tuning.written).score
    low = [m.number for m in old.measures if any(48 in sounds for sounds in heard_in(m))]
    assert low
    assert not any(48 in sounds for m in there.measures for sounds in heard_in(m))
    assert [m.number for m in back.measures if any(48 in s for s in heard_in(m))] == low


def test_a_strain_that_comes_again_is_fingered_as_it_was() -> None:
    new = retuned(tunes.case("lantern-stairs"), "gDGBD").score
    first = [frets(new.measures[n]) for n in range(4)]  # measures 9 to 12 repeat 1 to 4
    assert [frets(new.measures[n]) for n in range(8, 12)] == first


def test_better_than_the_lowest_fret_for_each_note() -> None:
    ours = theirs = rolls = their_rolls = 0
    for number in SOME:
        old = score_of(number)
        new = retuned(old, "gCGCD").score
        base = lowest_frets(old, replace(new.setup))
        ours, theirs = ours + travel(new), theirs + travel(base)
        rolls, their_rolls = rolls + broken(old, new), their_rolls + broken(old, base)
    assert ours <= theirs / 2
    assert rolls <= their_rolls / 2
