"""A few measures of a score as a score of its own; the score is that of ``everything.py``."""

from __future__ import annotations

from fractions import Fraction

import pytest
from msgspec.structs import replace

from rollstave.rhythm.meter import Meter
from rollstave.score.excerpt import excerpt
from rollstave.score.records import Score
from tests import tunes
from tests.writing import everything


def test_the_measures_that_are_named_and_no_other() -> None:
    found = excerpt(everything.score(), 3, 5)
    assert [m.number for m in found.measures] == [3, 4, 5]
    assert [m.index for m in found.measures] == [0, 1, 2]
    assert [m.events for m in found.measures] == [
        m.events for m in everything.score().measures[3:6]
    ]
    assert [m.number for m in excerpt(everything.score(), 14).measures] == [14, 15]
    assert [m.number for m in excerpt(everything.score(), 0, 1).measures] == [0, 1]
    assert [m.number for m in excerpt(everything.score(), 15, 15).measures] == [15]


@pytest.mark.parametrize(
    ("first", "last", "said"),
    [
        (16, None, "no measures 16 to 15: this tune has measures 0 to 15"),
        (3, 16, "no measures 3 to 16: this tune has measures 0 to 15"),
        (16, 16, "no measure 16: this tune has measures 0 to 15"),
        (5, 4, "no measures 5 to 4"),
    ],
)
def test_measures_that_are_not_there(first: int, last: int | None, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        excerpt(everything.score(), first, last)


def test_a_tune_without_a_pickup_has_no_measure_0() -> None:
    score = tunes.score([everything.ROLL] * 2)
    with pytest.raises(ValueError, match="no measures 0 to 2: this tune has measures 1 to 2"):
        excerpt(score, 0)


def _chords(first: int, last: int) -> list[tuple[str, Fraction]]:
    return [
        (c.text, c.onset)
        for m in excerpt(everything.score(), first, last).measures
        for c in m.chords
    ]


def test_a_chord_that_began_before_still_holds() -> None:
    # G in measure 1, Am7 in 3, D7/F# in 9.
    assert _chords(2, 2) == [("G", Fraction(0))]
    assert _chords(4, 9) == [("Am7", Fraction(0)), ("D7/F#", Fraction(0))]
    # One that begins with the excerpt is there once; before the first there is none.
    assert _chords(3, 3) == [("Am7", Fraction(0))]
    assert _chords(0, 0) == []


def test_a_later_chord_of_the_first_measure_stays_after_it() -> None:
    score = everything.score()
    (chord,) = score.measures[3].chords
    measures = list(score.measures)
    measures[4] = replace(measures[4], chords=(replace(chord, onset=Fraction(2)),))
    found = excerpt(replace(score, measures=tuple(measures)), 4, 4)
    assert [c.onset for c in found.measures[0].chords] == [0, 2]


def _endings(first: int, last: int) -> list[tuple[str | None, str | None, bool]]:
    score = everything.score()
    measures = list(score.measures)
    # The first ending is two measures long.
    measures[4] = replace(measures[4], ending="1", in_ending="1")
    measures[5] = replace(measures[5], ending=None)
    found = excerpt(replace(score, measures=tuple(measures)), first, last)
    return [(m.ending, m.in_ending, m.ending_stop) for m in found.measures]


def test_an_ending_that_is_cut_keeps_its_number_and_is_closed() -> None:
    assert _endings(5, 5) == [("1", "1", True)]
    assert _endings(4, 4) == [("1", "1", True)]
    assert _endings(3, 5) == [(None, None, False), ("1", "1", False), (None, "1", True)]
    assert _endings(3, 3) == [(None, None, False)]


def _words(first: int, last: int | None) -> tuple[tuple[str, ...], tuple[int, ...]]:
    score = replace(
        everything.score(), notes=("Before.", "Third.", "Ninth."), note_measures=(0, 3, 9)
    )
    found = excerpt(score, first, last)
    return found.notes, found.note_measures


def test_words_go_with_their_measures() -> None:
    assert _words(0, None) == (("Before.", "Third.", "Ninth."), (0, 3, 9))
    assert _words(3, 9) == (("Third.", "Ninth."), (0, 6))
    assert _words(2, 3) == (("Third.",), (1,))
    assert _words(4, 8) == ((), ())
    # Words without a place belong to the beginning.
    assert excerpt(replace(everything.score(), note_measures=()), 1, 2).notes == ()
    assert excerpt(replace(everything.score(), note_measures=()), 0, 2).notes == (
        "Ring them slowly.",
    )


@pytest.mark.parametrize(
    ("meter", "tempo"),
    # A hundred beats a minute where no tempo is given: of dotted quarters, of halves, of eighths.
    [(Meter(4, 4), 100), (Meter(6, 8), 150), (Meter(2, 2), 200), (Meter(3, 8), 50)],
)
def test_the_tempo_that_is_played_where_none_is_given(meter: Meter, tempo: int) -> None:
    score: Score = replace(everything.score(), meter=meter, tempo=None)
    assert score.sounding_tempo == tempo
    assert replace(score, tempo=Fraction(70)).sounding_tempo == 70
