"""Notes without a count of their own between counted ones: where they may be.

Who counts most notes leaves out those for which there is no word: the second of "1 e & a" when it
is a 32nd note, a dotted note in a beat of three, a triplet. So a note without a count is rather at
a place that has no word than at one that has. Times are in ticks.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence, Set
from math import comb

from rollstave.rhythm.evidence import TICKS
from rollstave.rhythm.usual import is_usual
from rollstave.rhythm.written import Counts, Written, ticks_of_part

_NAMED = -5.0  # log odds of a note without a count at a place that has a word in the tune
_OFTEN = 2  # counts of a word from which it is one of the tune's words
_THIRDS = -3.0  # log odds of thirds where the tune's counts have words for what is no third
_MOST_IN_A_RUN, _MOST = 60, 160
_GRIDS = (TICKS // 4, TICKS // 8)
_SAY_QUARTERS = frozenset(("e", "trip", "let", "la", "li"))

Placed = dict[tuple[int, ...], float]  # onsets, and log odds beside those of other evidence


class Words:
    """The words that a tune is counted with."""

    def __init__(self, counts: Sequence[Counts], beat: int) -> None:
        seen = Counter(word.lower() for measure in counts for _, word in measure)
        self.beat = beat
        # What is no third has a word of its own, or a third has: "& a" are a half and the rest.
        self.in_fours = any(seen[word] for word in _SAY_QUARTERS)
        places = (ticks_of_part(word, beat) for word, n in seen.items() if n >= _OFTEN)
        self.places: Set[int] = {0, *(place for place in places if place is not None)}

    def odds(self, written: Written) -> float:
        """Log odds of what is counted itself."""
        counted = (written.onsets[i] for i in written.told)
        in_threes = self.beat % (3 * TICKS) and any(onset % (TICKS // 4) for onset in counted)
        return _THIRDS if in_threes and self.in_fours else 0.0


def placements(written: Written, length: int, words: Words) -> Placed:
    """The onsets of all notes for a way to read the counts, the even division first."""
    own = words.odds(written)
    if len(written.told) == len(written.onsets):
        return {written.onsets: own}
    found: Placed = {written.onsets: own + _named(written.onsets, written, words)}
    known = {column: written.onsets[column] + written.offset for column in written.told}
    runs = list(_runs(known, len(written.onsets), written.offset, length))
    if sum(1 for run in runs if len(run) > 1) and _ways(runs) <= _MOST:
        for parts in itertools.product(*runs):
            onsets = tuple(o - written.offset for part in parts for o in part)
            if is_usual(length - written.offset, onsets):
                found.setdefault(onsets, own + _named(onsets, written, words))
    return found


def _ways(runs: Sequence[Sequence[object]]) -> int:
    ways = 1
    for run in runs:
        ways *= len(run)
    return ways


def _named(onsets: Sequence[int], written: Written, words: Words) -> float:
    told = set(written.told)
    return _NAMED * sum(
        (onset + written.offset) % words.beat in words.places
        for index, onset in enumerate(onsets)
        if index not in told
    )


def _runs(
    known: Mapping[int, int], count: int, offset: int, length: int
) -> Iterator[list[tuple[int, ...]]]:
    """For each counted note, and what is before the first: the ways in which the notes from it to
    the next counted one may stand."""
    columns = sorted(known)
    if columns[0]:
        yield _between(columns[0], offset - 1, known[columns[0]], ())
    for column, after in zip(columns, [*columns[1:], count], strict=True):
        end = known.get(after, length)
        yield _between(after - column - 1, known[column], end, (known[column],))


def _between(notes: int, start: int, end: int, first: tuple[int, ...]) -> list[tuple[int, ...]]:
    """The ways in which so many notes may stand after ``start`` and before ``end``."""
    if not notes:
        return [first]
    found = []
    step = (end - start) // (notes + 1) if first else 0
    if step and (end - start) % (notes + 1) == 0:
        found.append((*first, *range(start + step, end, step)))
    for grid in _GRIDS:
        places = range(start - start % grid + grid, end, grid)
        if notes <= len(places) and comb(len(places), notes) <= _MOST_IN_A_RUN:
            ways = ((*first, *way) for way in itertools.combinations(places, notes))
            found += [way for way in ways if way not in found]
            break
    return found
