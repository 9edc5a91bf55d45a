"""Files typed in time by the eye: each measure wider or narrower than the next.

The measures are typed here by a rule: so many characters a quarter note as each test says, rounded.
That longer notes are typed as much farther apart is common practice, no source.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from rollstave.instruments.table import FIVE_STRING_BANJO
from rollstave.problems import ProblemList
from rollstave.reading.reader import read_grid
from rollstave.rhythm.by_eye import rough_spacing
from rollstave.rhythm.evidence import gather
from rollstave.rhythm.timed import RhythmReading
from tests.rhythm.test_columns import EVEN, HALF, read, times, typed

DOTTED = times("0 3/4 1 7/4 2 11/4 3 15/4")
SCALES = (8, 12, 10, 14, 16, 8, 12, 10)  # characters a quarter note: no spacing explains them


def by_eye(bars: list[tuple[Fraction, ...]], length: int, time: str) -> RhythmReading:
    typed_bars = []
    for number, bar in enumerate(bars):
        scale = SCALES[number % len(SCALES)]
        places = [1 + round(onset * scale) for onset in bar]
        typed_bars.append((places, 1 + length * scale + number % 3))
    return read(typed(typed_bars, time), time)


@pytest.mark.quick
def test_a_measure_is_read_in_the_scale_of_its_own() -> None:
    bars = [EVEN, DOTTED, HALF, DOTTED, EVEN, DOTTED, DOTTED, HALF]
    assert [m.onsets for m in by_eye(bars, 4, "4/4").measures] == bars


@pytest.mark.quick
def test_what_is_read_by_the_eye_in_a_melody_is_not_sure() -> None:
    bars = [EVEN, DOTTED, HALF, DOTTED, EVEN, DOTTED, DOTTED, HALF]
    assert not any(m.sure for m in by_eye(bars, 4, "4/4").measures)


@pytest.mark.quick
@pytest.mark.parametrize(
    ("steps", "shows"), [((3, 4, 3, 3, 4, 3), False), ((6, 2, 4, 4, 6, 2), True)]
)
def test_notes_that_stand_apart_as_one_to_two_show_time(
    steps: tuple[int, ...], shows: bool
) -> None:
    """Squeezed, a typist adds a dash at the most; in time, a dotted note and the one after it
    stand apart as three to one."""
    places = [1 + sum(steps[:index]) for index in range(len(steps) + 1)]
    text = typed([(places, places[-1] + 3 + n % 2) for n in range(8)], "4/4")
    (tune,) = read_grid(text, FIVE_STRING_BANJO, ProblemList())
    found = rough_spacing(gather(tune.measures), 96)
    assert (found is not None) is shows
