"""The ways to say a fact: the classes that a row says it needs are in all that its pattern matches.

The patterns are taken apart by Python's own parser of regular expressions.
"""

from __future__ import annotations

import re._parser as parser  # type: ignore[import-untyped]
from collections.abc import Iterable
from typing import Any

import pytest

from rollstave.reading.saying.parse import in_letters, pattern_of
from rollstave.vocabulary.saying import Saying
from rollstave.vocabulary.sayings import SAYINGS

pytestmark = pytest.mark.quick


def _without(tree: Iterable[Any], letters: str) -> bool:
    """Whether something that has none of some letters could match."""
    for operation, value in tree:
        match str(operation):
            case "LITERAL":
                possible = chr(value) not in letters
            case "IN":
                possible = any(chr(letter) not in letters for _, letter in value)
            case "SUBPATTERN":
                possible = _without(value[-1], letters)
            case "BRANCH":
                possible = any(_without(way, letters) for way in value[1])
            case "MAX_REPEAT" | "MIN_REPEAT":
                possible = value[0] == 0 or _without(value[2], letters)
            case _:  # what takes no letter, or any
                possible = True
        if not possible:
            return False
    return True


@pytest.mark.parametrize("saying", SAYINGS, ids=lambda saying: saying.name)
def test_what_a_way_needs_is_in_all_it_matches(saying: Saying) -> None:
    tree = parser.parse(pattern_of(saying))
    assert in_letters(saying.needs)
    assert not [some for some in in_letters(saying.needs) if _without(tree, some)]


def test_no_two_ways_have_one_name() -> None:
    names = [saying.name for saying in SAYINGS]
    assert len(names) == len(set(names))
