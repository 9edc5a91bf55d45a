"""Whether two scores are the same music: every field counts, but for those that are listed.

The comparison guards what ``tidy`` writes over a user's file, so a field that it does not see is
one that can be lost. The list of what may differ is that of ``essence``'s docstring: where it was
typed, how its rhythm was found, what was inferred.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

import msgspec
import pytest
from msgspec.structs import replace

from rollstave.deciding.chords import chord_name
from rollstave.grid.typed import Bar, Link, SlideEdge
from rollstave.pitch import Key, Pitch
from rollstave.problems import Place
from rollstave.rhythm.meter import Meter
from rollstave.score.compare import first_difference
from rollstave.score.records import Event, Finger, GraceNote, Measure, Note, Score
from tests import tunes
from tests.writing import everything

# Another value for each field, and whether the music is another then.
NOTE: dict[str, tuple[Any, bool]] = {
    "string": (4, True),
    "fret": (7, True),
    "pitch": (Pitch("C", 0, 4), True),
    "place": (Place(99, 9), False),
    "link": (Link.SLIDE, True),
    "finger": (Finger.MIDDLE, True),
    # Alone it changes nothing for a note without a finger.
    "inferred_finger": (True, False),
    "muted": (True, True),
    "ghost": (True, True),
    "harmonic": (True, True),
    "bend": (2, True),
    "vibrato": (True, True),
    "slide_from": (SlideEdge.UP, True),
    "slide_to": (SlideEdge.DOWN, True),
    "let_ring": (True, True),
    "left_finger": (1, True),
    "half": (True, True),
}
GRACE: dict[str, tuple[Any, bool]] = {
    "string": (4, True),
    "fret": (7, True),
    "pitch": (Pitch("C", 0, 4), True),
    "place": (Place(99, 9), False),
    "leads": (Link.SLIDE, True),
    "half": (True, True),
}
EVENT: dict[str, tuple[Any, bool]] = {
    "onset": (Fraction(1, 8), True),
    "duration": (Fraction(7, 8), True),
    "notes": ((), True),
    "brush": (True, True),
    "lyric": ("oh", True),
    "grace": ((), True),
}
MEASURE: dict[str, tuple[Any, bool]] = {
    "index": (99, False),
    "number": (99, True),
    "length": (Fraction(5), True),
    "events": ((), True),
    "rhythm": (replace(tunes.SURE, sure=False), False),
    "chords": ((chord_name("C", Fraction(0)),), True),
    "left": (Bar.REPEAT_START, True),
    "right": (Bar.DOUBLE, True),
    "ending": ("1", True),
    "ending_stop": (True, True),
    "in_ending": ("1", True),
    "section": ("Coda", True),
    "implicit": (True, False),
    "system": (9, False),
    "first_line": (9, False),
    "last_line": (9, False),
    "times": (3, True),
    "jump": ("D.C.", True),
    "fine": (True, True),
    "segno": (True, True),
    "to_coda": (True, True),
    "coda": (True, True),
}
SCORE: dict[str, tuple[Any, bool]] = {
    "title": ("Another", True),
    "setup": (tunes.setup(capo=2), True),
    "key": (Key("D"), True),
    "meter": (Meter(2, 2), True),
    "tempo": (Fraction(50), True),
    "measures": ((), True),
    "composer": ("Nobody", True),
    "source": ("nowhere", True),
    "notes": (("Other words.",), True),
    "style": ("clawhammer", True),
    "note_measures": ((3,), False),
}
AT = 9  # the measure of the grace notes


@pytest.mark.parametrize(
    ("record", "table"),
    [(Note, NOTE), (GraceNote, GRACE), (Event, EVENT), (Measure, MEASURE), (Score, SCORE)],
)
def test_every_field_is_in_a_table(
    record: type[msgspec.Struct], table: dict[str, tuple[Any, bool]]
) -> None:
    """A new field must say here whether it is music."""
    assert tuple(table) == record.__struct_fields__


def _with_measure(measure: Measure) -> Score:
    score = everything.score()
    return replace(score, measures=(*score.measures[:AT], measure, *score.measures[AT + 1 :]))


def _with_event(event: Event) -> Score:
    measure = everything.score().measures[AT]
    return _with_measure(replace(measure, events=(event, *measure.events[1:])))


def _judge(changed: Score, is_music: bool, said: str) -> None:
    for one, other in ((everything.score(), changed), (changed, everything.score())):
        assert first_difference(one, other) == (said if is_music else None)


@pytest.mark.parametrize("field", NOTE)
def test_fields_of_notes(field: str) -> None:
    value, is_music = NOTE[field]
    event = everything.score().measures[AT].events[0]
    note = replace(event.notes[0], **{field: value})
    _judge(_with_event(replace(event, notes=(note,))), is_music, f"measure {AT + 1}")


@pytest.mark.parametrize("field", GRACE)
def test_fields_of_grace_notes(field: str) -> None:
    value, is_music = GRACE[field]
    event = everything.score().measures[AT].events[0]
    small = replace(event.grace[0][0], **{field: value})
    _judge(_with_event(replace(event, grace=((small,),))), is_music, f"measure {AT + 1}")


@pytest.mark.parametrize("field", EVENT)
def test_fields_of_events(field: str) -> None:
    value, is_music = EVENT[field]
    event = everything.score().measures[AT].events[0]
    _judge(_with_event(replace(event, **{field: value})), is_music, f"measure {AT + 1}")


@pytest.mark.parametrize("field", MEASURE)
def test_fields_of_measures(field: str) -> None:
    value, is_music = MEASURE[field]
    measure = everything.score().measures[AT]
    _judge(_with_measure(replace(measure, **{field: value})), is_music, f"measure {AT + 1}")


@pytest.mark.parametrize("field", SCORE)
def test_fields_of_scores(field: str) -> None:
    value, is_music = SCORE[field]
    words = ("title", "composer", "source", "style", "notes")
    said = "its words" if field in words else "its headings"
    said = "measure 1" if field == "measures" else said
    _judge(replace(everything.score(), **{field: value}), is_music, said)


def test_an_inferred_finger_and_an_inferred_chord_are_not_music() -> None:
    event = everything.score().measures[AT].events[0]
    note = replace(event.notes[0], finger=Finger.THUMB, inferred_finger=True)
    _judge(_with_event(replace(event, notes=(note,))), False, "")
    measure = everything.score().measures[AT]
    assert measure.chords[0].inferred
    _judge(_with_measure(replace(measure, chords=())), False, "")


def test_shapes_are_not_music_but_names_are() -> None:
    name = chord_name("C", Fraction(0))
    one = _with_measure(replace(everything.score().measures[AT], chords=(name,)))
    for changed, same in (
        (replace(name, frets=(2, 1, 0, 2, 0)), True),
        (replace(name, onset=Fraction(1)), False),
        (replace(name, text="Cmaj7"), False),
        (replace(name, bass=("G", 0)), False),
    ):
        other = _with_measure(replace(everything.score().measures[AT], chords=(changed,)))
        assert (first_difference(one, other) is None) == same


def test_the_order_of_words_is_none() -> None:
    score = replace(everything.score(), notes=("One.", "Two."))
    assert first_difference(score, replace(score, notes=("Two.", "One."))) is None


def test_a_score_that_goes_on_is_another() -> None:
    score = everything.score()
    shorter = replace(score, measures=score.measures[:-1])
    assert first_difference(score, shorter) == f"measure {len(score.measures)}"
    assert first_difference(shorter, score) == f"measure {len(score.measures)}"
