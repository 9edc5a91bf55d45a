"""Which measures of two versions of a tune are the same ones."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Sequence
from fractions import Fraction
from itertools import zip_longest

from rollstave.score.records import Measure, Score
from rollstave.vocabulary.signs import HELD

_ENOUGH = 0.5  # of the measures, that stay in their places
_LONG = 1_000  # measures: in more than that no copies are looked for, which takes their square
_NEARLY_ALL = 0.8  # of the notes, that are moved alike

Key = tuple[Fraction, int]  # when a note is struck, and its MIDI number


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


def origins(old: Sequence[frozenset[Key]], new: Sequence[frozenset[Key]]) -> dict[int, int]:
    """For each measure of the new version the one of the old that it was made from: the one that it
    is aligned with, or another that shares more with it, half of their notes at least, as where a
    measure was copied. The nearest of several."""
    pairs = aligned(old, new)
    found = {here: there for there, here in pairs if there is not None and here is not None}
    if len(old) > _LONG:
        return found
    having: dict[Key, list[int]] = {}
    for there, keys in enumerate(old):
        for key in keys:
            having.setdefault(key, []).append(there)
    made = {}
    known: dict[frozenset[Key], Counter[int]] = {}  # how many notes old measures have in common
    for here, keys in enumerate(new):
        aside = found.get(here)
        near = here if aside is None else aside
        if aside is None or old[aside] != keys:
            if keys not in known:
                known[keys] = Counter(there for key in keys for there in having.get(key, ()))
            common = known[keys]
            # Of two at one distance the earlier: a copy stands behind what it was made from.
            best = min(common, key=lambda n: (-common[n], abs(n - near), n), default=None)
            if best is not None and 2 * common[best] >= max(len(keys), len(old[best])):
                aside = best
        if aside is not None:
            made[here] = aside
    return made


def struck_in(measure: Measure) -> frozenset[Key]:
    """When what is struck in a measure of a score, and its MIDI numbers."""
    return frozenset(
        (event.onset, note.pitch.midi)
        for event in measure.events
        for note in event.notes
        if note.link not in HELD
    )


def transposed(old: Sequence[frozenset[Key]], new: Sequence[frozenset[Key]]) -> int:
    """By how many semitones nearly all notes of the new version are higher, 0 if by none."""
    if len(old) != len(new):
        return 0
    steps = Counter[int]()
    for one, other in zip(old, new, strict=True):
        if len(one) == len(other):
            steps.update(b - a for (_, a), (_, b) in zip(sorted(one), sorted(other), strict=True))
    by, count = steps.most_common(1)[0] if steps else (0, 0)
    return by if count >= _NEARLY_ALL * sum(map(len, old)) else 0


def alike(one: Score, other: Score) -> tuple[bool, int]:
    """How much of a score is in another: whether it has its title, and how many of its notes are
    struck when they are there, at their pitches or all moved alike."""
    old, new = ([struck_in(m) for m in score.measures] for score in (one, other))
    return one.title.casefold() == other.title.casefold(), shared(old, new)


def shared(old: Sequence[frozenset[Key]], new: Sequence[frozenset[Key]]) -> int:
    """How many notes two versions share, all of one moved as nearly all are."""
    steps = transposed(old, new)
    return sum(
        len(moved(old[there], steps) & new[here])
        for there, here in aligned(old, new)
        if there is not None and here is not None
    )


def moved(keys: frozenset[Key], semitones: int) -> frozenset[Key]:
    """Notes as they are when all are so many semitones higher."""
    return frozenset((onset, midi + semitones) for onset, midi in keys) if semitones else keys
