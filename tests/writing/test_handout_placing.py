"""What stands on which page of a hand-out.

That a heading is not parted from what it heads, and that a page does not end early, is common
practice, no source.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from rollstave.writing.handout.blocks import Item
from rollstave.writing.handout.placing import Sizes, placed

SIZES = Sizes(first=200.0, top=100.0, bottom=1100.0, tail=0.0)


def item(height: float, above: float = 0.0, **more: object) -> Item:
    return Item(height=height, above=above, draw=lambda parent, y: None, **more)  # type: ignore[arg-type]


def counts(*items: Item) -> list[int]:
    return [len(page) for page in placed(items, SIZES)]


def test_what_fits_is_one_page() -> None:
    assert counts(*[item(100) for _ in range(6)]) == [6]


def test_the_last_item_is_not_left_alone_on_its_page() -> None:
    # Two fit under the head and three on each other page: two, three and one if each is filled.
    assert counts(*[item(290) for _ in range(6)]) == [2, 2, 2]


def test_what_is_kept_together_stands_on_one_page() -> None:
    items = [item(100, keep=n == 5) for n in range(10)]
    pages = placed(items, SIZES)
    where = {id(i): number for number, page in enumerate(pages) for i, _ in page}
    assert where[id(items[5])] == where[id(items[6])]


def test_a_chart_goes_over_whole_where_it_fits_the_next_page() -> None:
    rows = [item(100, apart=0.4 * (n < 3)) for n in range(4)]
    assert counts(item(500), *rows, item(300)) == [1, 5]


@pytest.mark.parametrize("count", [1, 3, 9, 40])
def test_nothing_is_lost_or_lies_on_something_else(count: int) -> None:
    items = [item(90 + 37 * (n % 5), above=400.0 * (n % 3 == 0)) for n in range(count)]
    pages = placed(items, SIZES)
    assert [i for page in pages for i, _ in page] == items
    for page in pages:
        for (one, y), (_, below) in pairwise(page):
            assert y + one.height <= below + 0.001
        assert page[-1][1] + page[-1][0].height <= SIZES.bottom + 0.001


def test_a_part_with_its_own_page_begins_one() -> None:
    assert counts(item(100), item(100, new_page=True), item(100)) == [1, 2]


def test_what_is_higher_than_a_page_is_parted_where_it_must() -> None:
    assert counts(*[item(400, keep=True) for _ in range(4)]) == [1, 2, 1]


def test_lines_of_a_tune_are_not_one_thing_alone() -> None:
    # Six lines, of which five fit a page, and a strain that begins with the fourth or the fifth:
    # it begins the page.
    for begins in (3, 4):
        lines = [
            item(
                190,
                line=True,
                new_page=n == 0,
                keep=n in (0, 4),
                apart=0.0 if n + 1 == begins else 0.08 * (n < 5),
            )
            for n in range(6)
        ]
        assert counts(item(100), *lines) == [1, begins, 6 - begins]
