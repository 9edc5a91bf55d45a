"""Planting slips and counting what is found."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from tests.benchmarks.rhythm.corpus import load
from tests.benchmarks.rhythm.model import MeasureKind, Style, TuneKind
from tests.benchmarks.rhythm.run import ROLL_TUNES, make
from tests.benchmarks.rhythm.typist import type_tune

import rollstave
from rollstave.api import Tune
from rollstave.problems import TabError
from rollstave.proofreading import proofread

from .plant import KINDS, Slip

_MOST_TRIES = 50
Marks = set[tuple[str, int]]  # code and line
_MAJOR = (0, 2, 4, 5, 7, 9, 11)


@dataclass
class Counts:
    """Of one kind of slip: planted, found, leaving a trace, and found of those."""

    planted: int = 0
    found: int = 0
    traced: int = 0
    traced_found: int = 0


@dataclass
class Result:
    """Everything counted. ``accused`` has the false marks on clean tabs by code."""

    slips: dict[str, Counts] = field(default_factory=lambda: {kind: Counts() for kind in KINDS})
    clean_measures: int = 0
    clean_tabs: int = 0
    accused: Counter[str] = field(default_factory=Counter)


def clean_tabs(seed: int) -> Iterator[str]:
    """Clean tabs without end: arranged fiddle tunes and roll tunes by turns. Tunes with measures
    of odd length, which nearly all are errors of the corpus, are not clean and left out."""
    corpus = [
        tune
        for tune in sorted(load().tunes, key=lambda t: t.number)
        if all(m.kind is not MeasureKind.ODD for m in tune.measures)
    ]
    rng = random.Random(f"{seed}:clean")
    while True:
        tune = make(TuneKind.FIDDLE, rng.choice(corpus), seed)
        yield type_tune(tune, Style.EVEN, seed).text
        yield type_tune(make(TuneKind.ROLL, rng.randrange(ROLL_TUNES), seed), Style.EVEN, seed).text


def run(slips: int, seed: int) -> Result:
    """Plant so many slips, kind by kind in turn, each in a tab of its own; each of these tabs is
    proofread clean as well."""
    result = Result()
    tabs = clean_tabs(seed)
    kinds = list(KINDS)
    for number in range(slips):
        kind = kinds[number % len(kinds)]
        text = next(tabs)
        (tune,) = rollstave.read(text)
        before = {(m.code, m.place.line) for m in proofread(tune)}
        result.clean_tabs += 1
        result.clean_measures += len(tune.score.measures)
        result.accused.update(m.code for m in proofread(tune))
        rng = random.Random(f"{seed}:{number}:{kind}")
        lines = text.split("\n")
        tries = (KINDS[kind](lines, rng) for _ in range(_MOST_TRIES))
        slip = next((s for s in tries if s is not None), None)
        if slip is None:  # a tab that cannot hold this kind of slip
            continue
        counts = result.slips[kind]
        found = _is_found(slip, before)
        traced = leaves_trace(kind, tune, slip)
        counts.planted += 1
        counts.found += found
        counts.traced += traced
        counts.traced_found += found and traced
    return result


def _is_found(slip: Slip, before: Marks) -> bool:
    try:
        (tune,) = rollstave.read(slip.text)
    except TabError as error:
        return any(
            p.place and slip.first_line <= p.place.line <= slip.last_line for p in error.problems
        )
    except ValueError:  # read as several tunes
        return False
    return any(
        slip.first_line <= place.line <= slip.last_line
        for m in proofread(tune)
        if (m.code, m.place.line) not in before
        for place in (m.place, m.also)
        if place is not None
    )


# What leaves a trace ---------------------------------------------------------------------------


def leaves_trace(kind: str, clean: Tune, slip: Slip) -> bool:
    """By the definition at the top of the package."""
    if kind not in ("wrong fret", "wrong string", "wrong tuning"):
        return True
    try:
        (changed,) = rollstave.read(slip.text)
    except TabError:
        return True
    if kind == "wrong tuning":
        return _loss_of_scale(clean, changed) >= 0.1
    assert slip.note is not None
    line, column = slip.note
    measures = changed.score.measures
    for index, measure in enumerate(measures):
        for event in measure.events:
            for note in event.notes:
                if (note.place.line, note.place.column) == (line, column + 1):
                    sounds = Counter(
                        n.pitch.midi % 12 for m in measures for e in m.events for n in e.notes
                    )
                    alone = sounds[note.pitch.midi % 12] == 1
                    return alone or _has_twin(clean, index)
    return True


def _content(tune: Tune, index: int) -> tuple[object, ...]:
    return tuple(
        (e.onset, n.string, n.fret) for e in tune.score.measures[index].events for n in e.notes
    )


def _has_twin(clean: Tune, index: int) -> bool:
    own = _content(clean, index)
    return any(
        _content(clean, other) == own
        for other in range(len(clean.score.measures))
        if other != index
    )


def _loss_of_scale(clean: Tune, changed: Tune) -> float:
    """How many of the notes leave the scale that held them best before, as a share."""
    before, after = (
        Counter(n.pitch.midi % 12 for m in t.score.measures for e in m.events for n in e.notes)
        for t in (clean, changed)
    )

    def best(counts: Counter[int]) -> float:
        whole = sum(counts.values())
        return max(sum(counts[(t + s) % 12] for s in _MAJOR) for t in range(12)) / whole

    return best(before) - best(after)
