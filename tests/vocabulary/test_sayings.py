"""The ways to say a fact: the classes that a row says it needs stand in all that its pattern
matches, in their order.

The patterns are taken apart by Python's own parser of regular expressions.
"""

from __future__ import annotations

import re._parser as parser  # type: ignore[import-not-found]
from collections.abc import Iterable, Sequence
from typing import Any

import pytest

from rollstave.pitch import MODES
from rollstave.reading.saying.parse import in_letters, pattern_of
from rollstave.vocabulary import spoken_values
from rollstave.vocabulary.hands import MEANT_BY_LETTERS
from rollstave.vocabulary.saying import Saying
from rollstave.vocabulary.sayings import SAYINGS
from rollstave.vocabulary.techniques import TECHNIQUES

pytestmark = pytest.mark.quick


def _least(tree: Iterable[Any], needs: Sequence[str], had: int) -> int:
    """How many of some needs a match has in their order at the least, if ``had`` stand before."""
    for operation, value in tree:
        if had == len(needs):
            break
        match str(operation):
            case "LITERAL":
                had += chr(value) in needs[had]
            case "IN":
                had += all(chr(letter) in needs[had] for _, letter in value)
            case "SUBPATTERN":
                had = _least(value[-1], needs, had)
            case "BRANCH":
                had = min(_least(way, needs, had) for way in value[1])
            case "MAX_REPEAT" | "MIN_REPEAT":
                for _ in range(value[0]):
                    had = _least(value[2], needs, had)
            case _:  # what takes no letter, or any
                pass
    return had


@pytest.mark.parametrize("saying", SAYINGS, ids=lambda saying: saying.name)
def test_what_a_way_needs_is_in_all_it_matches(saying: Saying) -> None:
    needs = in_letters(saying.needs)
    assert needs
    assert _least(parser.parse(pattern_of(saying)), needs, 0) == len(needs)


def test_no_two_ways_have_one_name() -> None:
    names = [saying.name for saying in SAYINGS]
    assert len(names) == len(set(names))


def test_what_words_are_worth_is_a_row_of_the_tables() -> None:
    techniques = {technique.name for technique in TECHNIQUES}
    assert {means for means, _ in spoken_values.TECHNIQUE_WORDS} <= techniques
    assert {mode for mode in spoken_values.MODE_WORDS.values() if mode} <= set(MODES)
    assert set(spoken_values.HAND_WORDS.values()) <= {meant for _, meant in MEANT_BY_LETTERS}
