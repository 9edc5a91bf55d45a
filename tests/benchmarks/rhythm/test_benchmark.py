"""The benchmark's own promises: truths add up, places are right, nothing depends on chance."""

from __future__ import annotations

import re
from fractions import Fraction

import pytest
from tests.amount import some

from .arrange import arrange
from .baselines import equal_division
from .corpus import load_few, sources
from .counts import count_labels
from .letters import letter_label
from .model import (
    ArrangedMeasure,
    ArrangedTune,
    CorpusMeasure,
    CorpusTune,
    Event,
    MeasureKind,
    MelodyNote,
    Meter,
    Stroke,
    Style,
    TuneKind,
)
from .rolls import roll_tune
from .score import is_same_but_for_unit
from .split import is_for_tuning
from .tunings import TUNINGS
from .typist import type_tune

SOME = range(some(12, 40))


def scale_tune() -> CorpusTune:
    """An invented melody: two measures of eighths and one with longer notes, in 4/4."""
    half, one = Fraction(1, 2), Fraction(1)
    steps = (62, 64, 66, 67, 69, 71, 73, 74)
    eighths = tuple(MelodyNote(i * half, half, p) for i, p in enumerate(steps))
    long = tuple(MelodyNote(i * one, one, p) for i, p in enumerate((74, 69, 66, 62)))
    full = MeasureKind.FULL
    measures = tuple(
        CorpusMeasure(n, Fraction(4), notes, full) for n, notes in enumerate((eighths, long) * 4)
    )
    return CorpusTune(0, Meter(4, 4), 2, measures)


def check_sums(tune: ArrangedTune) -> None:
    for measure in tune.measures:
        ends = [e.onset for e in measure.events[1:]] + [measure.length]
        for event, end in zip(measure.events, ends, strict=True):
            assert event.duration > 0
            assert event.onset + event.duration == end
            assert len({s.string for s in event.strokes}) == len(event.strokes)


@pytest.mark.parametrize("number", SOME)
def test_roll_tunes_add_up(number: int) -> None:
    tune = roll_tune(number, seed=1)
    check_sums(tune)
    assert 16 <= len(tune.measures) <= 33
    assert tune == roll_tune(number, seed=1)


@pytest.mark.parametrize("seed", range(20))
def test_arrangements_add_up_and_lie_in_reach(seed: int) -> None:
    tune = arrange(scale_tune(), seed)
    check_sums(tune)
    strokes = [s for m in tune.measures for e in m.events for s in e.strokes]
    assert all(0 <= s.fret <= 17 for s in strokes)
    assert all(s.fret == 0 for s in strokes if s.string == 5)


@pytest.mark.parametrize("style", list(Style))
@pytest.mark.parametrize("number", SOME)
def test_places_point_at_the_frets_and_rows_agree(number: int, style: Style) -> None:
    tune = roll_tune(number, seed=2)
    typed = type_tune(tune, style, seed=2)
    lines = typed.text.split("\n")
    for measure, arranged in zip(typed.measures, tune.measures, strict=True):
        for (line, column), event in zip(measure.places, arranged.events, strict=True):
            fret = str(event.strokes[0].fret)
            assert re.match(rf"{fret}(?!\d)", lines[line - 1][column - 1 :])
            assert not lines[line - 1][column - 2].isdigit()
    rows = [line for line in lines if "|" in line and not re.fullmatch(r"[ |_\\.3]+", line)]
    for start in range(0, len(rows), 5):
        assert len({len(row) for row in rows[start : start + 5]}) == 1


def test_even_typing_is_even() -> None:
    for number in SOME:
        tune = roll_tune(number, seed=3)
        typed = type_tune(tune, Style.EVEN, seed=3)
        steps = set()
        for measure in typed.measures:
            pairs = zip(measure.onsets, measure.places, strict=True)
            for (a, (_, p)), (b, (_, q)) in zip(
                list(pairs), list(zip(measure.onsets, measure.places, strict=True))[1:],
                strict=False,
            ):  # fmt: skip
                steps.add((q - p) / (b - a))
        assert len(steps) == 1


def test_tunings_have_five_strings() -> None:
    for pitches, labels in TUNINGS.values():
        assert len(pitches) == len(labels) == 5


def test_counts_by_hand() -> None:
    """Common practice: 1 e & a for sixteenths, 1 trip let, 1 to 6 in 6/8; a pickup counts 4 &."""

    def measure(*onsets: str, length: str = "4", pickup: bool = False) -> ArrangedMeasure:
        times = [Fraction(o) for o in onsets]
        ends = [*times[1:], Fraction(length)]
        events = tuple(Event(a, b - a, (Stroke(1, 0),)) for a, b in zip(times, ends, strict=True))
        kind = MeasureKind.PICKUP if pickup else MeasureKind.FULL
        return ArrangedMeasure(Fraction(length), events, kind)

    four, six = Meter(4, 4), Meter(6, 8)
    one, half = Fraction(1), Fraction(1, 2)
    sixteenths = measure("0", "1/4", "1/2", "3/4", "1", "4/3", "5/3", "2", "5/2")
    assert " ".join(count_labels(sixteenths, four, one)) == "1 e & a 2 trip let 3 &"
    assert count_labels(measure("0", "1/2", length="1", pickup=True), four, one) == ["4", "&"]
    jig = measure("0", "1/2", "1", "3/2", "9/4", "5/2", length="3")
    assert " ".join(count_labels(jig, six, half)) == "1 2 3 4 & 6"


def test_letters_by_hand() -> None:
    """Common practice for letters and dots; the figure for triplets is the benchmark's own."""
    spelled = {"4": "w", "3": "h.", "1": "q", "3/4": "e.", "1/3": "e3", "1/6": "s3", "5/2": "h+e"}
    for duration, letters in spelled.items():
        assert letter_label(Fraction(duration)) == letters


def test_equal_division_by_hand() -> None:
    assert equal_division(Meter(3, 4), 6)[5] == (Fraction(5, 2), Fraction(1, 2))


def test_meters_that_can_have_the_same_text() -> None:
    """2/4 in sixteenths is 4/4 in eighths; 3/4 and 6/8 are grouped otherwise (common practice)."""
    four, three, six = Meter(4, 4), Meter(3, 4), Meter(6, 8)
    assert all(is_same_but_for_unit(four, Meter(2, unit)) for unit in (2, 4))
    assert is_same_but_for_unit(three, Meter(3, 2))
    assert not any(is_same_but_for_unit(a, b) for a, b in ((four, three), (three, six)))


def test_tunes_of_a_book_are_told_apart() -> None:
    """``airdsAirs`` has six books of about 200 tunes each; the texts number them themselves."""
    texts = sources("airdsAirs")
    assert texts[0].startswith("X:0001\n")
    assert 6 * 180 < len(texts) < 6 * 210
    assert all(text.count("\nK:") >= 1 and text.startswith("X:") for text in texts)
    few = load_few("airdsAirs", 2)
    assert len({tune.number for tune in few}) == 2
    assert not any(is_for_tuning(tune.number) for tune in few)


def test_bare_tunes_strike_one_string_at_a_time() -> None:
    tune = arrange(scale_tune(), seed=5, bare=True)
    assert tune.kind is TuneKind.BARE
    assert all(len(e.strokes) == 1 for m in tune.measures for e in m.events)
