"""Reading documents and counting what is right."""

from __future__ import annotations

import json
import tempfile
from collections import Counter, defaultdict
from dataclasses import dataclass, field
from functools import partial
from multiprocessing import Pool
from pathlib import Path

from tests.benchmarks.grammar.document import document
from tests.benchmarks.grammar.model import Document
from tests.benchmarks.unlike.score import KINDS, Compared, Difference, as_share, compare
from tests.benchmarks.unlike.truth import TrueTune, load

NAMES = {"facts": "metadata"}


@dataclass
class Outcome:
    """What came of a document: its comparison and the values it used."""

    found: Compared
    values: dict[str, str] = field(default_factory=dict)


def kept(document: Document, folder: Path) -> Path:
    """Write the text, its truth and its lines beside each other; return the text's path."""
    path = folder / f"{document.name}.txt"
    path.write_bytes(document.data)
    truth = json.dumps(document.truth, indent=1)
    path.with_suffix(".json").write_text(truth, encoding="utf-8")
    lines = [{"line": x.text, "label": x.label, "tune": x.tune} for x in document.lines]
    about = {"values": document.values, "lines": lines}
    path.with_suffix(".lines").write_text(json.dumps(about, indent=1), encoding="utf-8")
    return path


def outcome(index: int, part: str, seed: int, out: str = "") -> Outcome:
    """Make a document, read it, compare."""
    made = document(part, seed, index)
    with tempfile.TemporaryDirectory() as name:
        path = kept(made, Path(out or name))
        truth = load(path.with_suffix(".json"))
        try:
            found = compare(path, truth)
        except Exception as error:
            found = Compared(path.stem, refused=True)
            found.differences.append(Difference("music", f"crashed: {error!r}"))
    found.differences = [d for d in found.differences if not _implied(d, truth)]
    return Outcome(found=found, values=made.values)


def _implied(difference: Difference, truth: tuple[TrueTune, ...]) -> bool:
    """Whether a repeat was opened where its closing alone is typed: the same music."""
    at = difference.measure
    if at is None or not difference.words.endswith("a repeat opens: True"):
        return False
    return any(at < len(t.measures) and t.measures[at].left == "implied" for t in truth)


def outcomes(part: str, count: int, seed: int, processes: int, out: str = "") -> list[Outcome]:
    """The outcomes of documents, in their order."""
    one = partial(outcome, part=part, seed=seed, out=out)
    if processes == 1:
        return [one(index) for index in range(count)]
    with Pool(processes) as pool:
        return pool.map(one, range(count), chunksize=4)


def totals(results: list[Outcome]) -> list[str]:
    """The shares of documents that are right, refused, silent, falsely alarmed."""
    found, number = [r.found for r in results], len(results)
    lines = []
    for kind in KINDS:
        right = sum(all(d.kind != kind for d in c.differences) for c in found)
        lines.append(f"{NAMES.get(kind, kind) + ' right':<18} {as_share(right, number)}")
    music = [c for c in found if any(d.kind == "music" for d in c.silent)]
    right = sum(c.right for c in found)
    alarms = sum(bool(c.alarms) for c in found)
    lines += [
        f"{'wholly right':<18} {as_share(right, number)}",
        f"{'refused':<18} {as_share(sum(c.refused for c in found), number)}",
        f"{'silent errors':<18} {as_share(sum(bool(c.silent) for c in found), number)}",
        f"{'  in the music':<18} {as_share(len(music), number)}",
        f"{'false alarms':<18} {as_share(alarms, right)} of what is right",
    ]
    return lines


def by_value(results: list[Outcome]) -> list[str]:
    """For each value of each choice the share of its documents that is wholly right."""
    right: Counter[tuple[str, str]] = Counter()
    silent: Counter[tuple[str, str]] = Counter()
    whole: Counter[tuple[str, str]] = Counter()
    for result in results:
        for item in result.values.items():
            whole[item] += 1
            right[item] += result.found.right
            silent[item] += bool(result.found.silent)
    choices: dict[str, list[str]] = defaultdict(list)
    for choice, name in sorted(whole, key=lambda item: (item[0], right[item] / whole[item])):
        item = (choice, name)
        share = as_share(right[item], whole[item])
        choices[choice].append(f"  {share:<22} silent {silent[item]:<4} {name}")
    return [line for choice, lines in choices.items() for line in (choice, *lines)]


def each(results: list[Outcome]) -> list[str]:
    """Every difference and alarm, document by document."""
    lines = []
    for c in (r.found for r in results):
        if c.differences or c.alarms:
            lines.append(f"\n{c.name}:")
        for d in c.differences[:12]:
            lines.append(f"  {'SILENT ' if d.silent else ''}{d.kind}: {d.words[:230]}")
        lines += [f"  alarm: {alarm[:160]}" for alarm in c.alarms[:3]]
    return lines
