"""Measures of two or six quarters in a tune of four, by what is written under them.

That there are such measures, and that a strain is played again as it was, is common practice, no
source; how long they are is arithmetic on letters and counts.
"""

from __future__ import annotations

import pytest

from tests.rhythm.test_columns import EVEN, read, times, typed

SQUEEZED = 3  # characters from a note to the next, however long it lasts
HALF, LONG = "q e e", "e e e e e e e e e e q"
EIGHTS = " ".join("e" * 8)


def lettered(*measures: str) -> str:
    """A tune in 4/4 of these letters, as close as can be; measures that have the same letters
    strike the same."""
    rows, line = [""] * 5, "  "
    for letters in measures:
        words = letters.split()
        for string in range(5):
            struck = ("0" if n % 4 == string else "-" for n in range(len(words)))
            rows[string] += "|-" + "".join(fret.ljust(SQUEEZED, "-") for fret in struck)
        line += " " + "".join(word.ljust(SQUEEZED) for word in words) + " "
    labelled = [f"{label}{row}|" for label, row in zip("dBGDg", rows, strict=True)]
    return "\n".join(["Time: 4/4", "", *labelled, line, ""])


@pytest.mark.quick
@pytest.mark.parametrize(("letters", "length"), [(HALF, 2), (LONG, 6)])
def test_a_measure_is_as_long_as_its_letters_and_sure_where_it_comes_again(
    letters: str, length: int
) -> None:
    strain = [EIGHTS, EIGHTS, letters, EIGHTS, EIGHTS, EIGHTS]
    once = read(lettered(*strain), "4/4").measures
    assert [m.length for m in once] == [4, 4, length, 4, 4, 4]
    assert not once[2].sure
    twice = read(lettered(*strain, *strain), "4/4").measures
    assert [m.length for m in twice] == [4, 4, length, 4, 4, 4] * 2
    assert all(m.sure for m in twice)


@pytest.mark.quick
def test_where_threes_are_not_told_a_long_measure_may_be_of_threes() -> None:
    """Nine eighths in four quarters are three of them in the time of two; so may twelve be four
    times three."""
    strain = [EIGHTS, "e e e e e e e e e", EIGHTS, " ".join("e" * 12), EIGHTS, EIGHTS]
    assert read(lettered(*strain, *strain), "4/4").measures[3].length == 4


@pytest.mark.quick
def test_a_measure_counted_through_its_first_half_is_half_a_measure() -> None:
    """No beat of the other half is counted, and its last note would last through all of it."""
    full, half = "1 & 2 & 3 & 4 &", "1 & 2 &"
    bars = [([1 + 2 * n for n in range(count)], 1 + 2 * count) for count in (8, 4)]
    order = [0, 0, 1, 0, 0, 0, 0, 0]
    counts = "   " + "   ".join(half if n else full for n in order)
    found = read(typed([bars[n] for n in order], "4/4") + counts + "\n", "4/4").measures
    assert [m.onsets for m in found] == [times("0 1/2 1 3/2") if n else EVEN for n in order]
    assert [m.length for m in found] == [2 if n else 4 for n in order]
    assert not found[2].sure


def test_beats_that_are_counted_to_the_end_make_a_measure_whole() -> None:
    """What the text of a score writes: a count for each beat, also where no note stands."""
    empty = "".join(f"{name}|-----------------|\n" for name in "DBGDg")
    struck = empty.replace("-----------------", "-0---0-----------", 1)
    counts = "   1   2   3   4\n"
    found = read(f"Tuning: gDGBD\nTime: 4/4\n\n{empty}\n{struck}{counts}\n{empty}", "4/4")
    assert [m.length for m in found.measures] == [4, 4, 4]


@pytest.mark.quick
def test_threes_in_half_their_time_make_no_measure_longer() -> None:
    """Twelve threes and two quarters are six quarters, or four if they are sixteenths."""
    threes = "e3 " * 12 + "q q"
    found = read(lettered(*[EIGHTS, EIGHTS, threes, EIGHTS, EIGHTS] * 2), "4/4").measures
    assert {m.length for m in found} == {4}
