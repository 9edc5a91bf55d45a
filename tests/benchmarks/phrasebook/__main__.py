"""The report: ``python -m tests.benchmarks.phrasebook --part dev|held [--each]``.

Each phrase is tried above a small plain tab and below it (the name of a part and an ending over a
system, touching it and not). A fact is *right* where the score has it, *missed* where the score is
as it would be without the phrase, else *wrong*; *silent* are those of the latter two without any
problem at the phrase's lines. On a line without a fact an *alarm* is a fact that was taken, or a
problem at that line; *more* is something taken from a line with facts that it does not state.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections import Counter
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any

from msgspec import Struct
from tests.benchmarks.phrasebook.documents import POSITIONS, Document, document
from tests.benchmarks.phrasebook.taken import OF_FACT, is_right, taken_from

import rollstave

FOLDER = Path(__file__).parent


class Outcome(Struct, frozen=True):
    """What became of a fact, or of a line without one: ``right``, ``missed``, ``wrong``, ``more``;
    ``quiet``, ``taken``, ``asked``. ``said`` are the problems at its lines."""

    fact: str
    what: str
    said: tuple[str, ...]

    @property
    def silent(self) -> bool:
        return self.what in ("missed", "wrong") and not self.said


def phrases(part: str) -> list[dict[str, Any]]:
    """The phrases of a part."""
    lines = (FOLDER / f"{part}.jsonl").read_text(encoding="utf-8").splitlines()
    return [json.loads(line) for line in lines]


@lru_cache(maxsize=512)
def _read(text: str) -> tuple[rollstave.Tune | None, tuple[rollstave.Problem, ...]]:
    try:
        tunes = rollstave.read(text)
    except rollstave.TabError as error:
        return None, error.problems
    return tunes[0] if len(tunes) == 1 else None, tuple(p for t in tunes for p in t.problems)


def outcomes(phrase: dict[str, Any], position: str) -> Iterator[Outcome]:
    """What becomes of a phrase in one position."""
    facts = phrase["facts"]
    doc = document(phrase["text"], facts, position)
    tune, problems = _read(doc.text)
    plain, _ = _read(doc.without)
    said = tuple(f"{p.code}: {p.message}" for p in problems if p.place and _at(p, doc))
    before = taken_from(plain) if plain else {}
    now = taken_from(tune) if tune else {}
    changed = {name for name in {*before, *now} if before.get(name) != now.get(name)}
    if not tune:
        said = said or tuple(p.code for p in problems if p.severity is rollstave.Severity.ERROR)
    if not facts:
        what = "taken" if changed or not tune else "asked" if said else "quiet"
        yield Outcome("none", what, (*said, *(f"{n}: {now.get(n)!r}" for n in sorted(changed))))
        return
    for fact, value in facts.items():
        right = tune is not None and is_right(fact, value, tune, facts, doc)
        mine = changed & set(OF_FACT[fact])
        yield Outcome(fact, "right" if right else "wrong" if mine and tune else "missed", said)
    allowed = {name for fact in facts for name in OF_FACT[fact]}
    if tune and plain and (extra := changed - allowed - {"durations", "fingers", "pitches"}):
        yield Outcome("more", "more", tuple(f"{n}: {now.get(n)!r}" for n in sorted(extra)))


def _at(problem: rollstave.Problem, doc: Document) -> bool:
    return problem.place is not None and problem.place.line in doc.lines


def main() -> int:
    """Try all phrases, and print what became of them."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--part", choices=("dev", "held"), default="dev")
    parser.add_argument("--each", action="store_true", help="every phrase not right (dev only)")
    asked = parser.parse_args()
    if asked.each and asked.part != "dev":
        parser.error("held is reported on in totals only")
    counts: dict[str, Counter[str]] = {}
    for phrase in phrases(asked.part):
        for position in POSITIONS:
            for found in outcomes(phrase, position):
                row = counts.setdefault(found.fact, Counter())
                row[found.what] += 1
                row["silent"] += found.silent
                if asked.each and found.what not in ("right", "quiet"):
                    said = " / ".join(s[:150] for s in found.said)
                    mark = "SILENT " if found.silent else ""
                    true = phrase["facts"].get(found.fact, "")
                    print(f"{mark}{found.what} {found.fact} {position}: {phrase['text']!r}")
                    print(f"    {true!r} | {said}")
    print(f"{'fact':14}{'right':>7}{'missed':>7}{'wrong':>7}{'silent':>7}")
    total: Counter[str] = Counter()
    for fact in OF_FACT:
        if row := counts.get(fact):
            print(f"{fact:14}" + "".join(f"{row[w]:7}" for w in _SHOWN))
            total += row
    facts = sum(total[what] for what in _SHOWN[:3])
    print(f"{'all':14}" + "".join(f"{total[w]:7}" for w in _SHOWN))
    print(f"of {facts}: " + ", ".join(f"{w} {total[w] / facts:.1%}" for w in _SHOWN))
    none, more = counts.get("none", Counter()), counts.get("more", Counter())
    lines = sum(none[what] for what in ("quiet", "taken", "asked"))
    print(f"lines without a fact {lines}: taken {none['taken']}, asked {none['asked']}")
    print(f"taken beside the facts stated: {more['more']}")
    return 0


_SHOWN = ("right", "missed", "wrong", "silent")

if __name__ == "__main__":
    sys.exit(main())
