"""What must hold for every tune: nothing unplayable is written, the roll is kept when only the left
hand moves, and transposing by 0 changes nothing at all.

    python -m tests.benchmarks.arranging.properties [--tunes 1000] [--corpus 300]

Generated tunes first, then those of music21's corpus in the project's own arrangement. Each tune
goes through two kinds of rework by turns, and through transposing by 0.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Callable, Iterator

import rollstave
from rollstave import Reworked, Score, TabError
from rollstave_arranging import made_easier, moved_up, retuned, transposed

from ..rhythm.arrange import arrange
from ..rhythm.corpus import COLLECTION, load_few
from ..rhythm.model import Style
from ..rhythm.typist import type_tune
from .measures import fingers, unplayable
from .tunes import SEED, score_of

TUNINGS = ("gDGBD", "gCGBD", "gCGCD", "gDGCD", "aDADE", "aEAC#E")
KINDS: tuple[tuple[str, Callable[[Score, int], Reworked]], ...] = (
    ("another tuning", lambda score, n: retuned(score, TUNINGS[n % len(TUNINGS)])),
    ("another key", lambda score, n: transposed(score, semitones=(n * 5) % 13 - 6 or 2)),
    ("fretted anew", lambda score, n: transposed(score, semitones=n % 5 + 1, by="fretting")),
    (
        "up the neck",
        lambda score, n: moved_up(score, ("5-9", "7-12", "next", "climb")[n % 4], n % 3),
    ),
    ("easier", lambda score, n: made_easier(score, n % 4 + 1)),
)
LEFT_HAND_ONLY = ("up the neck",)


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--tunes", type=int, default=1000)
    parser.add_argument("--corpus", type=int, default=300)
    asked = parser.parse_args()
    tell("generated", (score_of(number) for number in range(asked.tunes)))
    tell("corpus", corpus(asked.corpus))


def corpus(tunes: int) -> Iterator[Score]:
    for tune_of_corpus in load_few(COLLECTION, tunes):
        made = arrange(tune_of_corpus, SEED)
        (tune,) = rollstave.read(type_tune(made, Style.COUNTED, SEED).text)
        yield tune.score


def tell(name: str, scores: Iterator[Score]) -> None:
    sums: Counter[str] = Counter()
    for number, score in enumerate(scores):
        sums["tunes"] += 1
        sums["by 0"] += transposed(score, semitones=0).score == score
        for turn in (number, number + 2):
            kind, work = KINDS[turn % len(KINDS)]
            try:
                made = work(score, number).score
            except TabError:
                sums[f"{kind}: refused"] += 1
                continue
            sums[f"{kind}: tunes"] += 1
            new = [said for said in unplayable(made) if said not in unplayable(score)]
            sums[f"{kind}: unplayable"] += bool(new)
            if kind in LEFT_HAND_ONLY:
                pairs = zip(score.measures, made.measures, strict=True)
                sums[f"{kind}: rolls kept"] += sum(fingers(a) == fingers(b) for a, b in pairs)
                sums[f"{kind}: measures"] += len(score.measures)
    print(f"{name}: {sums['tunes']} tunes; transposed by 0 the same: {sums['by 0']}")
    for kind, _ in KINDS:
        words = f"  {kind}: {sums[f'{kind}: tunes']} tunes, with anything unplayable that was not "
        words += f"there {sums[f'{kind}: unplayable']}, refused {sums[f'{kind}: refused']}"
        if measures := sums[f"{kind}: measures"]:
            words += f"; rolls kept in {100 * sums[f'{kind}: rolls kept'] / measures:.2f}%"
        print(words, flush=True)


if __name__ == "__main__":
    main()
