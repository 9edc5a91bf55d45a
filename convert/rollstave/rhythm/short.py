"""Measures that their duration letters do not fill: short, or with a rest that has no letter.

A tab has no sign for a rest, so a typist who begins a measure with one often gives letters to the
notes only. In the middle of a strain a full measure is far likelier than a short one; but where a
tune is typed in time, the room at the beginning of the measure shows whether there is a rest. Even
notes that are as close as they can be do not show that a tune is typed in time.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from statistics import mode

from rollstave.grid.typed import LineKind
from rollstave.rhythm.state import State
from rollstave.rhythm.timed import Source

_IN_TIME = 0.9  # share of the gaps of a tune that one number of columns explains
_CLOSE = 3  # characters from a note to the next where notes are as close as they can be


def rests_without_letter(state: State, short: Sequence[int]) -> list[int]:
    """Which of the measures at the indices ``short`` begin with a rest that has no letter.

    Before this is asked, they are found as short as their letters are.
    """
    if not short:
        return []
    columns = _columns_of_a_tick(state)
    if columns is None:
        return list(short)
    # Where graces stand before a first note, or bars are drawn otherwise, a measure has less.
    lead = mode(_lead(state, index) for index in _written(state))
    return [index for index in short if not _is_full_of_letters(state, index, columns, lead)]


def _is_full_of_letters(state: State, index: int, columns: Fraction, lead: int) -> bool:
    """True if the letters take all the room of a measure."""
    found, evidence = state.found[index], state.evidence[index]
    assert found is not None
    full = evidence.lead + found.pattern[0] * columns
    return evidence.lead <= lead and evidence.width == full


def _written(state: State) -> list[int]:
    return [
        index
        for index, found in enumerate(state.found)
        if found is not None and found.why.source is Source.WRITTEN
    ]


def _lead(state: State, index: int) -> int:
    """Characters before the first count or letter of a measure, or before its first note."""
    words = [
        a.position
        for kind in (LineKind.COUNTS, LineKind.DURATIONS)
        for a in state.measures[index].attached(kind)
    ]
    return min([*words, state.evidence[index].lead])


def _columns_of_a_tick(state: State) -> Fraction | None:
    """Characters for a tick, if one number explains the written measures of the tune."""
    seen: Counter[tuple[int, int]] = Counter()
    for index in _written(state):
        found = state.found[index]
        assert found is not None
        length, onsets = found.pattern
        for gap, onset, end in zip(
            state.evidence[index].gaps, onsets, [*onsets[1:], length], strict=False
        ):
            seen[gap, end - onset] += 1
    if not seen:
        return None
    shares: Counter[Fraction] = Counter()
    for (gap, duration), times in seen.items():
        shares[Fraction(gap, duration)] += times
    columns, times = shares.most_common(1)[0]
    explained = [(gap, duration) for gap, duration in seen if gap == columns * duration]
    shows_time = len(explained) > 1 or min(explained)[0] > _CLOSE
    return columns if shows_time and times >= _IN_TIME * seen.total() else None
