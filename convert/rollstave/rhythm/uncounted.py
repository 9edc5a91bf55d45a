"""Notes without a count of their own between counted ones: where they may be.

Who counts most notes leaves out those for which there is no word: the second of "1 e & a" when it
is a 32nd note, a dotted note in a beat of three, a triplet. So a note without a count is rather at
a place that has no word than at one that has. Who counts only what the right hand strikes leaves
out notes of the left hand, whatever word their places have. Such notes, typed in the columns of one
stroke, are quick, and the last takes what is left of its time, unless the columns tell them apart.
Times are in ticks.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence, Set
from math import comb, log

from rollstave.rhythm.count_words import FIRST_THIRDS, SECOND_THIRDS, Counts
from rollstave.rhythm.evidence import TICKS, Evidence
from rollstave.rhythm.meter import Meter
from rollstave.rhythm.usual import is_usual
from rollstave.rhythm.written import Written, ticks_of_part, without_e

_NAMED = -5.0  # log odds of a note without a count at a place that has a word in the tune
_OFTEN = 1  # counts of a word from which it is one of the tune's words
_THIRDS = -3.0  # log odds of thirds where the tune's counts have words for what is no third
_SHORT_LAST = -2.0  # log odds of a run of the left hand that ends in a note shorter than another
_SNAP = log(0.1)  # of a short note and a long one between two counts, to a long and a short one
_OFF = -2.0  # log odds of a character by which the columns between two counts have them elsewhere
_NEAR = 0.5  # characters that are no more than rounded
_MOST_IN_A_RUN, _MOST = 60, 160
_GRIDS = (TICKS // 4, TICKS // 8)
_SAY_QUARTERS = frozenset(("e", *FIRST_THIRDS, *SECOND_THIRDS))

Placed = dict[tuple[int, ...], float]  # onsets, and log odds beside those of other evidence


class Words:
    """The words that a tune is counted with."""

    def __init__(self, counts: Sequence[Counts], beat: int, meter: Meter) -> None:
        seen = Counter(word.lower() for measure in counts for _, word in measure)
        self.beat = beat
        self.in_threes = _in_threes(counts, seen, beat, meter)
        # What is no third has a word of its own, or a third has: "& a" are a half and the rest.
        self.in_fours = any(seen[word] for word in _SAY_QUARTERS)
        places = (ticks_of_part(word, beat) for word, n in seen.items() if n >= _OFTEN)
        self.places: Set[int] = {0, *(place for place in places if place is not None)}
        self._idle = self._left_out = 0  # beats on which nothing is struck: counted, and not
        self.for_left_hand = False  # whether notes of the left hand are counted, too

    def learn(self, written: Written, kinds: str, counts: Counts, length: int) -> None:
        """Learn from counts under columns of these kinds, of a measure of so many ticks."""
        numbers = sum(word.isdecimal() for _, word in counts)
        self._idle += len(counts) - len(written.told)
        self._left_out += max(0, (length - written.offset) // self.beat - numbers)
        self.for_left_hand = self.for_left_hand or any(kinds[i] == "l" for i in written.told)

    def next_place(self, tick: int) -> int:
        """The next beat or half of one that would have a count, after a tick."""
        step = self.beat // 2 if self.beat // 2 in self.places else self.beat
        return (tick // step + 1) * step

    def counts_idle(self) -> bool:
        """Whether most beats are counted on which nothing is struck."""
        return self._idle > self._left_out

    def odds(self, written: Written) -> float:
        """Log odds of what is counted itself."""
        counted = (written.onsets[i] for i in written.told)
        in_threes = self.beat % (3 * TICKS) and any(onset % (TICKS // 4) for onset in counted)
        return _THIRDS if in_threes and self.in_fours else 0.0


def _in_threes(counts: Sequence[Counts], seen: Counter[str], beat: int, meter: Meter) -> bool:
    """Whether ``1 & a`` are rather thirds of a beat: where no "e" is counted, none is in four.

    Of 105 fiddle tunes with such a beat 86 mean thirds by all of them; but in 2/4, where an eighth
    and two sixteenths are usual, 1 of 10, and in 2/2, counted in four, all of 6 that count an "e",
    too. A tune of which most beats are counted so is one of brushes.
    """
    pairs = sum(len(without_e(measure)) for measure in counts) // 2
    beats = sum(n for word, n in seen.items() if word.isdecimal())
    if not pairs or 2 * pairs > beats or beat not in (TICKS // 2, TICKS):
        return False
    if meter.unit == 2:
        return beat == TICKS
    return not seen["e"] and (meter.count, meter.unit) != (2, 4)


def placements(written: Written, length: int, words: Words, evidence: Evidence) -> Placed:
    """The onsets of all notes for a way to read the counts, the even division first."""
    own = words.odds(written)
    if len(written.told) == len(written.onsets):
        return {written.onsets: own}

    def odds(onsets: tuple[int, ...]) -> float:
        named = _named(onsets, written, words, evidence.kinds)
        quick = "" if words.for_left_hand else evidence.kinds
        snapped = _snapped(onsets, written, length, quick)
        return own + named + snapped + _in_runs(onsets, written, length, evidence)

    found: Placed = {written.onsets: odds(written.onsets)}
    known = {column: written.onsets[column] + written.offset for column in written.told}
    runs = list(_runs(known, len(written.onsets), written.offset, length))
    if sum(1 for run in runs if len(run) > 1) and _ways(runs) <= _MOST:
        for parts in itertools.product(*runs):
            onsets = tuple(o - written.offset for part in parts for o in part)
            if is_usual(length - written.offset, onsets):
                found.setdefault(onsets, odds(onsets))
    return found


def _ways(runs: Sequence[Sequence[object]]) -> int:
    ways = 1
    for run in runs:
        ways *= len(run)
    return ways


def _named(onsets: Sequence[int], written: Written, words: Words, kinds: str) -> float:
    told = set(written.told)
    return _NAMED * sum(
        (onset + written.offset) % words.beat in words.places
        for index, onset in enumerate(onsets)
        if index not in told and (kinds[index] != "l" or words.for_left_hand)
    )


def _snapped(onsets: Sequence[int], written: Written, length: int, quick: str) -> float:
    """What speaks against a note between two counts that is nearer to the one before it, or two
    of which one is near each: a dotted note is ten times as usual, and thirds are more so.
    ``quick`` are the kinds of notes where those of the left hand have no counts, as they are quick.
    """
    ends = (*onsets, length - written.offset)
    odds = 0.0
    for start, stop in itertools.pairwise((*written.told, len(onsets))):
        if "l" in quick[start + 1 : stop]:
            continue
        between = [b - a for a, b in itertools.pairwise(ends[start : stop + 1])]
        short_first = len(between) == 2 and between[0] < between[1]
        short_ends = len(between) == 3 and between[0] == between[2] < between[1]
        odds += _SNAP * (short_first or short_ends)
    return odds


def _in_runs(onsets: Sequence[int], written: Written, length: int, evidence: Evidence) -> float:
    """What speaks against these onsets of notes of the left hand between two counts."""
    odds = 0.0
    ends = (*onsets, length - written.offset)
    for start, stop in itertools.pairwise((*written.told, len(onsets))):
        if stop - start < 2 or "l" not in evidence.kinds[start + 1 : stop]:
            continue
        durations = [b - a for a, b in itertools.pairwise(ends[start : stop + 1])]
        if set(evidence.kinds[start + 1 : stop]) == {"l"} and durations[-1] < max(durations):
            odds += _SHORT_LAST
        # Gaps that are alike may be no more than the signs in them.
        gaps = evidence.gaps[start:stop]
        if len(set(gaps)) > 1:
            scale = sum(gaps) / sum(durations)
            typed, meant = itertools.accumulate(gaps), itertools.accumulate(durations)
            far = max(abs(a - b * scale) for a, b in zip(typed, meant, strict=True))
            odds += _OFF * max(0.0, far - _NEAR)
    return odds


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
