"""Which of the candidates is the title, and how likely: all of them weighed together.

A conditional choice: the weights of a candidate's signs are added, and the sums of all candidates
share what is likely (a multinomial logit, McFadden 1974). The weights are fitted by
``python -m tests.benchmarks.titles --fit``.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from math import exp

from msgspec import Struct

from rollstave.packaged import packaged
from rollstave.reading.page.decode import Line
from rollstave.reading.words.title_candidates import NONE, Candidate, candidates, lines_shown
from rollstave.reading.words.title_signs import head_of, signs

_MOST_UNDER = 8  # lines


class Weighed(Struct, frozen=True):
    """A name that may be the title: its surest candidate, and how likely it is of all names."""

    candidate: Candidate
    likely: float


@cache
def weights() -> dict[str, float]:
    """The table of the package: the weight of each sign."""
    import msgspec

    return msgspec.json.decode(packaged("data", "titles.json").read_bytes(), type=dict[str, float])


def signs_of_candidates(
    lines: Sequence[Line], over: int, under: int, text: str
) -> list[tuple[Candidate, list[str]]]:
    """The candidates among the first lines, ``over`` in number, and those from ``under`` on, and
    that there is none; with the signs of each. ``text`` is all of the file."""
    shown = lines_shown(lines[:over])
    below = [under + index for index in lines_shown(lines[under:])][:_MOST_UNDER]
    found = [NONE, *candidates(lines, shown), *candidates(lines, below, under=True)]
    head = head_of(lines, shown, text)
    return [(candidate, signs(head, candidate)) for candidate in found]


def weighed(
    found: Sequence[tuple[Candidate, Sequence[str]]], table: dict[str, float]
) -> list[Weighed]:
    """The names of the candidates by how likely each is, the likeliest first."""
    sums = [sum(table.get(sign, 0.0) for sign in dict.fromkeys(s)) for _, s in found]
    most = max(sums, default=0.0)
    shares = [exp(value - most) for value in sums]
    whole = sum(shares)
    by_name: dict[str, list[tuple[float, Candidate]]] = {}
    for (candidate, _), share in zip(found, shares, strict=True):
        by_name.setdefault(plain_name(candidate.name), []).append((share / whole, candidate))
    names = [
        Weighed(max(some, key=lambda item: item[0])[1], sum(share for share, _ in some))
        for some in by_name.values()
    ]
    return sorted(names, key=lambda name: -name.likely)


def plain_name(name: str) -> str:
    """A name as it is compared: its letters and figures in small letters."""
    words = "".join(char if char.isalnum() else " " for char in name.casefold())
    return " ".join(words.split())
