"""Segno, coda and every jump come back from text and from MusicXML as they were.

The check is a round trip. That MusicXML says them so that others understand: music21 plays the
repeats out, for those jumps that it knows; the order is worked by hand from common practice.
"""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

import rollstave
from rollstave.deciding.playback import play_order
from rollstave.grid.typed import Bar
from rollstave.score.compare import essence, first_difference
from rollstave.score.records import Score
from tests.amount import some

HEAD = "Title: Larkspur Lane\nTuning: open G\nTime: 4/4\nKey: G\n\n"
JUMPS = ("D.C.", "D.S.", "D.C. al Fine", "D.S. al Fine", "D.C. al Coda", "D.S. al Coda")


def plain(measures: int) -> Score:
    """A tune whose measures are told apart by the fret on string 1."""
    rows = [f"{label}|" for label in "DBGDg"]
    for number in range(measures):
        rows[0] += f"-0---{number}---0---{number}---|"
        rows[1:4] = [row + "-----------------|" for row in rows[1:4]]
        rows[4] += "---0---0---0-----|"
    (tune,) = rollstave.read(HEAD + "\n".join(rows) + "\n")
    return tune.score


def marked(score: Score, **at: int | tuple[int, str]) -> Score:
    """The score with marks: ``segno=1``, ``jump=(5, "D.S.")``."""
    measures = list(score.measures)
    for field, where in at.items():
        index, value = where if isinstance(where, tuple) else (where, True)
        changes = {field: value}
        measures[index] = replace(measures[index], **changes)  # type: ignore[arg-type]
    return replace(score, measures=tuple(measures))


def back(score: Score, form: str) -> Score:
    (tune,) = rollstave.read(rollstave.write(score, form)[0])
    return tune.score


MARKED = {
    "D.C.": {"jump": (5, "D.C.")},
    "D.S.": {"segno": 2, "jump": (5, "D.S.")},
    "D.C. al Fine": {"fine": 3, "jump": (7, "D.C. al Fine")},
    "D.S. al Fine": {"segno": 1, "fine": 3, "jump": (7, "D.S. al Fine")},
    "D.C. al Coda": {"to_coda": 2, "jump": (5, "D.C. al Coda"), "coda": 6},
    "D.S. al Coda": {"segno": 1, "to_coda": 3, "jump": (5, "D.S. al Coda"), "coda": 6},
    "segno at the beginning": {"segno": 0, "jump": (7, "D.S.")},
    "coda is the last measure": {"to_coda": 0, "jump": (6, "D.C. al Coda"), "coda": 7},
    "segno and leaving in one measure": {
        "segno": 3,
        "to_coda": 3,
        "jump": (5, "D.S. al Coda"),
        "coda": 6,
    },
    "Fine and the jump in one measure": {"fine": 7, "jump": (7, "D.C. al Fine")},
}


@pytest.mark.parametrize("form", ["text", "musicxml", "mxl"])
@pytest.mark.parametrize("name", MARKED)
def test_marks_come_back(name: str, form: str) -> None:
    score = marked(plain(8), **MARKED[name])
    assert first_difference(score, back(score, form)) is None


@pytest.mark.parametrize("form", ["text", "musicxml"])
@pytest.mark.parametrize("section", ["Coda", "B part", "Ending"])
def test_a_coda_with_a_name_of_its_own(section: str, form: str) -> None:
    score = marked(plain(8), **MARKED["D.S. al Coda"])
    measures = list(score.measures)
    measures[6] = replace(measures[6], section=section)
    score = replace(score, measures=tuple(measures))
    assert first_difference(score, back(score, form)) is None


@st.composite
def _scores(draw: st.DrawFn) -> Score:
    count = draw(st.integers(2, 9))
    where = st.integers(0, count - 1)
    score = plain(count)
    for field in ("segno", "coda", "fine", "to_coda"):
        if draw(st.booleans()):
            score = marked(score, **{field: draw(where)})
    if draw(st.booleans()):
        score = marked(score, jump=(draw(where), draw(st.sampled_from(JUMPS))))
    measures = list(score.measures)
    for _ in range(draw(st.integers(0, 2))):
        ends = draw(where)
        times = draw(st.none() | st.integers(3, 5))
        measures[ends] = replace(measures[ends], right=Bar.REPEAT_END, times=times)
    return replace(score, measures=tuple(measures))


@settings(max_examples=some(15, 100), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(_scores(), st.sampled_from(["text", "musicxml"]))
def test_any_marks_come_back(score: Score, form: str) -> None:
    shown = rollstave.write(score, "text")[0].decode()
    assert essence(back(score, form)) == essence(score), shown


# By hand from common practice, no source: measures of eight, counted from 0.
PLAYED = {
    "D.C. al Fine": (0, 1, 2, 3, 4, 5, 6, 7, 0, 1, 2, 3),
    "D.S. al Fine": (0, 1, 2, 3, 4, 5, 6, 7, 1, 2, 3),
    "D.C. al Coda": (0, 1, 2, 3, 4, 5, 0, 1, 2, 6, 7),
    "D.S. al Coda": (0, 1, 2, 3, 4, 5, 1, 2, 3, 6, 7),
}


@pytest.mark.parametrize("name", PLAYED)
def test_others_play_what_is_written(name: str) -> None:
    from music21 import converter

    score = marked(plain(8), **MARKED[name])
    assert play_order(score.measures) == PLAYED[name]
    part = converter.parseData(rollstave.write(score, "musicxml")[0]).parts[0]
    frets = [
        # The second note of each measure, in semitones over the open string (D4, 62).
        max(n.pitch.midi - 62 for n in m.notes if n.isNote and n.pitch.midi < 72 and n.beat == 2.0)
        for m in part.expandRepeats().getElementsByClass("Measure")
    ]
    assert tuple(frets) == PLAYED[name]
