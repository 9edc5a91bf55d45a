"""``python -m tests.benchmarks.rhythm``: the table of the rhythm benchmark."""

from __future__ import annotations

import argparse
import sys
from itertools import islice
from pathlib import Path

from .corpus import load
from .model import Style, TuneKind
from .report import LEGEND, miss_text, reliability, short_measures, table
from .rolls import roll_tune
from .run import NO_TIME, Key, Plan, make, run, tunes
from .score import Miss, Tally
from .typist import type_tune


def main() -> int:
    """Parse the command line, run, print."""
    try:
        import rollstave  # noqa: F401
    except ModuleNotFoundError:  # run from a checkout that is not installed
        sys.path.insert(0, str(Path(__file__).parents[3] / "convert"))
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.rhythm", description=__doc__)
    parser.add_argument("--tunes", type=int, help="at most so many tunes of each kind")
    parser.add_argument("--styles", nargs="+", type=Style, default=list(Style), metavar="STYLE")
    parser.add_argument(
        "--kinds",
        nargs="+",
        type=TuneKind,
        default=[TuneKind.FIDDLE, TuneKind.ROLL],
        metavar="KIND",
        help="fiddle (arranged), roll, bare (melodies as they are)",
    )
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--dev", action="store_true", help="the tunes that may be tuned on, not those to report on"
    )
    parser.add_argument("--baselines", action="store_true", help="do not run the solver")
    parser.add_argument(
        "--misses", type=int, default=0, metavar="N", help="show the first N wrong measures"
    )
    parser.add_argument(
        "--sure-misses", type=int, default=0, metavar="N", help="the same, of those called sure"
    )
    parser.add_argument(
        "--show",
        nargs=3,
        metavar=("KIND", "NUMBER", "STYLE"),
        help="print one typed tune and stop",
    )
    args = parser.parse_args()
    if args.show:
        print(_typed(TuneKind(args.show[0]), int(args.show[1]), Style(args.show[2]), args.seed))
        return 0
    plan = Plan(
        styles=tuple(args.styles),
        kinds=tuple(args.kinds),
        seed=args.seed,
        dev=args.dev,
        tunes=args.tunes,
        baselines_only=args.baselines,
    )
    totals: dict[Key, Tally] = {}
    misses: list[Miss] = []
    for tallies, missed in run(plan):
        misses += missed
        for key, tally in tallies.items():
            totals.setdefault(key, Tally()).add(tally)
    for miss in islice((m for m in misses if m.solved.sure), args.sure_misses):
        print(miss_text(miss))
    for miss in islice(misses, args.misses):
        print(miss_text(miss))
    part = "tunes to tune on" if plan.dev else "tunes to report on"
    skipped = len(load().skipped)
    print(f"{part}, seed {plan.seed}; {skipped} corpus tunes cannot be used\n")
    print(table(totals, solved=not plan.baselines_only))
    print(f"\n{LEGEND}")
    if not plan.baselines_only:
        print(f"\n{short_measures(totals)}")
        if Style.EVEN in plan.styles:
            from .ceiling import ceiling

            shares = [f"{kind} {100 * ceiling(tunes(plan, kind)):.1f}%" for kind in plan.kinds]
            print(f"\nmeter not given, at best (see ceiling.py): {', '.join(shares)}")
        headless = {key: tally for key, tally in totals.items() if NO_TIME in key[0]}
        with_time = {key: tally for key, tally in totals.items() if key not in headless}
        print(f"\nreliability, all rows with a time heading\n{reliability(with_time)}")
        if headless:
            print(f"\nreliability, no time heading\n{reliability(headless)}")
        for style in plan.styles:
            if style is Style.SQUEEZED:
                rows = {key: tally for key, tally in totals.items() if key[0] == style}
                print(f"\nreliability, {style}\n{reliability(rows)}")
    return 0


def _typed(kind: TuneKind, number: int, style: Style, seed: int) -> str:
    if kind is TuneKind.ROLL:
        return type_tune(roll_tune(number, seed), style, seed).text
    source = next(t for t in load().tunes if t.number == number)
    return type_tune(make(kind, source, seed), style, seed).text


if __name__ == "__main__":
    sys.exit(main())
