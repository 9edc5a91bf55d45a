"""What is called sure of a typist who had no say in it: each left out in turn.

    python -m tests.benchmarks.rhythm.left_out set /tmp/left
    python -m tests.benchmarks.rhythm.left_out measure /tmp/left --part 1/4
    python -m tests.benchmarks.rhythm.left_out table /tmp/left

``set`` writes the fitted data once without each typist (about three minutes; needs scipy): from
which odds on a reading is sure is set on all the others. ``measure`` reads texts of each typist
with the data that do not know that one, in parts that fit a short while, each in a file of its own.
``table`` adds up the parts that are there; with ``--misses N`` it also names the first N measures
that are sure and wrong.

Tunes are drawn by the seed: so many of each collection, each laid out by each arranger, and as many
tunes of rolls. The typists whose texts nobody looked at while the solver was mended type all of
them, the others every third. Only tunes whose number is a multiple of 5 are reported on; with
``--dev`` only others are drawn, and all typists type all of them.
"""

from __future__ import annotations

import argparse
import json
import random
import sys
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from time import process_time
from typing import NamedTuple

from .changed import CHANGES, is_changed
from .corpus import COLLECTIONS, load_first, sources
from .model import ArrangedTune, CorpusTune, MeasureKind, Style
from .people import ROLL, ROLL_TUNES, SONGS, TYPISTS, arranged, typed
from .split import is_for_tuning

ARRANGERS = ("fiddle", "kestrel", "linnet", "marten")
UNSEEN = ("ivy", "juniper")  # typists whose texts nobody looked at
STYLES = tuple(style for style in Style if style is not Style.DRAWN)
MADE = "made"  # where tunes come from that are in no collection
SET_ON = 80  # tunes of each collection that what is sure is set on
PROMISED = 0.995
SORTS = {ROLL: "rolls", "marten": "in rolls"}  # how a tune is arranged, if not as a melody


@dataclass(frozen=True, slots=True)
class Draw:
    """Which tunes are typed: ``tunes`` of each collection for each arranger."""

    tunes: int
    seed: int
    dev: bool


class Job(NamedTuple):
    """One tune, laid out by one arranger."""

    arranger: str
    collection: str
    source: CorpusTune | int

    @property
    def number(self) -> int:
        return self.source if isinstance(self.source, int) else self.source.number


class Seen(NamedTuple):
    """One measure and what was said of it."""

    typist: str
    style: str
    arranger: str
    collection: str
    number: int
    measure: int
    right: bool
    sure: bool
    milliseconds: float

    @property
    def row(self) -> tuple[str, str, str, str]:
        return self.style, self.arranger, self.collection, self.typist


def jobs(draw: Draw) -> Iterator[Job]:
    """The tunes of a draw, in an order that depends on the seed alone."""

    def drawn(of: int, name: str | int) -> list[int]:
        numbers = [n for n in range(of) if is_for_tuning(n) is draw.dev]
        random.Random(name).shuffle(numbers)
        return numbers

    for collection in (c for c in COLLECTIONS if c != SONGS):
        numbers = drawn(len(sources(collection)), f"{collection}{draw.seed}")
        for tune in load_first(collection, numbers, draw.tunes):
            for arranger in ARRANGERS:
                yield Job(arranger, collection, tune)
    for number in drawn(ROLL_TUNES, draw.seed)[: draw.tunes]:
        yield Job(ROLL, MADE, number)


