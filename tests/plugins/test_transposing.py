"""The same tune in another key. music21 measures the interval of each note, and names chords."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from music21 import interval
from music21 import pitch as music21_pitch

import rollstave
from rollstave import TabError
from rollstave_arranging import transposed
from tests import tunes
from tests.amount import some
from tests.benchmarks.arranging.measures import fingers, frets, unplayable
from tests.benchmarks.arranging.tunes import score_of
from tests.chord_tones import tones
from tests.tunes import SAMPLES

SOME = range(some(12, 200))


def name21(pitch: rollstave.Pitch) -> str:
    return pitch.step + {0: "", 1: "#", -1: "-", 2: "##", -2: "--"}[pitch.alter] + str(pitch.octave)


def semitones(old: rollstave.Pitch, new: rollstave.Pitch) -> int:
    pair = (music21_pitch.Pitch(name21(old)), music21_pitch.Pitch(name21(new)))
    return int(interval.Interval(*pair).semitones)


@pytest.mark.parametrize("by", ["capo", "fretting", "tuning", "both"])
def test_every_note_goes_up_by_the_interval(by: str) -> None:
    old = tunes.case("ferry-landing")
    made = transposed(old, key="A", by=by)
    told = {c.place for c in made.changes if c.place is not None}
    for before, after in zip(old.measures, made.score.measures, strict=True):
        for was, now in zip(before.events, after.events, strict=True):
            there = {n.place: n for n in now.notes}
            for note in was.notes:
                if note.place not in told:
                    assert semitones(note.pitch, there[note.place].pitch) == 2
    assert str(made.score.key) == "A major"


def test_by_a_capo_frets_and_names_stay_and_the_fifth_string_follows() -> None:
    old = tunes.case("ferry-landing")
    made = transposed(old, key="A", by="capo")
    assert [frets(m) for m in made.score.measures] == [frets(m) for m in old.measures]
    assert (made.score.setup.capo, made.score.setup.short_raise) == (2, 2)
    assert made.score.chords_by_shape
    assert [c.text for m in made.score.measures for c in m.chords] == [
        c.text for m in old.measures for c in m.chords
    ]
    (back,) = rollstave.read(rollstave.write(made.score, "text")[0])
    assert back.score.setup == made.score.setup
    assert back.score.chords_by_shape


def test_chord_names_of_another_key_are_those_of_music21() -> None:
    old = tunes.case("ferry-landing")
    new = transposed(old, key="Bb", by="fretting").score
    for before, after in zip(old.measures, new.measures, strict=True):
        for was, now in zip(before.chords, after.chords, strict=True):
            assert tones(now.text) == {(tone + 3) % 12 for tone in tones(was.text)}


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem)
def test_by_nothing_changes_nothing_at_all(sample: Path) -> None:
    score = tunes.case(sample.stem)
    made = transposed(score, semitones=0)
    assert (made.score, made.says, made.changes) == (score, "", ())
    assert transposed(score, key=score.key.tonic).score is score


def test_the_cheapest_way_is_taken_and_the_others_are_shown() -> None:
    made = transposed(tunes.case("ferry-landing"), key="A")
    assert made.says == "in A major, by a capo at fret 2"
    assert re.search(r"fretted anew, cost \d", made.changes[0].message)
    assert re.search(r"by open A tuning \(aEAC#E\), cost \d", made.changes[0].message)


def test_a_mode_is_kept_and_another_one_refused() -> None:
    old = tunes.case("nettle-hill")
    assert str(transposed(old, key="A").score.key) == "A dorian"
    with pytest.raises(TabError, match="nearest comes --key A, which is A dorian"):
        transposed(old, key="A minor")


def test_what_no_capo_can_do_is_refused_with_what_comes_nearest() -> None:
    with pytest.raises(TabError, match=r"it would lie at fret -2.*nearest comes .*fretted anew"):
        transposed(tunes.case("ferry-landing"), semitones=-2, by="capo")
    with pytest.raises(TabError, match="say which key"):
        transposed(tunes.case("ferry-landing"))


@pytest.mark.parametrize("number", SOME)
def test_nothing_unplayable_and_by_a_capo_the_roll_stays(number: int) -> None:
    old = score_of(number)
    new = transposed(old, semitones=2, by="capo").score
    assert [fingers(m) for m in new.measures] == [fingers(m) for m in old.measures]
    anew = transposed(old, semitones=2).score
    assert len(unplayable(anew)) <= len(unplayable(old))


def test_by_another_tuning_and_a_capo_in_one() -> None:
    """C tuning with its capo at 2 sounds D3 A3 C#4 E4 (by arithmetic), for a tune in A."""
    old = tunes.case("ferry-landing")
    made = transposed(old, key="A", by="both")
    setup = made.score.setup
    assert setup.capo
    assert setup.tuning.written != old.setup.tuning.written
    assert f"and a capo at fret {setup.capo}" in made.says
    (told, *_) = made.changes
    for way in ("by a capo at fret 2", "fretted anew", "by open A tuning"):
        assert way in told.message.partition("other ways: ")[2]
    (back,) = rollstave.read(rollstave.write(made.score, "text")[0])
    assert back.score.setup == setup
    assert [frets(m) for m in back.score.measures] == [frets(m) for m in made.score.measures]
