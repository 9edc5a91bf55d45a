"""False alarms on right tabs that no weight of proofreading was fitted on.

    python -m tests.benchmarks.proofreading.alarms                     # totals by typist
    python -m tests.benchmarks.proofreading.alarms --each --typists finch gorse heron

Right tabs are: corpus melodies laid out by the arrangers of the rhythm benchmark and typed by its
independent typists (nobody of them knows proofreading), the texts of ``tests/benchmarks/unlike``
and the samples. A mark on a text that is read wrongly is counted apart: it may well be true.
``ivy`` and ``juniper`` are the part left out: look at their totals, never at their marks.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from tests.benchmarks.rhythm.corpus import load_few
from tests.benchmarks.rhythm.model import ArrangedTune, MeasureKind, Style
from tests.benchmarks.rhythm.people import (
    INDEPENDENT_ARRANGERS,
    INDEPENDENT_TYPISTS,
    arranged,
    typed,
)
from tests.benchmarks.unlike.score import compare
from tests.benchmarks.unlike.truth import load

import rollstave
from rollstave.api import Tune
from rollstave.problems import TabError
from rollstave.proofreading import Correction, proofread

ROOT = Path(__file__).parents[3]
LEFT_OUT = ("ivy", "juniper")
COLLECTIONS = ("ryansMammoth", "airdsAirs", "oneills1850")
STYLES = (Style.EVEN, Style.PUSHED, Style.COUNTED)


@dataclass
class Alarms:
    """Of right tabs: how many, their measures, the marks by code; and those read wrongly."""

    tabs: int = 0
    measures: int = 0
    marks: Counter[str] = field(default_factory=Counter)
    misread: int = 0
    misread_marks: Counter[str] = field(default_factory=Counter)

    def line(self, name: str) -> str:
        marks, hundred = self.marks.total(), 100 / max(1, self.measures)
        by_code = ", ".join(f"{code} {number}" for code, number in self.marks.most_common())
        apart = f"{self.misread} misread with {self.misread_marks.total()} marks"
        return (
            f"{name:<10}{self.tabs:>5} tabs{self.measures:>6} measures{marks:>5} marks, "
            f"{marks * hundred:.2f} per hundred; {apart}; {by_code}"
        )


def typed_tabs(typist: str, count: int, seed: int) -> Iterator[tuple[str, str, ArrangedTune]]:
    """A name, the text and what was arranged; tunes that the corpus itself has wrong left out."""
    for collection in COLLECTIONS:
        for number, tune in enumerate(load_few(collection, count)):
            if any(m.kind is MeasureKind.ODD for m in tune.measures):
                continue
            arranger = sorted(INDEPENDENT_ARRANGERS)[number % len(INDEPENDENT_ARRANGERS)]
            style = STYLES[number // len(INDEPENDENT_ARRANGERS) % len(STYLES)]
            laid = arranged(arranger, tune, seed)
            name = f"{typist}-{arranger}-{style}-{collection}-{tune.number}"
            yield name, typed(typist, laid, style, seed).text, laid


def is_read_right(tune: Tune, truth: ArrangedTune) -> bool:
    """True if every string, fret and onset is as arranged, in a unit of its own."""
    measures = tune.score.measures
    if len(measures) != len(truth.measures):
        return False
    scale = tune.score.meter.length / truth.meter.length
    for read, meant in zip(measures, truth.measures, strict=True):
        one = [(e.onset, n.string, n.fret) for e in read.events for n in e.notes]
        other = [(e.onset * scale, s.string, s.fret) for e in meant.events for s in e.strokes]
        if sorted(one, key=str) != sorted(other, key=str):
            return False
    return True


def of_typist(typist: str, count: int, seed: int) -> tuple[Alarms, list[str]]:
    found, said = Alarms(), []
    for name, text, truth in typed_tabs(typist, count, seed):
        try:
            tunes = rollstave.read(text)
        except TabError:
            found.misread += 1
            continue
        marks = [mark for tune in tunes for mark in proofread(tune)]
        right = len(tunes) == 1 and is_read_right(tunes[0], truth)
        _add(found, right, len(truth.measures), marks)
        said += [f"{'right' if right else 'MISREAD'} {name} {_shown(m)}" for m in marks]
    return found, said


def of_texts() -> tuple[Alarms, list[str]]:
    """The seen unlike texts whose truth names no doubt, and the samples."""
    found, said = Alarms(), []
    texts = sorted((ROOT / "tests/benchmarks/unlike/texts").glob("*.txt"))
    for path in [*texts, *sorted((ROOT / "samples").glob("*.txt"))]:
        truth = path.with_suffix(".json")
        if truth.exists() and any(tune.doubtful for tune in load(truth)):
            continue
        try:
            tunes = rollstave.read(path)
        except TabError:
            found.misread += 1
            continue
        compared = compare(path, load(truth)) if truth.exists() else None
        right = compared is None or not any(
            d.kind in ("music", "structure") for d in compared.differences
        )
        marks = [mark for tune in tunes for mark in proofread(tune)]
        _add(found, right, sum(len(t.score.measures) for t in tunes), marks)
        said += [f"{'right' if right else 'MISREAD'} {path.name} {_shown(m)}" for m in marks]
    return found, said


def _add(found: Alarms, right: bool, measures: int, marks: list[Correction]) -> None:
    codes = Counter(mark.code for mark in marks)
    if right:
        found.tabs += 1
        found.measures += measures
        found.marks += codes
    else:
        found.misread += 1
        found.misread_marks += codes


def _shown(mark: Correction) -> str:
    return f"{mark.place.line}:{mark.place.column} [{mark.code}] {mark.message} -> {mark.mend}"


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.proofreading.alarms")
    parser.add_argument("--typists", nargs="+", default=sorted(INDEPENDENT_TYPISTS))
    parser.add_argument("--tunes", type=int, default=9, help="of each collection")
    parser.add_argument("--seed", type=int, default=11)
    parser.add_argument("--each", action="store_true", help="every mark, but of those left out")
    arguments = parser.parse_args()
    for typist in arguments.typists:
        found, said = of_typist(typist, arguments.tunes, arguments.seed)
        print(found.line(typist), flush=True)
        if arguments.each and typist not in LEFT_OUT:
            print("\n".join(said))
    found, said = of_texts()
    print(found.line("texts"))
    if arguments.each:
        print("\n".join(said))


if __name__ == "__main__":
    main()
