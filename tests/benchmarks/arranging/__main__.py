"""The report on retuning, transposing, moving up the neck and making easier.

    python -m tests.benchmarks.arranging [--tunes 300] [--part tuning,key,neck,easier,speed]

Checked of each version: nothing unplayable in it. Compared with the baseline: travel of the left
hand in frets, rolls broken, fingers repeated.
"""

from __future__ import annotations

import argparse
from collections import Counter

from rollstave import Score, TabError
from rollstave_arranging import retuned, transposed

from .baseline import lowest_frets
from .measures import broken, frets, repeats, travel, unplayable
from .tunes import score_of

TUNINGS = ("gDGBD", "gCGBD", "gCGCD", "gDGCD", "aDADE")


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--tunes", type=int, default=300)
    parser.add_argument("--part", default=",".join(PARTS))
    asked = parser.parse_args()
    for part in asked.part.split(","):
        PARTS[part](asked.tunes)


def compared(name: str, old: Score, new: Score, base: Score, into: Counter[str]) -> None:
    into["tunes"] += 1
    into["measures"] += len(old.measures)
    into["unplayable"] += len(unplayable(new)) > len(unplayable(old))
    for which, score in (("ours", new), ("base", base)):
        into[f"travel {which}"] += travel(score)
        into[f"broken {which}"] += broken(old, score)
        into[f"repeats {which}"] += len(repeats(score) - repeats(old))


def tell(name: str, sums: Counter[str]) -> None:
    print(f"{name}: {sums['tunes']} tunes, {sums['measures']} measures")
    print(f"  with anything unplayable that was not there: {sums['unplayable']}")
    for what, words in (
        ("travel", "frets the left hand travels"),
        ("broken", "measures whose roll is broken"),
        ("repeats", "fingers repeated that were not"),
    ):
        ours, base = sums[f"{what} ours"], sums[f"{what} base"]
        share = f"{ours / base:.2f}" if base else "-"
        print(f"  {words}: {ours}, baseline {base} ({share})")


def tuning(tunes: int) -> None:
    sums: Counter[str] = Counter()
    same = total = refused = 0
    for number in range(tunes):
        old = score_of(number)
        wanted = TUNINGS[number // 2 % len(TUNINGS)]
        try:
            new = retuned(old, wanted).score
        except TabError:
            refused += 1
            continue
        if new is old:
            continue
        compared("tuning", old, new, lowest_frets(old, new.setup), sums)
        try:
            back = retuned(new, old.setup.tuning.written).score
        except TabError:
            continue
        total += len(old.measures)
        same += sum(frets(a) == frets(b) for a, b in zip(old.measures, back.measures, strict=True))
    tell("another tuning", sums)
    print(f"  refused: {refused} tunes")
    print(f"  there and back, the same tab: {100 * same / total:.1f}% of {total} measures")


def key(tunes: int) -> None:
    sums: Counter[str] = Counter()
    ways: Counter[str] = Counter()
    refused = 0
    for number in range(tunes):
        old = score_of(number)
        up = (-3, -2, 2, 3, 5)[number % 5]
        made = transposed(old, semitones=up)
        ways[made.says.partition(", ")[2].partition(" at ")[0]] += 1
        try:
            new = transposed(old, semitones=up, by="fretting").score
        except TabError:
            refused += 1
            continue
        compared("key", old, new, lowest_frets(old, new.setup, up), sums)
    tell("another key, fretted anew", sums)
    print(f"  refused: {refused} tunes; the cheapest ways: {dict(ways)}")


PARTS = {"tuning": tuning, "key": key}

if __name__ == "__main__":
    main()
