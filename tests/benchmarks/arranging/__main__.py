"""The report on retuning, transposing, moving up the neck and making easier.

    python -m tests.benchmarks.arranging [--tunes 300] [--part tuning,key,neck,easier,speed]

Checked of each version: nothing unplayable in it. Compared with the baseline: travel of the left
hand in frets, rolls broken, fingers repeated.
"""

from __future__ import annotations

import argparse
import time
from collections import Counter
from collections.abc import Iterator
from functools import partial

from msgspec import Struct
from msgspec.structs import replace

from rollstave import Measure, Score, TabError
from rollstave_arranging import made_easier, moved_up, retuned, transposed

from .baseline import lowest_frets
from .measures import broken, crossings, fingers, frets, repeats, travel, unplayable
from .melodies import ARRANGERS, found_in
from .tunes import score_of


class Case(Struct, frozen=True):
    """A measure, and the score that it is of."""

    score: Score
    measure: Measure


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
    into["crossing"] += crossings(new) - crossings(old)
    for which, score in (("ours", new), ("base", base)):
        into[f"travel {which}"] += travel(score)
        into[f"broken {which}"] += broken(old, score)
        into[f"repeats {which}"] += len(repeats(score) - repeats(old))


def measures_of(*scores: Score) -> Iterator[tuple[Case, ...]]:
    for measures in zip(*(score.measures for score in scores), strict=True):
        yield tuple(Case(score, m) for score, m in zip(scores, measures, strict=True))


def fate(old: Case, new: Case, back: Case) -> str:
    """What became of a measure there and back. A note that is left out cannot come back, and one
    that went where another place of the old tuning leads too may come back to that."""
    if frets(old.measure) == frets(back.measure):
        return "the same tab"
    before, after = (
        [{(n.pitch.midi, n.string) for n in e.notes} for e in case.measure.events]
        for case in (old, new)
    )
    if [sorted(p for p, _ in e) for e in before] != [sorted(p for p, _ in e) for e in after]:
        return "another octave or left out, and told"
    pitches = [case.score.setup.tuning.pitches for case in (old, new)]
    kept = {n for n, (a, b) in enumerate(zip(*pitches, strict=True), 1) if a.midi == b.midi}
    if any(string in kept for a, b in zip(before, after, strict=True) for _, string in b - a):
        return "onto a string that stays"
    return "another place"


def shares(counted: Counter[str]) -> str:
    total = max(1, counted.total())
    return ", ".join(f"{name} {100 * n / total:.1f}%" for name, n in counted.most_common())


def tell(name: str, sums: Counter[str]) -> None:
    print(f"{name}: {sums['tunes']} tunes, {sums['measures']} measures")
    print(f"  with anything unplayable that was not there: {sums['unplayable']}")
    print(f"  strokes whose finger is no longer on its own string: {sums['crossing']}")
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
    refused = 0
    came: Counter[str] = Counter()
    wordless = 0
    down: Counter[bool] = Counter()
    by_pair: dict[tuple[str, str], Counter[str]] = {}
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
        wordless += same_without_words(old, new)
        fates = [fate(*three) for three in measures_of(old, new, back)]
        came.update(fates)
        pair = (old.setup.tuning.written, wanted)
        by_pair.setdefault(pair, Counter()).update(fates)
        alike = fates.count("the same tab")
        pairs = zip(old.setup.tuning.pitches[:4], new.setup.tuning.pitches[:4], strict=True)
        if all(after.midi <= before.midi for before, after in pairs):
            down[True] += alike
            down[False] += len(old.measures) - alike
    tell("another tuning", sums)
    print(f"  refused: {refused} tunes")
    print(f"  there and back, of {came.total()} measures: {shares(came)}")
    share_of = {pair: 100 * c["the same tab"] / c.total() for pair, c in by_pair.items()}
    worst = sorted(by_pair, key=lambda pair: share_of[pair])
    print(f"  where it does not say on which strings: {100 * wordless / came.total():.1f}%")
    words = [f"{a} to {b} {share_of[a, b]:.1f}% of {by_pair[a, b].total()}" for a, b in worst[:5]]
    reached = sum(share >= 95 for share in share_of.values())
    print(f"  {reached} of {len(worst)} pairs of tunings at 95% or more; worst: {'; '.join(words)}")
    able = came["the same tab"] + came["another place"]
    share = 100 * came["the same tab"] / max(1, able)
    print(f"  of the {able} that could come back, the same tab: {share:.1f}%")
    share = 100 * down[True] / max(1, down.total())
    print(f"  where strings are only tuned down: {share:.1f}% of {down.total()}")


