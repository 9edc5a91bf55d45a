"""Fit the weights that melodies are divided into phrases with, and print them.

    python -m tests.benchmarks.phrases_fit [--songs 800]

An averaged structured perceptron (Collins 2002, from memory): where a song is divided otherwise
than it is marked, the signs of what is marked count more and those of what was found less. It sees
only the songs that ``phrases.py --dev`` takes. Signs that songs do not have keep their weights.
"""

from __future__ import annotations

import argparse
import random
from collections import Counter
from collections.abc import Sequence
from itertools import islice, pairwise

from msgspec import Struct

from rollstave_teaching.boundaries import SIGNS, Boundaries
from rollstave_teaching.phrase_weights import MELODY, NOTES_EACH, Weights
from rollstave_teaching.phrases import LONGEST, divided

from .phrases import songs

_NOTES = 13  # weights for numbers of notes; the last for all that are more
_ROUNDS = 8
_STEP = 0.1
_OURS = range(SIGNS.index("new chord"), SIGNS.index("plucks") + 1)  # not in songs
_SHORTEST = 2
Key = tuple[str, int]


class Marked(Struct, frozen=True):
    """A song: the signs of its boundaries, its first measure and the one after its last, and where
    its phrases begin."""

    boundaries: Boundaries
    begin: int
    end: int
    starts: tuple[int, ...]


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--songs", type=int, default=800)
    print(fitted(list(marked(parser.parse_args().songs))))


def marked(count: int) -> Sequence[Marked]:
    """Songs whose phrases have the lengths that ours may have."""
    found = []
    for song in islice(songs(dev=True), count):
        begin = int(song.score.measures[0].number == 0)
        end = len(song.score.measures)
        starts = (begin, *sorted(song.starts))
        if all(_SHORTEST <= b - a <= LONGEST for a, b in pairwise([*starts, end])):
            boundaries = Boundaries(song.score)
            found.append(Marked(boundaries=boundaries, begin=begin, end=end, starts=starts))
    return found


def fitted(material: list[Marked]) -> Weights:
    """The mean of the weights over all rounds."""
    order = random.Random(1)
    weights: Counter[Key] = Counter()
    total: Counter[Key] = Counter()
    for _ in range(_ROUNDS):
        order.shuffle(material)
        for song in material:
            found = divided(song.boundaries, song.begin, song.end, _as_weights(weights))
            if tuple(found) != song.starts:
                for key, value in _counted(song, song.starts).items():
                    weights[key] += _STEP * value
                for key, value in _counted(song, found).items():
                    weights[key] -= _STEP * value
            for key, value in weights.items():
                total[key] += value
    seen = _ROUNDS * len(material)
    return _as_weights(Counter({key: value / seen for key, value in total.items()}))


def _counted(song: Marked, starts: Sequence[int]) -> Counter[Key]:
    """How much of each sign a way to divide a song has."""
    found: Counter[Key] = Counter()
    before = 0
    for start, end in pairwise([*starts, song.end]):
        notes = sum(song.boundaries.strokes[start:end]) // NOTES_EACH
        found["measures", end - start - 1] += 1
        found["notes", min(notes, _NOTES - 1)] += 1
        found["same", 0] += before == end - start
        if start > song.begin:
            for place, sign in enumerate(song.boundaries.signs(start, song.begin)):
                found["signs", place] += sign
        before = end - start
    return found


def _as_weights(values: Counter[Key]) -> Weights:
    def row(name: str, size: int) -> list[float]:
        return [round(float(values[name, place]), 3) for place in range(size)]

    signs = row("signs", len(SIGNS))
    for place in _OURS:
        signs[place] = MELODY.signs[place]
    return Weights(
        signs=tuple(signs),
        measures=(MELODY.measures[0], *row("measures", LONGEST)[1:]),
        notes=tuple(row("notes", _NOTES)),
        same=round(float(values["same", 0]), 3),
    )


if __name__ == "__main__":
    main()
