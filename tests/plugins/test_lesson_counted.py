"""What a lesson counts in a tune, recounted: source, counted by hand from the typed tab.

By hand are the order in which measures are played, and the rolls with their counts; chord rows,
frets and letters are counted by ``counted.py``, which knows nothing of the package.
"""

from __future__ import annotations

from collections import Counter
from itertools import chain, pairwise

import pytest

from rollstave import Chart, Shapes
from rollstave_teaching.changes import changes_of
from rollstave_teaching.hand import pattern_of, rolls_of, thumb_starts
from tests.plugins.counted import Counted, counted
from tests.plugins.teaching import part
from tests.tunes import SAMPLES, case

# Counted by hand from the typed tab: measures as they are played, from 0; repeats and endings out.
PLAYED = {
    "copper-weathervane": [*range(8), *range(8), *range(8, 16), *range(8, 16)],
    "ferry-landing": [*range(9), *range(1, 7), 9, 10, *range(11, 19), *range(11, 19)],
    "lantern-stairs": [*range(32)],
    "nettle-hill": [*range(18)],
    "quince-orchard-waltz": [*range(25)],
    "slate-roof-rain": [*range(8), *range(6), 8, 9, *range(10, 18)],
}
# Counted by hand from the typed tab: what most measures have, and how many. The fingers are those
# of the older style (thumb 5, 4 and 3, index 2, middle 1: common practice), which the letters of
# the two tunes that have any agree with.
ROLLS = {
    "copper-weathervane": ("note brush thumb note brush thumb", 15),
    "ferry-landing": ("T I T M T I T M", 4),
    "lantern-stairs": ("T I T I M I T I", 28),
    "nettle-hill": ("T I T M T I T M", 8),
    "quince-orchard-waltz": ("T I M T I M", 12),
    "slate-roof-rain": ("T I T M T I T M", 9),
}
# A thumb that has just struck leaves string 3 to the index finger (common practice), here after
# the thumb that ends the measure before; and down-picking has the thumb on the short string alone.
NOT_THE_THUMB = {"ferry-landing": {10, 18}, "quince-orchard-waltz": {0}}

every = pytest.mark.parametrize("stem", PLAYED)


def typed(stem: str) -> list[Counted]:
    return counted(next(p for p in SAMPLES if p.stem == stem).read_text(encoding="utf-8"))


def sounding(measures: list[Counted]) -> list[list[str]]:
    """The chords of each measure; without a name of its own it has the last one's."""
    found: list[list[str]] = []
    for one in measures:
        before = found[-1][-1:] if found else []
        found.append(one.chords or before)
    return found


def test_all_samples_are_counted() -> None:
    assert set(PLAYED) == {path.stem for path in SAMPLES}


@every
def test_the_progression_measure_by_measure(stem: str) -> None:
    made = part(case(stem), "chords")
    bars = [bar for block in made.blocks if isinstance(block, Chart) for bar in block.bars]
    wanted = [names for names in sounding(typed(stem)) if names]
    assert [list(bar.chords) for bar in bars] == wanted


@every
def test_the_chords_in_the_order_in_which_they_come(stem: str) -> None:
    made = part(case(stem), "chords")
    (row,) = (block for block in made.blocks if isinstance(block, Shapes))
    names = chain.from_iterable(one.chords for one in typed(stem))
    assert list(dict.fromkeys(s.name for s in row.shapes)) == list(dict.fromkeys(names))


@every
def test_changes_and_how_often_each_comes(stem: str) -> None:
    chords = sounding(typed(stem))
    names = list(chain.from_iterable(chords[index] for index in PLAYED[stem]))
    wanted = Counter((a, b) for a, b in pairwise(names) if a != b)
    found: Counter[tuple[str, str]] = Counter()
    for change in changes_of(case(stem)):
        if change.start.name != change.end.name:  # else the same chord in another place
            found[change.start.name, change.end.name] += change.count
    assert found == wanted
    counts = [change.count for change in changes_of(case(stem))]
    assert counts == sorted(counts, reverse=True)


@every
def test_the_roll_that_most_measures_have(stem: str) -> None:
    first = rolls_of(case(stem))[0]
    assert (first.fingers, len(first.measures)) == ROLLS[stem]
    if stem == "copper-weathervane":
        return  # it is brushed, which strings do not tell
    by_strings = Counter(one.fingers() for one in typed(stem))
    assert by_strings[first.fingers] == len(first.measures)
    assert max(by_strings.values()) == len(first.measures)


@every
def test_letters_that_are_typed_are_the_hand(stem: str) -> None:
    score = case(stem)
    lettered = 0
    for measure, one in zip(score.measures, typed(stem), strict=True):
        # Where several strings are struck at once, one letter may stand for two fingers.
        single = all(len(struck) == 1 for struck in one.frets.values())
        if one.letters and single:
            fingers = "".join(finger for _, _, finger in pattern_of(measure))
            assert fingers == "".join(letter for _, letter in sorted(one.letters.items()))
            lettered += 1
    assert lettered == {"ferry-landing": 10, "lantern-stairs": 11}.get(stem, 0)


@every
def test_where_the_thumb_starts(stem: str) -> None:
    found = thumb_starts(case(stem))
    if stem == "copper-weathervane":
        assert found == {}
        return
    wanted = {
        index: place
        for index, one in enumerate(typed(stem))
        if (place := one.thumb()) is not None and index not in NOT_THE_THUMB.get(stem, ())
    }
    assert {i: at for i, at in found.items() if i not in NOT_THE_THUMB.get(stem, ())} == wanted