def types(typist: str, job: Job, draw: Draw) -> bool:
    """Whether a typist types a tune: the others than the unseen ones every third of a report."""
    return draw.dev or typist in UNSEEN or (job.number // 5 + len(job.arranger)) % 3 == 0


def set_without_each(folder: Path, tunes: int) -> None:
    """Write the data without each typist into a folder."""
    from .fit import fit
    from .material import Recipe
    from .people import Sources

    collections = tuple(c for c in COLLECTIONS if c != SONGS)
    recipe = Recipe(Sources(TYPISTS, (*ARRANGERS, ROLL), collections), tunes=tunes)
    fit(recipe, "sure", folder / "sure.json", apart=True)


def _laid_out(job: Job, seed: int, change: str) -> ArrangedTune | None:
    """The tune of a job, changed if that is asked for; None if it cannot be."""
    tune = arranged(job.arranger, job.source, seed)
    if not change:
        return tune
    return CHANGES[change](tune, random.Random(f"{seed}:{change}:{job.arranger}:{job.number}"))


def _in_sixteenths(tune: ArrangedTune) -> bool:
    """False for a tune with times between sixteenths that are no triplet's. The other typists have
    no letter or count for those and type the nearest: such a text says another rhythm."""
    times = (event.onset for measure in tune.measures for event in measure.events)
    return all((12 * time).denominator == 1 for time in times)


def measure(
    folder: Path,
    draw: Draw,
    part: tuple[int, int],
    typists: Sequence[str],
    styles: Sequence[Style],
    change: str = "",
) -> list[Seen]:
    """What is said of each measure of a part of the texts. A text that is read with another number
    of measures than it has is left out: no reading of its rhythm is right or wrong. Of tunes that
    are changed only the measures that the change is in are asked."""
    from .solver import solve
    from .tables import use

    found: list[Seen] = []
    mine = list(jobs(draw))[part[0] - 1 :: part[1]]
    tunes = [(job, tune) for job in mine if (tune := _laid_out(job, draw.seed, change))]
    for typist in typists:
        use(folder / f"sure-without-{typist}.json")
        for job, tune in tunes:
            for style in styles if types(typist, job, draw) else ():
                if style in (Style.COUNTED, Style.LETTERED) and not _in_sixteenths(tune):
                    continue
                text = typed(typist, tune, style, draw.seed)
                solved = solve(text.text, meter_given=True)
                if len(solved.measures) != len(text.measures):
                    continue
                cost = 1000 * (solved.seconds or 0.0) / len(solved.measures)
                for index, (truth, said) in enumerate(
                    zip(text.measures, solved.measures, strict=True)
                ):
                    if truth.kind is MeasureKind.ODD or not truth.onsets:
                        continue
                    if change and not is_changed(change, tune.measures[index], tune):
                        continue
                    right = (truth.onsets, truth.durations) == (said.onsets, said.durations)
                    names = (typist, str(style), job.arranger, job.collection, job.number, index)
                    found.append(Seen(*names, right, said.sure, round(cost, 3)))
    return found


class Sums(NamedTuple):
    """Sums over measures."""

    measures: int = 0
    right: int = 0
    sure: int = 0
    sure_right: int = 0
    milliseconds: float = 0.0

    def and_(self, other: Sums) -> Sums:
        return Sums(
            measures=self.measures + other.measures,
            right=self.right + other.right,
            sure=self.sure + other.sure,
            sure_right=self.sure_right + other.sure_right,
            milliseconds=self.milliseconds + other.milliseconds,
        )

    @property
    def share_right(self) -> float:
        return self.right / max(1, self.measures)

    @property
    def false(self) -> int:
        return self.sure - self.sure_right

    @property
    def share_true(self) -> float:
        return self.sure_right / self.sure if self.sure else 1.0


def rows(seen: Sequence[Seen]) -> dict[tuple[str, str, str, str], Sums]:
    """The sums of each row: style, arranger, collection and typist."""
    found: dict[tuple[str, str, str, str], Sums] = {}
    for one in seen:
        own = Sums(1, one.right, one.sure, one.sure and one.right, one.milliseconds)
        found[one.row] = found.get(one.row, Sums()).and_(own)
    return found


def table(seen: Sequence[Seen]) -> str:
    """For each style and way of arranging: all typists together, and the worst row of each."""
    of_all = rows(seen)
    lines = [
        f"{'style':<10}{'arranged':<10}{'measures':>9}{'right':>8}{'worst':>7}{'sure':>8}"
        f"{'right if':>10}{'worst':>7}{'ms':>6}  worst right; worst if sure (wrong of sure)"
    ]
    for style in STYLES:
        for sort in ("melody", "in rolls", "rolls"):
            group = {
                row: sums
                for row, sums in of_all.items()
                if row[0] == style and SORTS.get(row[1], "melody") == sort
            }
            if group:
                lines.append(_line(style, sort, group))
    claimed = [sums for sums in of_all.values() if sums.sure]
    total = Sums()
    for sums in of_all.values():
        total = total.and_(sums)
    lines.append(
        f"{len(of_all)} rows, {len(claimed)} with anything sure, of which "
        f"{sum(s.share_true < PROMISED for s in claimed)} below {100 * PROMISED:.1f}% "
        f"({sum(s.false > 1 for s in claimed if s.share_true < PROMISED)} by more than one "
        f"measure); sure: {_percent(total.sure, total.measures)}% of all, "
        f"{_percent(total.sure_right, total.sure)}% of them right"
    )
    return "\n".join(lines)


def _line(style: str, sort: str, group: dict[tuple[str, str, str, str], Sums]) -> str:
    total = Sums()
    for sums in group.values():
        total = total.and_(sums)
    worst = min(group, key=lambda row: group[row].share_right)
    false = min(group, key=lambda row: group[row].share_true)
    text = (
        f"{style:<10}{sort:<10}{total.measures:>9}{100 * total.share_right:>8.1f}"
        f"{100 * group[worst].share_right:>7.1f}{_percent(total.sure, total.measures):>8}"
        f"{_percent(total.sure_right, total.sure):>10}{100 * group[false].share_true:>7.1f}"
        f"{total.milliseconds / total.measures:>6.2f}  {_who(worst)}"
    )
    if group[false].false:
        text += f"; {_who(false)} ({group[false].false} of {group[false].sure})"
    return text


def _who(row: tuple[str, str, str, str]) -> str:
    return f"{row[3]} {row[1]} {row[2]}"


def _percent(part: int, whole: int) -> str:
    return f"{100 * part / whole:.2f}" if whole else "-"


def _part(text: str) -> tuple[int, int]:
    part, _, of = text.partition("/")
    number, count = int(part), int(of or 1)
    if not 1 <= number <= count:
        raise ValueError(text)
    return number, count


def _saved(folder: Path) -> list[Seen]:
    """All parts that are there; of one draw, or they do not belong together."""
    found: list[Seen] = []
    draws = set()
    for path in sorted(folder.glob("part-*.json")):
        whole = json.loads(path.read_text("utf-8"))
        draws.add(tuple(whole["draw"].values()))
        found += [Seen(*row) for row in whole["seen"]]
    if len(draws) != 1:
        raise SystemExit(f"{folder}: parts of {len(draws)} draws; measure one of them first")
    return found


def main() -> int:
    """Parse the command line, set, measure or print."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.benchmarks.rhythm.left_out",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    steps = parser.add_subparsers(dest="step", required=True)
    for name in ("set", "measure", "table"):
        step = steps.add_parser(name, formatter_class=argparse.ArgumentDefaultsHelpFormatter)
        step.add_argument("folder", type=Path)
        add = step.add_argument
        if name == "set":
            add("--tunes", type=int, default=SET_ON, help="of each collection, to set on")
        elif name == "measure":
            add("--tunes", type=int, default=10, help="of each collection for each arranger")
            add("--seed", type=int, default=22)
            add("--dev", action="store_true", help="tunes that may be tuned on")
            add("--part", type=_part, default="1/1", metavar="K/N", help="every Nth from the Kth")
            add("--typists", nargs="+", default=TYPISTS, choices=TYPISTS, metavar="NAME")
            add("--styles", nargs="+", type=Style, default=STYLES, metavar="STYLE")
            add("--change", choices=CHANGES, default="", help="tunes changed so")
        else:
            add("--misses", type=int, default=0, metavar="N", help="name wrong ones that are sure")
    args = parser.parse_args()
    args.folder.mkdir(parents=True, exist_ok=True)
    if args.step == "set":
        set_without_each(args.folder, args.tunes)
    elif args.step == "measure":
        draw = Draw(args.tunes, args.seed, args.dev)
        start = process_time()
        seen = measure(args.folder, draw, args.part, args.typists, args.styles, args.change)
        names = {*args.typists} ^ {*TYPISTS} and "-".join(args.typists)
        styles = {*args.styles} ^ {*STYLES} and "-".join(args.styles)
        which = "-".join(
            n for n in (args.change, "of".join(map(str, args.part)), names, styles) if n
        )
        path = args.folder / f"part-{which}.json"
        path.write_text(json.dumps({"draw": asdict(draw), "seen": seen}), "utf-8")
        print(f"{len(seen)} measures in {process_time() - start:.0f} s of the processor: {path}")
    else:
        seen = _saved(args.folder)
        print(table(seen))
        for one in [s for s in seen if s.sure and not s.right][: args.misses]:
            print("sure and wrong:", *one[:6])
    return 0


if __name__ == "__main__":
    sys.exit(main())
