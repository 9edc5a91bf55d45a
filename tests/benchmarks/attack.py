"""The standing attack: changed tabs and scores through reading and every writer.

``python -m tests.benchmarks.attack [--texts N] [--scores N] [--seconds S] [--seed K]`` takes tabs
(samples, the texts of ``unlike``, generated ones) and the MusicXML written from them, changes each
in one to six ways (``attack_changes.py``) and holds to what must be true of any input:

- nothing but a TabError is raised;
- what is written as text, and as MusicXML, has the same notes when it is read again;
- playing reaches every measure, or a problem names the measure;
- no note begins before its measure or after it;
- it takes less than five seconds of one core.

Sheets are set for one in ``--sheets`` of them. Each lot runs in a process of its own with a limit,
so that one that hangs or aborts is found too. A finding is printed with the seed of its case:
``--only SEED`` prints the input again. It stops after the numbers, or after the seconds, and says
how many it did. Findings become tests.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections import Counter
from collections.abc import Sequence
from functools import cache
from pathlib import Path

from msgspec import Struct
from pebble import ProcessPool
from tests.benchmarks.attack_changes import changed_score, changed_text
from tests.writing import generated

import rollstave
from rollstave.deciding.playback import never_played
from rollstave.score.records import Score
from rollstave.vocabulary import problems as kinds

ROOT = Path(__file__).resolve().parents[2]
LIMIT = 5.0  # seconds for one input
_LOT = 25  # inputs that a process is given at once
_TUNES = 3  # of a text, that are written and read again


class Finding(Struct, frozen=True):
    """An input that breaks a rule: the name of its case, and what is wrong."""

    case: str
    wrong: str


@cache
def seed_texts() -> tuple[str, ...]:
    folders = (ROOT / "samples", ROOT / "tests/benchmarks/unlike/texts")
    files = [path for folder in folders for path in sorted(folder.glob("*.txt"))]
    texts = [rollstave_text(path.read_bytes()) for path in files]
    return (*texts, *(generated.tab(seed) for seed in range(12)))


def rollstave_text(data: bytes) -> str:
    return data.decode("utf-8", "replace")


@cache
def seed_scores() -> tuple[bytes, ...]:
    """MusicXML of the seeds that are not very long."""
    found = []
    for text in seed_texts():
        try:
            tunes = rollstave.read(text)
        except rollstave.TabError:
            continue
        found += [rollstave.write(tune, "musicxml")[0] for tune in tunes[:2]]
    return tuple(sorted(found, key=len)[: len(found) * 3 // 4])


def input_of(kind: str, seed: int) -> bytes:
    """The input of a case."""
    choose = random.Random(f"{kind} {seed}")
    if kind == "text":
        return changed_text(choose, seed_texts())
    return changed_score(choose, seed_scores())


def played_notes(score: Score) -> list[tuple[object, ...]]:
    """What is struck: measure, time, string, fret or that it has none."""
    return [
        (measure.index, event.onset, note.string, note.fret, note.muted)
        for measure in score.measures
        for event in measure.events
        for note in event.notes
    ]


def _of_tune(tune: rollstave.Tune, told: frozenset[str], sheet: bool) -> str | None:
    score = tune.score
    for measure in score.measures:
        if any(not 0 <= event.onset <= measure.length for event in measure.events):
            return "a note outside its measure"
    if never_played(score.measures) and kinds.NEVER_PLAYED.code not in told:
        return "a measure is never played and not named"
    own = played_notes(score)
    # Columns hold what is written in notes, not a thousandth of a beat.
    typed = all(24 % event.onset.denominator == 0 for m in score.measures for event in m.events)
    for name in ("musicxml", "text") if typed else ("musicxml",):
        (data,) = rollstave.write(tune, name)
        instrument = score.setup.instrument if name == "text" else None
        try:
            again = rollstave.read(data, instrument=instrument)
        except rollstave.TabError as error:
            return f"the {name} is refused: {error}"
        if len(again) != 1:
            return f"the {name} has {len(again)} tunes"
        other = played_notes(again[0].score)
        if other != own:
            both = zip([*own, None], [*other, None], strict=False)
            first = next((a, b) for a, b in both if a != b)
            return f"the {name} has other notes: {first}"
    rollstave.write(tune, "midi")
    if sheet:
        rollstave.write(tune, "svg")
    return None


def wrong_with(data: bytes, sheet: bool = False) -> str | None:
    """What is wrong with how an input is read and written, or None."""
    start = time.process_time()
    try:
        tunes = rollstave.read(data)
        told = frozenset(p.code for tune in tunes for p in tune.problems)
        for tune in tunes[:_TUNES]:
            if wrong := _of_tune(tune, told, sheet):
                return wrong
    except rollstave.TabError:
        pass
    except Exception as error:
        import traceback

        where = traceback.extract_tb(error.__traceback__)[-1]
        place = f"{Path(where.filename).name}:{where.lineno}"
        return f"{type(error).__name__} at {place}: {str(error)[:120]}"
    spent = time.process_time() - start
    return f"{spent:.1f} seconds" if spent > LIMIT else None


def attack_lot(kind: str, seeds: Sequence[int], sheets: int) -> list[Finding]:
    """The findings among some cases."""
    found = []
    for seed in seeds:
        wrong = wrong_with(input_of(kind, seed), bool(sheets) and seed % sheets == 0)
        if wrong:
            found.append(Finding(f"{kind}:{seed}", wrong))
    return found


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else "")
    parser.add_argument("--texts", type=int, default=20_000)
    parser.add_argument("--scores", type=int, default=20_000)
    parser.add_argument("--seconds", type=float, default=float("inf"))
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--sheets", type=int, default=50)
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--only", default="", help="a case such as text:17: print its input")
    said = parser.parse_args(arguments)
    if said.only:
        kind, _, number = said.only.partition(":")
        sys.stdout.buffer.write(input_of(kind, int(number)))
        return 0
    end = time.monotonic() + said.seconds
    total, counts = Counter[str](), Counter[str]()
    with ProcessPool(max_workers=said.workers) as pool:
        for kind, number in (("text", said.texts), ("score", said.scores)):
            waiting = []
            stop = end if kind == "score" else time.monotonic() + (said.seconds / 2)
            for first in range(said.seed, said.seed + number, _LOT):
                seeds = range(first, min(first + _LOT, said.seed + number))
                task = pool.schedule(attack_lot, args=(kind, seeds, said.sheets), timeout=300)
                waiting.append((seeds, task))
                if len(waiting) < 2 * said.workers:
                    continue
                _take(kind, waiting.pop(0), total, counts)
                if time.monotonic() > stop:
                    break
            for one in waiting:
                _take(kind, one, total, counts)
    print(f"{total['text']} texts, {total['score']} scores, {sum(counts.values())} findings")
    for wrong, count in counts.most_common(20):
        print(f"{count:6} {wrong}")
    return 1 if counts else 0


def _take(kind: str, one: tuple[range, object], total: Counter[str], counts: Counter[str]) -> None:
    seeds, task = one
    try:
        found = task.result()  # type: ignore[attr-defined]
    except Exception as error:  # a process that hangs or aborts
        found = [Finding(f"{kind}:{seeds[0]} to {seeds[-1]}", f"{type(error).__name__}: {error}")]
    total[kind] += len(seeds)
    for finding in found:
        counts[finding.wrong.split(":")[0]] += 1
        print(f"{finding.case}: {finding.wrong}", flush=True)


if __name__ == "__main__":
    sys.exit(main())