def same_without_words(old: Score, new: Score) -> int:
    """Measures that come back where the tune says what tuning it is from, and what is an octave
    away, but not on which strings notes lay."""
    said = replace(new, notes=(new.notes[0].partition(", where ")[0], *new.notes[1:]))
    try:
        back = retuned(said, old.setup.tuning.written).score
    except TabError:
        return 0
    return sum(frets(a) == frets(b) for a, b in zip(old.measures, back.measures, strict=True))


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


def neck(tunes: int) -> None:
    sums: Counter[str] = Counter()
    refused = lost = notes = 0
    for number in range(tunes):
        old = score_of(number)
        try:
            made = moved_up(old, ("5-9", "7-12", "next", "climb")[number % 4], seed=number % 3)
        except TabError:
            refused += 1
            continue
        sums["tunes"] += 1
        sums["measures"] += len(old.measures)
        sums["unplayable"] += len(unplayable(made.score)) > len(unplayable(old))
        sums["kept"] += sum(
            fingers(a) == fingers(b) for a, b in zip(old.measures, made.score.measures, strict=True)
        )
        for told in made.changes:
            if "cannot be reached" in told.message:
                lost += int(told.message.split()[0])
                notes += int(told.message.partition(" of ")[2].split()[0])
    print(f"up the neck: {sums['tunes']} tunes, {sums['measures']} measures; refused {refused}")
    print(f"  with anything unplayable that was not there: {sums['unplayable']}")
    print(f"  measures whose fingers stay: {100 * sums['kept'] / sums['measures']:.2f}%")
    print(f"  melody notes that went with the shape, where any did: {lost} of {notes}")


def easier(tunes: int) -> None:
    for arranger in ARRANGERS:  # tunes that no fit has seen
        there, right, others = found_in(range(0, tunes, 5), arranger)
        print(
            f"melody of {arranger}: {there} notes, {100 * right / there:.1f}% found, "
            f"{100 * others / max(1, right + others):.1f}% of what is taken is none"
        )
    for level in (1, 2, 3, 4):
        sums: Counter[str] = Counter()
        for number in range(0, tunes, 5):
            old = score_of(number)
            new = made_easier(old, level).score
            sums["unplayable"] += len(unplayable(new)) > len(unplayable(old))
            sums["before"] += sum(len(e.notes) for m in old.measures for e in m.events)
            sums["after"] += sum(len(e.notes) for m in new.measures for e in m.events)
        print(
            f"step {level}: {sums['after']} of {sums['before']} notes left; unplayable "
            f"{sums['unplayable']}"
        )


def speed(tunes: int) -> None:
    """Seconds of the processor for 64 measures of eighths that name their chords, the best of
    three."""
    old = next(s for s in map(score_of, range(0, 200, 2)) if _chords(s) > 2)
    measures = [m for _ in range(64) for m in old.measures][:64]
    score = replace(
        old, measures=tuple(replace(m, index=index) for index, m in enumerate(measures))
    )
    notes = sum(len(e.notes) for m in score.measures for e in m.events)
    there = retuned(score, "aEAC#E").score
    for name, work in (
        ("another tuning", lambda: retuned(score, "aEAC#E")),
        ("and back", lambda: retuned(there, old.setup.tuning.written)),
        ("another key, all ways", lambda: transposed(score, semitones=2)),
        ("another key, fretted", lambda: transposed(score, semitones=3, by="fretting")),
        *((f"up the neck, {p}", partial(moved_up, score, p)) for p in ("5-9", "next", "climb")),
        *((f"easier {step}", partial(made_easier, score, step)) for step in (1, 2, 3, 4)),
    ):
        best = 9.0
        for _ in range(3):
            started = time.process_time()
            work()
            best = min(best, time.process_time() - started)
        print(f"{name}: {notes} notes in 64 measures, {best:.2f} s")


def _chords(score: Score) -> int:
    return len({chord.text for m in score.measures for chord in m.chords})


PARTS = {"tuning": tuning, "key": key, "neck": neck, "easier": easier, "speed": speed}

if __name__ == "__main__":
    main()
