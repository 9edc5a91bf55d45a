"""Runs tunes through arranger, typist, baselines and solver, in worker processes."""

from __future__ import annotations

import importlib
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from time import perf_counter

from .arrange import arrange
from .baselines import Patterns, count_patterns
from .corpus import load
from .dances import titles
from .model import ArrangedTune, CorpusTune, SolvedTune, Style, TuneKind
from .rolls import roll_tune
from .score import Miss, Tally, score_baselines, score_tune
from .split import is_for_tuning
from .typist import type_tune

ROLL_TUNES = 1000  # how many roll tunes there are, to tune on and to report on
WORKERS = 2
NO_TIME = "no time heading"  # in the name of a row

Solver = Callable[[str, bool], SolvedTune]
Key = tuple[str, TuneKind]  # (style, or style and "no time heading"; kind of tune)


@dataclass(frozen=True, slots=True)
class Plan:
    """What is asked for. ``tunes``: at most so many of each kind; None for all there are."""

    styles: tuple[Style, ...]
    kinds: tuple[TuneKind, ...]
    seed: int
    dev: bool
    tunes: int | None
    baselines_only: bool = False
    headless: bool = True


def numbers(plan: Plan, available: Sequence[int]) -> list[int]:
    """The numbers of the tunes to run, spread over all of that part if not all are asked for."""
    part = [n for n in available if is_for_tuning(n) is plan.dev]
    if plan.tunes is None or plan.tunes >= len(part):
        return part
    return [part[i * len(part) // plan.tunes] for i in range(plan.tunes)]


def run(plan: Plan) -> Iterator[tuple[dict[Key, Tally], list[Miss]]]:
    """The tallies of one tune after the other, and what was read wrongly in it."""
    corpus = {t.number: t for t in load().tunes}
    jobs: list[tuple[Plan, TuneKind, CorpusTune | int]] = []
    for kind in plan.kinds:
        if kind is TuneKind.ROLL:
            jobs += [(plan, kind, n) for n in numbers(plan, range(ROLL_TUNES))]
        else:
            jobs += [(plan, kind, corpus[n]) for n in numbers(plan, sorted(corpus))]
    patterns = {kind: learn(kind, plan.seed) for kind in plan.kinds}
    with ProcessPoolExecutor(WORKERS, initializer=_start, initargs=(patterns,)) as pool:
        yield from pool.map(_one, jobs, chunksize=4)


def tunes(plan: Plan, kind: TuneKind) -> Iterator[ArrangedTune]:
    """The tunes of a kind, laid out on the banjo."""
    if kind is TuneKind.ROLL:
        yield from (roll_tune(n, plan.seed) for n in numbers(plan, range(ROLL_TUNES)))
        return
    corpus = {t.number: t for t in load().tunes}
    yield from (make(kind, corpus[n], plan.seed) for n in numbers(plan, sorted(corpus)))


def learn(kind: TuneKind, seed: int) -> Patterns:
    """The commonest patterns of a kind of tune, counted on the part to tune on."""
    if kind is TuneKind.ROLL:
        return count_patterns(roll_tune(n, seed) for n in range(ROLL_TUNES) if is_for_tuning(n))
    return count_patterns(
        arrange(t, seed, bare=kind is TuneKind.BARE)
        for t in load().tunes
        if is_for_tuning(t.number)
    )


_patterns: dict[TuneKind, Patterns] = {}


def _start(patterns: dict[TuneKind, Patterns]) -> None:
    _patterns.update(patterns)


def the_solver() -> Solver:
    """The library under test, imported only when it is to be run."""
    solver: Solver = importlib.import_module(f"{__package__}.solver").solve
    return solver


def make(kind: TuneKind, source: CorpusTune | int, seed: int) -> ArrangedTune:
    """A tune laid out on the banjo: a roll tune by its number, or an arranged melody."""
    if isinstance(source, int):
        return roll_tune(source, seed)
    return arrange(source, seed, bare=kind is TuneKind.BARE)


def _one(job: tuple[Plan, TuneKind, CorpusTune | int]) -> tuple[dict[Key, Tally], list[Miss]]:
    plan, kind, source = job
    arranged = make(kind, source, plan.seed)
    tallies: dict[Key, Tally] = {}
    misses: list[Miss] = []
    solver = None if plan.baselines_only else the_solver()
    runs = [(style, True) for style in plan.styles]
    if plan.headless and Style.EVEN in plan.styles:
        runs.append((Style.EVEN, False))
    for style, heading in runs:
        title = "" if kind is TuneKind.ROLL or heading else titles()[arranged.number]
        typed = type_tune(arranged, style, plan.seed, time_heading=heading, title=title)
        name = str(style) if heading else f"{style}, {NO_TIME}"
        tally = tallies[name, kind] = score_baselines(typed, _patterns[kind])
        if solver is None:
            continue
        start = perf_counter()
        try:
            solved = solver(typed.text, heading)
        except Exception:
            tally.crashed += 1
            continue
        tally.seconds += perf_counter() - start
        misses += score_tune(typed, solved, tally, f"{kind} {arranged.number} {name}")
    return tallies, misses
