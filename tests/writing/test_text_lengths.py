"""Measures of odd length, and rests, come back from text.

The check is a round trip: the score built here is the truth, the reader is the judge. How a score
numbers pickups is the project's own rule (``score.records.Measure.number``).
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

import rollstave
from rollstave.grid.typed import Bar
from rollstave.instruments.setup import Setup
from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.pitch import Key, spell
from rollstave.problems import Place
from rollstave.rhythm.meter import Meter
from rollstave.rhythm.timed import Source
from rollstave.score.compare import first_difference
from rollstave.score.records import Event, Measure, Note, Rhythm, Score
from rollstave.writing.text import write_text
from tests.amount import some

SETUP = Setup(FIVE_STRING_BANJO, FIVE_STRING_BANJO.default)
_METERS = [Meter(4, 4), Meter(3, 4), Meter(2, 4), Meter(6, 8), Meter(2, 2)]


def note(string: int, fret: int) -> Note:
    return Note(
        string=string, fret=fret, pitch=spell(SETUP.midi(string, fret), 1), place=Place(1, 1)
    )


def measure(length: Fraction, struck: dict[Fraction, Note]) -> Measure:
    """A measure of a length with notes at their onsets; before the first one is a rest."""
    onsets = sorted(struck)
    events = [] if Fraction(0) in struck else [Event(Fraction(0), min([*onsets, length]), ())]
    events += [
        Event(start, end - start, (struck[start],))
        for start, end in zip(onsets, [*onsets[1:], length], strict=False)
    ]
    return Measure(
        index=0,
        number=1,
        length=length,
        events=tuple(events),
        rhythm=Rhythm(confidence=1.0, sure=True, source=Source.WRITTEN, reasons=()),
    )


def score_of(meter: Meter, measures: list[Measure]) -> Score:
    """The measures as a tune, numbered: a short measure that opens a strain is its pickup."""
    numbered, number = [], 0
    for index, one in enumerate(measures):
        last = index + 1 == len(measures)
        opens = not index or measures[index - 1].right is Bar.REPEAT_END
        closes = last or one.right is Bar.REPEAT_END
        short = one.length < meter.length
        pickup = short and opens and not last and (index == 0 or not closes)
        number += 0 if pickup else 1
        right = Bar.FINAL if last else one.right
        implicit = one.length != meter.length
        found = replace(one, index=index, number=0 if pickup else number, right=right)
        numbered.append(replace(found, implicit=implicit))
    return Score(
        title="The Short Pier",
        setup=SETUP,
        key=Key("G"),
        meter=meter,
        tempo=None,
        measures=tuple(numbered),
    )


@st.composite
def _scores(draw: st.DrawFn) -> Score:
    meter = draw(st.sampled_from(_METERS))
    measures = []
    for _ in range(draw(st.integers(1, 6))):
        unit = draw(st.sampled_from([Fraction(1, 2), Fraction(1, 4)]))
        full = int(meter.length / unit)
        slots = draw(st.just(full) | st.integers(1, full + 4))
        struck = draw(st.sets(st.integers(0, slots - 1), max_size=6))
        notes = {unit * s: note(draw(st.integers(1, 4)), draw(st.integers(0, 9))) for s in struck}
        one = measure(unit * slots, notes)
        ends = draw(st.integers(0, 6)) == 0
        measures.append(replace(one, right=Bar.REPEAT_END) if ends else one)
    return score_of(meter, measures)


@settings(max_examples=some(40, 150), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(_scores(), st.sampled_from([40, 80]))
def test_measures_of_any_length_come_back(score: Score, width: int) -> None:
    text = write_text(score, width)
    (tune,) = rollstave.read(text)
    assert first_difference(score, tune.score) is None, text.decode()


def test_a_rest_has_a_letter_under_which_nothing_stands() -> None:
    """Three quarters, of which the first is a rest, between full measures of four."""
    full = measure(Fraction(4), {Fraction(n): note(1, n) for n in range(4)})
    odd = measure(Fraction(3), {Fraction(1): note(2, 1), Fraction(2): note(2, 0)})
    text = write_text(score_of(Meter(4, 4), [full, odd, full])).decode()
    rows = text.split("\n")
    top = next(n for n, row in enumerate(rows) if row.startswith("D|"))
    second, letters = rows[top + 1], rows[top + 6]
    start = second.index("|", 2) + 1
    assert [letters.index("q", start + n) - start for n in (0, 4, 8)] == [1, 5, 9]
    assert (second[start + 1], second[start + 5], second[start + 9]) == ("-", "1", "0")


LETTERED = """\
Title: The Short Pier
Tuning: open G
Time: 4/4

D|-0---2---0---2---|-----2---0---2---|-0---2---0---2---|
B|-----------------|-----------------|-----------------|
G|-----------------|-----------------|-----------------|
D|-----------------|-----------------|-----------------|
g|-----------------|-----------------|-----------------|
   q   q   q   q     {}   q   q   q     q   q   q   q
"""


@pytest.mark.parametrize("rest", ["q", " "])
def test_a_rest_at_the_start_with_a_letter_and_without(rest: str) -> None:
    """Common practice, no source: a letter where nothing is struck is a rest."""
    (tune,) = rollstave.read(LETTERED.format(rest))
    assert not [p for p in tune.problems if p.severity is not rollstave.Severity.NOTICE]
    second = tune.score.measures[1]
    assert second.length == 4
    assert [(e.onset, e.duration, len(e.notes)) for e in second.events] == [
        (0, 1, 0),
        (1, 1, 1),
        (2, 1, 1),
        (3, 1, 1),
    ]


def test_a_letter_for_a_rest_within_a_measure_lengthens_the_note_before() -> None:
    """A tab does not show where a note ends: half a beat of rest after it sounds on."""
    row = "-0---2---0---2---"
    text = LETTERED.replace(row, "-0-------0---2---", 1).format("q")
    (tune,) = rollstave.read(text)
    first = tune.score.measures[0]
    assert [(e.onset, e.duration) for e in first.events] == [(0, 2), (2, 1), (3, 1)]
    assert not [p for p in tune.problems if p.code == "stray"]


def test_a_letter_under_nothing_is_pointed_at_where_a_note_has_none() -> None:
    text = LETTERED.format("q").replace("q   q   q   q     q   q", "q   q   q   q     q    ", 1)
    (tune,) = rollstave.read(text)
    (stray,) = [p for p in tune.problems if p.code == "stray"]
    assert (stray.place.line, stray.place.column) == (10, 22)


def test_letters_that_fill_all_the_room_are_a_short_measure_and_it_is_said() -> None:
    text = LETTERED.format(" ").replace("|-----2---0---2---|", "|-2---0---2---|")
    text = text.replace(
        "|-----------------|-----------------|", "|-----------------|-------------|"
    )
    text = text.replace(
        "q   q   q   q         q   q   q     q", "q   q   q   q     q   q   q     q"
    )
    (tune,) = rollstave.read(text)
    assert [m.length for m in tune.score.measures] == [4, 3, 4]
    assert [p.place.line for p in tune.problems if p.code == "measure-length"] == [5]
