"""Measures of another length than the others that are written as long as they are.

Crooked tunes have a measure of two or of six quarters among those of four (common practice, no
source). Letters add up to its length. But three equal letters may be played in the time of two, and
a rest at the beginning often has no letter; what the other measures of the tune do tells which.
Times are in ticks.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from rollstave.rhythm.lettered import Letters, as_threes_fit
from rollstave.rhythm.state import State

_MOST = 0.25  # of the measures within strains: what more of them have is no exception
_ROOM = 1  # characters that a first note may stand farther from its bar line without a rest


def crooked_by_letters(state: State, letters: Sequence[Letters]) -> frozenset[int]:
    """The measures within strains whose letters make them half as long as the others, or half as
    long again. Where letters of another measure fill more than it has, threes are not told apart
    from others in this tune, and those may be why the longer ones are longer."""
    sums = {
        index: sum(as_threes_fit([letter.ticks for letter in letters[index]], state.length))
        for index, evidence in enumerate(state.evidence)
        if evidence.count == len(letters[index]) > 0 and not state.may_be_short(index)
    }
    odd = {index for index, ticks in sums.items() if 2 * ticks in (state.length, 3 * state.length)}
    if len(odd) > _MOST * len(sums):
        return frozenset()
    in_three = any(ticks > state.length for index, ticks in sums.items() if index not in odd)
    return frozenset(
        index
        for index in odd
        if not (in_three and sums[index] > state.length)
        and (sums[index] > state.length or not _begins_late(state, index))
    )


def _begins_late(state: State, index: int) -> bool:
    return state.evidence[index].lead > state.usual_lead + _ROOM


def find_again(state: State) -> None:
    """Note which measures are written longer or shorter than full ones, and come again so."""
    again: dict[object, list[int]] = defaultdict(list)
    for index, found in enumerate(state.found):
        if found is None or not found.pattern[1] or state.may_be_short(index):
            continue
        if found.pattern[0] != state.length:
            again[state.evidence[index].signature, found.pattern].append(index)
    for members in again.values():
        if len(members) > 1:
            state.crooked |= {*members}
