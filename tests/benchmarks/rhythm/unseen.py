"""How well rhythm is read of typists and arrangers that nothing was fitted on.

    python -m tests.benchmarks.rhythm.unseen --tunes 20

Every tune is laid out by every arranger and typed by every typist in every style. With
``--data FILE`` the solver weighs with what ``fit --leave-out NAME --out FILE`` has written. What
the weights were fitted on, or what is sure was set on, is marked with a star. Tunes whose number is
a multiple of 5 are taken: no fit has seen them.

Without a time heading the solver is not told the meter, nor the title (the independent typists
invent theirs). Of ``essenFolksong`` melodies alone are typed, squeezed: it has the tunes for more
ways of melody, and no tunes for banjo.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path
from time import perf_counter
from typing import Any, NamedTuple

from . import people
from .corpus import COLLECTIONS, load_few
from .model import CorpusTune, MeasureKind, Style
from .people import ARRANGERS_OF_SONGS, FITTED, OURS, ROLL, SONGS, Sources, arranged, typed
from .report import percent
from .run import WORKERS
from .score import Tally, score_baselines, score_tune
from .split import is_for_tuning

NO_TIME = "even, no time"
STYLES = (*(str(s) for s in Style if s is not Style.DRAWN), NO_TIME)
MADE = "made"  # where tunes come from that are in no collection


class Row(NamedTuple):
    """What is measured together."""

    style: str
    arranger: str
    collection: str
    typist: str


@dataclass(frozen=True, slots=True)
class Job:
    """One tune, to be typed by all typists in all styles."""

    arranger: str
    collection: str
    tune: CorpusTune | int
    typists: tuple[str, ...]
    styles: tuple[str, ...]
    seed: int
    told: bool


def jobs(
    sources: Sources, styles: Sequence[str], count: int, seed: int, told: bool
) -> Iterator[Job]:
    """So many tunes of each collection for each arranger."""
    for collection in sources.collections:
        tunes = [tune for tune in load_few(collection, count) if _in_its_meter(tune)]
        for arranger in sources.arrangers:
            songs = collection == SONGS
            if arranger == ROLL or (songs and arranger not in ARRANGERS_OF_SONGS):
                continue
            fit = tuple(s for s in styles if not songs or s == Style.SQUEEZED)
            for tune in tunes:
                yield Job(arranger, collection, tune, sources.typists, fit, seed, told)
    if ROLL in sources.arrangers:
        numbers = [n for n in range(people.ROLL_TUNES) if not is_for_tuning(n)]
        for i in range(min(count, len(numbers))):
            number = numbers[i * len(numbers) // count]
            yield Job(ROLL, MADE, number, sources.typists, tuple(styles), seed, told)


def _in_its_meter(tune: CorpusTune) -> bool:
    """Whether most measures of a tune are as long as its meter says: where they are not, the
    collection names another meter than it prints, and no text can say what is right."""
    odd = sum(measure.kind is MeasureKind.ODD for measure in tune.measures)
    return 2 * odd < len(tune.measures)


def measure(job: Job) -> dict[Row, Tally]:
    """The tallies of one tune."""
    from .solver import solve

    tune = arranged(job.arranger, job.tune, job.seed)
    found: dict[Row, Tally] = {}
    for typist in job.typists:
        for name in job.styles:
            heading = name != NO_TIME
            style = Style(name) if heading else Style.EVEN
            text = typed(typist, tune, style, job.seed, heading)
            row = Row(name, job.arranger, job.collection, typist)
            tally = found[row] = score_baselines(text, {})
            start = perf_counter()
            try:
                told = text.meter if job.told else None
                solved = solve(text.text, heading, title_given=False, told=told)
            except Exception:
                tally.crashed += 1
                continue
            tally.seconds += perf_counter() - start
            for _ in score_tune(text, solved, tally):
                pass
    return found


def run(work: Sequence[Job], data: Path | None) -> dict[Row, Tally]:
    """All tallies, in an order that does not depend on the processes."""
    totals: dict[Row, Tally] = {}
    start = {"initializer": _use, "initargs": (data,)}
    with ProcessPoolExecutor(WORKERS, **start) as pool:  # type: ignore[arg-type]
        for found in pool.map(measure, work, chunksize=2):
            for row, tally in found.items():
                totals.setdefault(row, Tally()).add(tally)
    return dict(sorted(totals.items(), key=lambda item: _order(item[0])))


def _use(data: Path | None) -> None:
    if data is not None:
        from .tables import use

        use(data)


def _order(row: Row) -> tuple[Any, ...]:
    return STYLES.index(row.style), row.arranger, row.collection, row.typist


# The tables --------------------------------------------------------------------------------

HEADER = (
    f"{'style':<14}{'arranger':<10}{'collection':<15}{'typist':<9}{'measures':>9}{'right':>8}"
    f"{'sure':>8}{'right if':>9}{'ms per':>8}{'misread':>8}\n"
    f"{'':<57}{'':>8}{'':>8}{'sure':>9}{'measure':>8}{'tunes':>8}"
)
SUMMARY = (
    f"{'':<14}{'':<16}{'right':>7}{'right,':>8}{'':>8}{'sure,':>8}{'':>8}{'right if':>9}{'':>8}"
    f"{'ms per':>8}\n"
    f"{'style':<14}{'':<16}{'ours':>7}{'unseen':>8}{'worst':>8}{'unseen':>8}{'least':>8}"
    f"{'sure':>9}{'worst':>8}{'measure':>8}  worst right; worst if sure"
)


def rows_table(totals: dict[Row, Tally], fitted: Sources) -> str:
    """Every row; a star beside what the weights were fitted on."""
    lines = [HEADER]
    for row, t in totals.items():
        names = (
            _starred(row.arranger, fitted.arrangers).ljust(10)
            + _starred(row.collection, (*fitted.collections, MADE)).ljust(15)
            + _starred(row.typist, fitted.typists).ljust(9)
        )
        lines.append(
            f"{row.style:<14}{names}{t.measures:>9}{percent(t.right, t.measures):>8}"
            f"{percent(t.sure, t.measures):>8}{percent(t.sure_right, t.sure):>9}"
            f"{_milliseconds(t):>8.2f}{t.misread + t.crashed or '':>8}"
        )
    return "\n".join(lines)


def summary(
    totals: dict[Row, Tally], fitted: Sources, by: Callable[[Row], str], heading: str
) -> str:
    """For each style and group of rows: the project's own typist, then the mean of all typists
    that nothing was fitted on and the worst row of them, with its name."""
    groups: dict[tuple[str, str], dict[Row, Tally]] = {}
    for row, tally in totals.items():
        groups.setdefault((row.style, by(row)), {})[row] = tally
    lines = [SUMMARY.replace(f"style{'':<9}{'':<16}", f"style{'':<9}{heading:<16}")]
    for (style, name), rows in groups.items():
        own = _sum(t for r, t in rows.items() if r.typist == OURS)
        unseen = {r: t for r, t in rows.items() if r.typist not in fitted.typists}
        if not unseen:
            continue
        total = _sum(unseen.values())
        worst = min(unseen, key=lambda r: unseen[r].right / max(1, unseen[r].measures))
        least = min(t.sure / max(1, t.measures) for t in unseen.values())
        claimed = {r: t for r, t in unseen.items() if t.sure}
        false = min(claimed, key=lambda r: claimed[r].sure_right / claimed[r].sure, default=None)
        false_share = percent(claimed[false].sure_right, claimed[false].sure) if false else "-"
        slowest = max(_milliseconds(t) for t in unseen.values())
        lines.append(
            f"{style:<14}{name:<16}{percent(own.right, own.measures):>7}"
            f"{percent(total.right, total.measures):>8}"
            f"{percent(unseen[worst].right, unseen[worst].measures):>8}"
            f"{percent(total.sure, total.measures):>8}{100 * least:>8.2f}"
            f"{percent(total.sure_right, total.sure):>9}{false_share:>8}{slowest:>8.2f}"
            f"  {_who(worst, name)}" + (f"; {_who(false, name)}" if false else "")
        )
    return "\n".join(lines)


def without_time(totals: dict[Row, Tally], fitted: Sources) -> str:
    """No time heading: measures and tunes, with the unit and with the unit left open."""
    lines = [
        f"{'no time heading':<26}{'measures right':>16}{'right if sure':>16}"
        f"{'meter of tunes':>16}\n"
        f"{'arranger':<11}{'typist':<15}" + f"{'unit':>8}{'open':>8}" * 3
    ]
    groups: dict[tuple[str, str], Tally] = {}
    for row, tally in totals.items():
        if row.style == NO_TIME:
            groups.setdefault((row.arranger, row.typist), Tally()).add(tally)
    for (arranger, typist), t in groups.items():
        names = f"{arranger:<11}{_starred(typist, fitted.typists):<15}"
        figures = [
            percent(t.right, t.measures),
            percent(t.right_scaled, t.measures),
            percent(t.sure_right, t.sure),
            percent(t.sure_scaled, t.sure),
            percent(t.meters, t.tunes),
            percent(t.meters_scaled, t.tunes),
        ]
        lines.append(names + "".join(f.rjust(8) for f in figures))
    return "\n".join(lines)


def headings_missed(totals: dict[Row, Tally]) -> str:
    """Tunes whose named time was read as another or not at all: nothing the solver can mend."""
    named: dict[str, Tally] = {}
    for row, tally in totals.items():
        if row.style != NO_TIME:
            named.setdefault(row.typist, Tally()).add(tally)
    shares = (f"{name} {percent(t.tunes - t.meters, t.tunes)}%" for name, t in named.items())
    misread = (f"{name} {percent(t.misread, t.tunes)}%" for name, t in named.items())
    return (
        f"texts whose named time is not read: {', '.join(shares)}\n"
        f"texts with another number of measures than typed: {', '.join(misread)}"
    )


def _who(row: Row, group: str) -> str:
    known = (group.rstrip("*"), MADE)
    return " ".join(n for n in (row.typist, row.arranger, row.collection) if n not in known)


def _starred(name: str, fitted: Sequence[str]) -> str:
    return f"{name}*" if name in fitted else name


def _sum(tallies: Any) -> Tally:
    total = Tally()
    for tally in tallies:
        total.add(tally)
    return total


def _milliseconds(tally: Tally) -> float:
    return 1000 * tally.solve_seconds / tally.timed if tally.timed else 0.0


def main() -> int:
    """Parse the command line, run, print."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.benchmarks.rhythm.unseen",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    add = parser.add_argument
    add("--tunes", type=int, default=20, help="of each collection for each arranger")
    add("--typists", nargs="+", default=people.TYPISTS, metavar="NAME")
    add("--styles", nargs="+", default=STYLES, choices=STYLES, metavar="STYLE")
    arrangers = tuple(a for a in people.ARRANGERS if a != "bare")
    add("--arrangers", nargs="+", default=arrangers, metavar="NAME")
    add("--collections", nargs="+", default=COLLECTIONS, metavar="NAME")
    add("--seed", type=int, default=1)
    add("--data", type=Path, help="fitted data in place of the package's")
    add("--told", action="store_true", help="the meter, as if every time heading could be read")
    add("--rows", action="store_true", help="every row, not only the worst")
    args = parser.parse_args()
    try:
        sources = Sources(
            tuple(args.typists), tuple(args.arrangers), tuple(args.collections)
        ).check()
    except ValueError as error:
        parser.error(str(error))
    from .tables import PACKAGED, parsed

    data = parsed(args.data or PACKAGED)
    names = data.get("fitted_on")
    fitted = Sources(**{k: tuple(v) for k, v in names.items()}) if names else FITTED
    # A typist whose texts have set what is sure is not unseen either.
    knew = {*fitted.typists, *data.get("sure_set_on", {}).get("typists", ())}
    fitted = replace(fitted, typists=tuple(t for t in people.TYPISTS if t in knew))
    totals = run(list(jobs(sources, args.styles, args.tunes, args.seed, args.told)), args.data)
    known = (*fitted.typists, *fitted.arrangers, *fitted.collections)
    print(f"{args.tunes} tunes a row, seed {args.seed}; fitted on (*): {', '.join(known)}\n")
    if args.rows:
        print(rows_table(totals, fitted) + "\n")
    print(summary(totals, fitted, lambda row: _starred(row.arranger, fitted.arrangers), "arranger"))
    collections = (*fitted.collections, MADE)
    print()
    print(summary(totals, fitted, lambda r: _starred(r.collection, collections), "collection"))
    if NO_TIME in args.styles:
        print("\n" + without_time(totals, fitted))
    print("\n" + headings_missed(totals))
    return 0


if __name__ == "__main__":
    sys.exit(main())
