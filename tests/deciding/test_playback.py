"""The order of measures, worked by hand from common practice of repeats."""

from __future__ import annotations

import io

import mido
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

import rollstave
from rollstave.deciding.playback import MOST_PASSES, play_order, report_playing
from rollstave.grid.typed import Bar
from rollstave.problems import ProblemList
from rollstave.score.records import Measure
from tests.tunes import score

# A row of measures: ``[`` opens a repeat, ``]`` closes one, a digit before them is an ending.
CASES = [
    # Common practice; measures are counted from 0.
    ("- - -", [0, 1, 2]),
    ("[ - ]", [0, 1, 2, 0, 1, 2]),
    ("- ] - -", [0, 1, 0, 1, 2, 3]),
    ("- [ ] -", [0, 1, 2, 1, 2, 3]),
    ("[ - 1] 2", [0, 1, 2, 0, 1, 3]),
    ("[ - 1] 2 -", [0, 1, 2, 0, 1, 3, 4]),
    ("[ ] [ ]", [0, 1, 0, 1, 2, 3, 2, 3]),
    ("[ 1] 2 [ 1] 2", [0, 1, 0, 2, 3, 4, 3, 5]),
    ("[ 1,2] 3 -", [0, 1, 0, 1, 0, 2, 3]),
    ("- [ - ] -", [0, 1, 2, 3, 1, 2, 3, 4]),
    ("[ 1] 2] -", [0, 1, 0, 2, 3]),
    # An ending that no pass would take is played where it stands: nothing typed stays silent.
    ("- 2 -", [0, 1, 2]),
    ("[ - 2] -", [0, 1, 2, 0, 1, 2, 3]),
    ("] 1 2", [0, 0, 1, 2]),
]


def _measures(row: str) -> list[Measure]:
    words = row.split()
    base = score([[(4, [(3, 0)])]] * len(words)).measures
    found = []
    for word, measure in zip(words, base, strict=True):
        ending = word.strip("[]-") or None
        found.append(
            replace(
                measure,
                left=Bar.REPEAT_START if "[" in word else Bar.NONE,
                right=Bar.REPEAT_END if "]" in word else Bar.SINGLE,
                ending=ending,
                in_ending=ending,
                ending_stop=ending is not None,
            )
        )
    return found


@pytest.mark.parametrize(("row", "order"), CASES)
def test_order(row: str, order: list[int]) -> None:
    assert list(play_order(_measures(row))) == order


def test_an_ending_of_two_measures() -> None:
    # Common practice: both measures of an ending are left out in the other pass.
    measures = _measures("[ - - ] - -")
    for index, number in ((2, "1"), (3, "1"), (4, "2"), (5, "2")):
        measures[index] = replace(
            measures[index],
            in_ending=number,
            ending=number if index in (2, 4) else None,
            ending_stop=index in (3, 5),
        )
    assert list(play_order(measures)) == [0, 1, 2, 3, 0, 1, 4, 5]


# What stands on which measure, the words of the jump on the last but one; from common practice:
# "al Fine" ends at Fine and "al Coda" goes on at the coda, whatever other signs there are.
JUMPS = [
    ({1: "fine"}, "D.C. al Fine", [0, 1, 2, 3, 4, 0, 1]),
    ({1: "fine", 2: "to_coda", 5: "coda"}, "D.C. al Fine", [0, 1, 2, 3, 4, 0, 1]),
    ({1: "fine", 2: "to_coda", 5: "coda"}, "D.C. al Coda", [0, 1, 2, 3, 4, 0, 1, 2, 5]),
    ({2: "to_coda", 5: "coda"}, "D.C.", [0, 1, 2, 3, 4, 0, 1, 2, 5]),
    ({1: "segno", 3: "fine"}, "D.S. al Fine", [0, 1, 2, 3, 4, 1, 2, 3]),
    ({1: "segno", 2: "to_coda", 5: "coda"}, "D.S. al Coda", [0, 1, 2, 3, 4, 1, 2, 5]),
]


@pytest.mark.parametrize(("signs", "words", "order"), JUMPS)
def test_where_a_way_back_ends(signs: dict[int, str], words: str, order: list[int]) -> None:
    measures = _measures("- - - - - -")
    for index, sign in signs.items():
        measures[index] = replace(measures[index], **{sign: True})
    measures[4] = replace(measures[4], jump=words)
    assert list(play_order(measures)) == order


def test_no_measures() -> None:
    assert play_order([]) == ()


MARKS = st.sampled_from(["-", "[", "]", "1", "1]", "2", "2]", "3", "1,2]", "[ 1]", "[]", "10]"])


@given(
    row=st.lists(MARKS, min_size=1, max_size=14),
    jumps=st.lists(
        st.tuples(
            st.integers(0, 13),
            st.sampled_from(["D.C.", "D.C. al Fine", "D.S. al Coda", "fine", "segno", "to_coda"]),
        ),
        max_size=3,
    ),
    times=st.integers(0, 2000),
)
def test_every_measure_is_played_or_named(
    row: list[str], jumps: list[tuple[int, str]], times: int
) -> None:
    """Whatever the bars say. Ours: a promise, not a rule of notation."""
    measures = _measures(" ".join(row))
    for index, what in jumps:
        place = min(index, len(measures) - 1)
        change = {what: True} if what.islower() else {"jump": what}
        measures[place] = replace(measures[place], **change)
    measures[-1] = replace(measures[-1], times=times)
    problems = ProblemList()
    report_playing(measures, problems)
    order = play_order(measures)
    missing = set(range(len(measures))) - set(order)
    named = {p.message.split()[1] for p in problems.sorted() if p.code == "never-played"}
    assert named == {str(measures[i].number) for i in missing}
    assert not missing or jumps
    assert len(order) <= len(measures) * (MOST_PASSES + 1)


def test_a_second_ending_without_a_first_sounds_in_midi() -> None:
    """mido reads the file: each note of the tab is struck."""
    tab = "\n".join(["2."] + [f"{s}|--{f}---{f}--|" for s, f in zip("DBGDg", "00000", strict=True)])
    (tune,) = rollstave.read(f"Tuning: gDGBD\n\n{tab}\n")
    (data,) = rollstave.write(tune, "midi")
    struck = [m for m in mido.MidiFile(file=io.BytesIO(data)) if m.type == "note_on" and m.velocity]
    assert len(struck) == 10


def test_a_repeat_that_is_played_a_thousand_times_is_cut_short_and_said() -> None:
    measures = _measures("[ - ]")
    measures[-1] = replace(measures[-1], times=1000)
    problems = ProblemList()
    report_playing(measures, problems)
    assert [p.code for p in problems.sorted()] == ["too-often"]
    assert len(play_order(measures)) == 3 * MOST_PASSES
