"""Arrangements whose melody is known: the rhythm benchmark's arrangers, given its melodies.

The project's own arranger says where it put each note (the same tune laid out bare). Of the
independent ones it is found from outside: by the interval at which most notes of the melody sound
at their onsets, octaves aside; one of them
(marten) says what its rolls carry.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterable
from fractions import Fraction
from functools import lru_cache

from msgspec import Struct

import rollstave
from rollstave import Score
from rollstave_arranging.melody import Weights

from ..rhythm.arrange import arrange
from ..rhythm.arrangers import marten
from ..rhythm.model import ArrangedTune, CorpusTune, Style
from ..rhythm.people import INDEPENDENT_ARRANGERS
from ..rhythm.tunings import open_pitches
from ..rhythm.typist import type_tune
from .rolled import rolled
from .rollers import ROLLERS, UNOPENED, score_and_melody, tune_of

SEED = 7
ARRANGERS = ("ours", "bare", "rolled", *INDEPENDENT_ARRANGERS, *ROLLERS, *UNOPENED)
# The others are only reported on.
FITTED = tuple(name for name in ARRANGERS if name not in ("marten", *UNOPENED))
Place = tuple[int, Fraction, int]  # index of a measure, onset, string


@lru_cache(maxsize=4096)
def known(number: int, arranger: str, seed: int = SEED) -> tuple[Score, frozenset[Place]] | None:
    """A score and its melody; None where it is read with other onsets than it was made with. By
    another seed it is another player's, of those whose habits are thrown."""
    if one := {**ROLLERS, **UNOPENED}.get(arranger):
        return score_and_melody(one, number, seed)
    tune = tune_of(number)
    if arranger == "ours":
        made = arrange(tune, SEED)
        truth = _of_bare(arrange(tune, SEED, bare=True))
    elif arranger == "bare":  # all of it is the melody
        made = arrange(tune, SEED, bare=True)
        truth = _of_bare(made)
    elif arranger == "rolled":
        made, truth = rolled(tune, random.Random(f"{SEED}:{number}:{arranger}"))
    elif arranger == "marten":  # it says itself what it carries
        made, marks, _ = marten.arrange_marked(tune, random.Random(f"{SEED}:{number}:{arranger}"))
        truth = {(mark.measure, mark.onset, mark.string) for mark in marks}
    else:
        made = INDEPENDENT_ARRANGERS[arranger](tune, random.Random(f"{SEED}:{number}:{arranger}"))
        truth = _by_interval(tune, made)
    (read,) = rollstave.read(type_tune(made, Style.COUNTED, SEED).text)
    there = [[e.onset for e in m.events if e.notes] for m in read.score.measures]
    if there != [[e.onset for e in m.events] for m in made.measures]:
        return None
    return read.score, frozenset(truth)


def _of_bare(tune: ArrangedTune) -> set[Place]:
    return {
        (index, event.onset, stroke.string)
        for index, measure in enumerate(tune.measures)
        for event in measure.events
        for stroke in event.strokes
    }


def _by_interval(tune: CorpusTune, made: ArrangedTune) -> set[Place]:
    opens = open_pitches(made.tuning)

    def sounds(string: int, fret: int) -> int:
        return opens[string - 1] + (fret - 5 if string == 5 and fret else fret)

    struck: dict[tuple[int, Fraction], list[tuple[int, int, int]]] = {}
    for index, measure in enumerate(made.measures):
        for event in measure.events:
            struck[index, event.onset] = [
                (s.string, s.fret, sounds(s.string, s.fret)) for s in event.strokes
            ]
    moves: Counter[int] = Counter()
    for index, corpus_measure in enumerate(tune.measures):
        for note in corpus_measure.notes:
            for _, _, midi in struck.get((index, note.onset), ()):
                moves[midi - note.midi] += 1
    best = max(moves, key=lambda m: (moves[m], -abs(m)))
    found: set[Place] = set()
    for index, corpus_measure in enumerate(tune.measures):
        for note in corpus_measure.notes:
            there = struck.get((index, note.onset), [])
            same = [s for s in there if (s[2] - note.midi - best) % 12 == 0]
            if same:
                string, _, _ = min(same, key=lambda s: (abs(s[2] - note.midi - best), s[0] == 5))
                found.add((index, note.onset, string))
    return found


class Found(Struct):
    """How many notes melodies have, how many of them are found, and how many others taken; and in
    how many measures."""

    there: int = 0
    right: int = 0
    others: int = 0
    measures: int = 0

    def __str__(self) -> str:
        found = 100 * self.right / max(1, self.there)
        taken = 100 * self.others / max(1, self.right + self.others)
        return f"{found:.1f}% found, {taken:.1f}% of what is taken is none"


def told(arranger: str, found: tuple[Found, Found, float]) -> str:
    """What is found of an arranger's melodies, in a line."""
    every, sure, worst = found
    share = 100 * sure.measures / max(1, every.measures)
    return (
        f"{arranger}: {every} (the worst tune {100 * worst:.1f}% found); in the {share:.0f}% of "
        f"the measures that are not doubtful: {sure}"
    )


def found_in(
    numbers: Iterable[int], arranger: str, weights: Weights | None = None
) -> tuple[Found, Found, float]:
    """What is found of the melodies; the same of the measures that are not called doubtful; and the
    least share of a melody that is found in a tune. By other weights than the plugin's, where some
    are given."""
    from rollstave_arranging.melody import melody_of

    every, sure = Found(), Found()
    worst = 1.0
    for number in numbers:
        one = known(number, arranger)
        if one is None:
            continue
        score, truth = one
        melody = melody_of(score, weights)
        taken = {
            (m, score.measures[m].events[e].onset, score.measures[m].events[e].notes[n].string)
            for m, e, n in melody.notes
        }
        surely = {m.index for m in score.measures} - melody.doubtful
        for into, inside in ((every, {m.index for m in score.measures}), (sure, surely)):
            into.there += sum(measure in inside for measure, _, _ in truth)
            into.right += sum(measure in inside for measure, _, _ in taken & truth)
            into.others += sum(measure in inside for measure, _, _ in taken - truth)
            into.measures += len(inside)
        worst = min(worst, len(taken & truth) / max(1, len(truth)))
    return every, sure, worst
