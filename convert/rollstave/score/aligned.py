"""Which measures of two versions of a tune are the same ones."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from itertools import zip_longest

_ENOUGH = 0.5  # of the measures, that stay in their places


def aligned(
    old: Sequence[Hashable], new: Sequence[Hashable]
) -> list[tuple[int | None, int | None]]:
    """Pairs of positions in two sequences of measures; None where one has no partner. What stands
    at the same place is the same where most are; else the longest equal stretches decide."""
    same = sum(one == other for one, other in zip(old, new, strict=False))
    if len(old) == len(new) and same >= _ENOUGH * len(old):
        return [(index, index) for index in range(len(old))]
    from difflib import SequenceMatcher

    found: list[tuple[int | None, int | None]] = []
    matcher = SequenceMatcher(None, old, new, autojunk=False)
    for _, left, left_end, right, right_end in matcher.get_opcodes():
        found += zip_longest(range(left, left_end), range(right, right_end))
    return found
