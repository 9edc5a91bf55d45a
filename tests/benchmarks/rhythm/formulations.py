"""Squeezed typing under four formulations of the solver, on the tunes that are reported on.

    python -m tests.benchmarks.rhythm.formulations [TUNES]

- counted: the commonest patterns of the meter, role and number of notes, by their counts alone (a
  generative model of measures, as in the baseline, but with the chain of onsets for rare ones);
- counted, tune: the same, and the tune's own repetition as a mixture around it;
- factors: conditional log-linear factors of hands, neighbours and meter, measure by measure;
- factors, tune: both, which is what the package does.
"""

from __future__ import annotations

import sys

from msgspec.structs import replace

from rollstave.rhythm import by_weighing
from rollstave.rhythm.model_data import RhythmData, rhythm_data

from .corpus import load
from .model import MeasureKind, Style, TuneKind
from .run import ROLL_TUNES, Plan, make, numbers
from .solver import solve
from .typist import type_tune


def right(kind: TuneKind, tunes: int | None) -> float:
    """Share of measures that are right, in percent."""
    corpus = {t.number: t for t in load().tunes}
    plan = Plan((Style.SQUEEZED,), (kind,), 1, False, tunes)
    good = total = 0
    available = range(ROLL_TUNES) if kind is TuneKind.ROLL else sorted(corpus)
    for number in numbers(plan, available):
        source = number if kind is TuneKind.ROLL else corpus[number]
        typed = type_tune(make(kind, source, plan.seed), Style.SQUEEZED, plan.seed)
        solved = solve(typed.text, True)
        for truth, read in zip(typed.measures, solved.measures, strict=True):
            if truth.kind is not MeasureKind.ODD and truth.onsets:
                total += 1
                good += (truth.onsets, truth.durations) == (read.onsets, read.durations)
    return 100 * good / total


def main() -> None:
    tunes = int(sys.argv[1]) if len(sys.argv) > 1 else None
    fitted = rhythm_data()
    counted = replace(fitted, weights={"prior": 1.0})
    rounds = by_weighing.ROUNDS
    ways: dict[str, tuple[RhythmData, int]] = {
        "counted": (counted, 0),
        "counted, tune": (counted, rounds),
        "factors": (fitted, 0),
        "factors, tune": (fitted, rounds),
    }
    print(f"{'formulation':<16}{'fiddle':>8}{'roll':>8}")
    for name, (data, times) in ways.items():
        by_weighing.rhythm_data = lambda data=data: data  # type: ignore[assignment, misc]
        by_weighing.ROUNDS = times  # type: ignore[misc]
        shares = [right(kind, tunes) for kind in (TuneKind.FIDDLE, TuneKind.ROLL)]
        print(f"{name:<16}{shares[0]:>8.2f}{shares[1]:>8.2f}")


if __name__ == "__main__":
    main()
