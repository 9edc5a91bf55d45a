"""The order of titles in a book and in its indexes.

As libraries file them (ALA Filing Rules, 1980, from memory): case does not count, an article at the
front neither, numbers stand by their size and before letters.
"""

from __future__ import annotations

import itertools
import random
from functools import cache

import pytest
from msgspec.structs import replace

import rollstave
from rollstave.score.records import Score
from rollstave.writing.book.plan import Entry, by_title, grouped, listed
from tests.bench.asking import ASKING

IN_ORDER = [
    "2 Oars",
    "10 Oars",
    "An Anchor",
    "anchors up",
    "The Bell Reel 9",
    "Bell Reel 10",
    "Bell Reel in G",
    "Harbour No. 3 in A",
    "Harbour No. 20 in A",
    "Luna Bay",
    "Lunar Tide",
    "Over a Weir",
    "Over again",
    "The Zebra Ferry",
]


@cache
def score() -> Score:
    (tune,) = rollstave.read(ASKING)
    return tune.score


def entry(title: str) -> Entry:
    return Entry(score=replace(score(), title=title), pages=(), label=title)


def test_titles_stand_in_order() -> None:
    for seed in range(4):
        mixed = random.Random(seed).sample(IN_ORDER, len(IN_ORDER))
        (group,) = grouped([entry(title) for title in mixed], "title")
        assert [e.score.title for e in group.entries] == IN_ORDER


@pytest.mark.parametrize(("before", "after"), itertools.pairwise(IN_ORDER))
def test_each_before_the_next(before: str, after: str) -> None:
    assert by_title(entry(before)) < by_title(entry(after))


@pytest.mark.parametrize("order", ["title", "tuning"])
def test_groups_of_a_tuning_are_sorted_too(order: str) -> None:
    (group,) = grouped([entry(title) for title in reversed(IN_ORDER)], order)
    assert [e.score.title for e in group.entries] == IN_ORDER


def test_as_they_are_given() -> None:
    given = [entry(title) for title in ("The Zebra Ferry", "2 Oars", "An Anchor")]
    (group,) = grouped(given, "given")
    assert list(group.entries) == given


@pytest.mark.parametrize(
    ("title", "told"),
    [
        ("The Bell Reel 9", "Bell Reel 9, The"),
        ("An Anchor", "Anchor, An"),
        ("Luna Bay", "Luna Bay"),
        ("Theodora", "Theodora"),
        ("A", "A"),
    ],
)
def test_an_article_goes_behind(title: str, told: str) -> None:
    assert listed(title) == told
