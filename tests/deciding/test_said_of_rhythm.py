"""What is said of a measure's length and rhythm: printed numbers, beats, words that agree."""

from __future__ import annotations

from fractions import Fraction

import pytest
from msgspec.structs import replace

import rollstave
from rollstave.deciding.doubts import _doubt
from rollstave.reporting.summary import for_people
from rollstave.rhythm import Meter, TimedMeasure
from rollstave.rhythm.spoken import as_beats, as_printed, too_long
from rollstave.rhythm.timed import Alternative, Source

ONSETS = (Fraction(0), Fraction(1), Fraction(2))
TIMED = TimedMeasure(
    length=Fraction(4),
    onsets=ONSETS,
    durations=(Fraction(1), Fraction(1), Fraction(2)),
    source=Source.ORDER,
    confidence=0.7,
    sure=False,
    reasons=("order",),
)


@pytest.mark.parametrize(
    ("length", "meter", "words"),
    [
        # Arithmetic: a beat is a quarter in 4/4, a half in 2/2, a dotted quarter in 6/8.
        (Fraction(9, 2), Meter(4, 4), "half a beat too long"),
        (Fraction(3), Meter(4, 4), "1 beat too short"),
        (Fraction(5), Meter(2, 2), "half a beat too long"),
        (Fraction(7, 2), Meter(6, 8), "a third of a beat too long"),
        (Fraction(13, 2), Meter(4, 4), "2 1/2 beats too long"),
        (Fraction(33, 8), Meter(4, 4), "1/8 of a beat too long"),
    ],
)
def test_a_length_is_told_in_beats(length: Fraction, meter: Meter, words: str) -> None:
    assert too_long(length, meter) == words


def test_a_whole_measure_in_beats() -> None:
    assert as_beats(Fraction(4), Meter(4, 4)) == "4 beats"
    assert as_beats(Fraction(3), Meter(6, 8)) == "2 beats"


def test_what_is_likely_is_not_called_unsure() -> None:
    assert "is not sure (70%" in _doubt("measure 3", TIMED, Meter(4, 4))
    for confidence in (0.946, 0.95, 0.99):
        said = _doubt("measure 3", replace(TIMED, confidence=confidence), Meter(4, 4))
        assert "not sure" not in said
        assert f"{confidence:.0%}" in said


def test_an_alternative_is_another_reading_and_said_once() -> None:
    other = (Fraction(0), Fraction(1), Fraction(3))
    alternatives = tuple(
        Alternative(onsets=o, durations=TIMED.durations, probability=0.1, reason="order")
        for o in (ONSETS, other, other)
    )
    said = _doubt("measure 3", replace(TIMED, alternatives=alternatives), Meter(4, 4))
    assert "read as 1 2 3; nearly as likely: 1 2 4. A line" in said


def test_numbers_are_those_that_are_printed() -> None:
    """After a pickup, the measure after it is measure 1."""
    bodies = ("0-0-", *["0-0-0-0-0-0-0-0-"] * 2, "0-0-0-0-0-0-0-0-0-0-", "0-0-0-0-0-0-0-0-")
    rows = ["|" + "|".join(b if s == 1 else "-" * len(b) for b in bodies) + "|" for s in range(5)]
    (tune,) = rollstave.read("Time: 4/4\nTuning: gDGBD\n\n" + "\n".join(rows) + "\n")
    assert [m.called for m in tune.score.measures[:3]] == ["the pickup", "measure 1", "measure 2"]
    said = [p.message for p in tune.problems if p.code in ("measure-length", "rhythm-unsure")]
    assert said
    assert not any("measure 5" in words for words in said)


EVEN = """\
Title: Even
Tuning: gDGBD
{time}

D|-----0-------0---|-----2-------2---|-----0-------0---|-----4-------4---|
B|---0-------0-----|---1-------1-----|---0-------0-----|---1-------1-----|
G|-0-------0-----0-|-0-------0-----0-|-0-------2-----0-|-2-------2-----2-|
D|-----------------|-----------------|-----------------|-----------------|
g|-------0-------0-|-------0-------0-|-------0-------0-|-------0-------0-|
"""


def test_one_cause_is_said_once() -> None:
    """Four measures that nothing but the lacking time makes unsure."""
    (tune,) = rollstave.read(EVEN.format(time="Time: four"))
    (said,) = [p for p in tune.problems if p.code == "rhythm-unsure"]
    assert said.message.startswith("the rhythm of measures 1-4 is not sure (")
    assert said.place is not None
    assert said.place.line == 5


def test_what_is_likely_is_not_listed_as_unsure() -> None:
    (tune,) = rollstave.read(EVEN.format(time="Time: 4/4"))
    unsure = [m for m in tune.score.measures if not m.rhythm.sure]
    assert all(m.rhythm.confidence >= 0.945 for m in unsure)
    assert not any("not sure" in line for line in for_people(tune, "even.txt"))


def test_reasons_name_measures_as_they_are_printed() -> None:
    """After a pickup, the second measure of the tab is measure 1."""
    called = ("the pickup", "measure 1", "measure 2")
    reasons = ("order", "same as measure 3 of the tab", "same as measure 1 of the tab")
    assert as_printed(reasons, called) == ("order", "same as measure 2", "same as the pickup")
