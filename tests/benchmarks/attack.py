"""The standing attack: changed tabs and scores through reading and every writer.

``python -m tests.benchmarks.attack [--texts N] [--scores N] [--seconds S] [--seed K]`` takes tabs
(samples, the texts of ``unlike``, generated ones) and MusicXML (written from them, and as other
programs write it), changes each in one to six ways (``attack_changes.py``,
``attack_score_changes.py``) and holds to what must be true of any input (``attack_rules.py``):

- nothing but a TabError is raised;
- what is written as text, and as MusicXML, has the same notes when it is read again;
- the MIDI file plays every measure, or a problem names the measure;
- no note begins before its measure or after it;
- it takes less than five seconds of one core.

Every case is written as MusicXML, text, MIDI and MEI; the slow formats are written for a share of
them (``SHARES``): svg for one in 20, pdf and the page for one in 50, mxl for one in 10. Cases run
in one process, which is replaced when it hangs or aborts; the case that did it is then found. A
finding is printed with the name of its case: ``--only text:17`` prints the input again, and
``--try text:17`` runs it here. It stops after the numbers, or after the seconds, and says how many
it did. Findings become tests.
"""

from __future__ import annotations

import argparse
import gc
import random
import sys
import time
import traceback
from collections import Counter, deque
from collections.abc import Iterator, Sequence
from functools import cache
from pathlib import Path

from lxml import etree
from msgspec import Struct
from pebble import ProcessFuture, ProcessPool
from tests.benchmarks.attack_changes import changed_text
from tests.benchmarks.attack_rules import formats_of, tune_wrong
from tests.benchmarks.attack_score_changes import another_score, changed_score
from tests.tunes import SIGNS, every_technique
from tests.writing import generated

import rollstave

ROOT = Path(__file__).resolve().parents[2]
LIMIT = 5.0  # seconds of one core for one input
_HANGS = 60.0  # seconds after which a process is replaced, for one input
_LOT = 20  # inputs that a process is given at once
_TOLD_EVERY = 1000  # cases
_PIECE = 14  # lines of a text that are changed
_MEASURES = 4  # of a score that are changed
_TUNES = 2  # of a text, that are written and read again


class Finding(Struct, frozen=True):
    """An input that breaks a rule: the name of its case, and what is wrong."""

    case: str
    wrong: str


@cache
def seed_texts() -> tuple[str, ...]:
    folders = (ROOT / "samples", ROOT / "tests/benchmarks/unlike/texts")
    files = [path for folder in folders for path in sorted(folder.glob("*.txt"))]
    texts = [path.read_bytes().decode("utf-8", "replace") for path in files]
    texts += [SIGNS, every_technique(), *(generated.tab(seed) for seed in range(12))]
    return tuple(piece for text in texts for piece in _pieces(text))


def _pieces(text: str) -> Iterator[str]:
    """A text in pieces that are quick to read, each under the head of the whole."""
    lines = text.splitlines()
    rows = [index for index, line in enumerate(lines) if line.count("-") > 7] or [0]
    head = lines[: min(rows[0], 14)]
    for start in range(rows[0], len(lines), 3 * _PIECE):
        yield "\n".join([*head, *lines[start : start + _PIECE]]) + "\n"


@cache
def seed_scores() -> tuple[bytes, ...]:
    """MusicXML of the seeds that are not very long, and that of other programs."""
    found = []
    for text in seed_texts():
        try:
            tunes = rollstave.read(text)
        except rollstave.TabError:
            continue
        found += [rollstave.write(tune, "musicxml")[0] for tune in tunes[:2]]
    own = [_first_measures(data) for data in found[::2]]
    return (*own, *map(another_score, range(len(own) // 3)))


def _first_measures(data: bytes) -> bytes:
    root = etree.fromstring(data)
    for part in root.iter("part"):
        del part[_MEASURES:]
    return etree.tostring(root)


def input_of(kind: str, seed: int) -> bytes:
    """The input of a case."""
    choose = random.Random(f"{kind} {seed}")
    if kind == "text":
        return changed_text(choose, seed_texts())
    return changed_score(choose, seed_scores())


def wrong_with(data: bytes, formats: tuple[str, ...]) -> str | None:
    """What is wrong with how an input is read and written, or None."""
    start = time.process_time()
    try:
        for tune in rollstave.read(data)[:_TUNES]:
            if wrong := tune_wrong(tune, formats):
                return wrong
    except rollstave.TabError:
        pass
    except Exception as error:
        where = traceback.extract_tb(error.__traceback__)[-1]
        place = f"{Path(where.filename).name}:{where.lineno}"
        return f"{type(error).__name__} at {place}: {str(error)[:120]}"
    spent = time.process_time() - start
    return f"{spent:.1f} seconds" if spent > LIMIT else None


def attack_lot(kind: str, seeds: Sequence[int]) -> list[Finding]:
    """The findings among some cases."""
    found = []
    gc.disable()  # a process has some hundred thousand objects that stay
    for seed in seeds:
        if wrong := wrong_with(input_of(kind, seed), formats_of(seed)):
            found.append(Finding(f"{kind}:{seed}", wrong))
    gc.enable()
    return found


class _Run:
    """The cases of one run, in a process that is replaced when it hangs or aborts."""

    def __init__(self, pool: ProcessPool) -> None:
        self.pool = pool
        self.total = Counter[str]()
        self.wrong = Counter[str]()

    def run(self, kind: str, seeds: range, end: float) -> None:
        waiting: deque[tuple[Sequence[int], ProcessFuture[list[Finding]]]] = deque()
        for lot in _lots(seeds):
            waiting.append((lot, self._given(kind, lot)))
            if len(waiting) > 2:
                self._take(kind, *waiting.popleft())
            if time.monotonic() > end:
                break
        while waiting:
            self._take(kind, *waiting.popleft())

    def _given(self, kind: str, lot: Sequence[int]) -> ProcessFuture[list[Finding]]:
        # The first lot also makes the seeds.
        return self.pool.schedule(attack_lot, args=(kind, lot), timeout=_HANGS + 5 * len(lot))

    def _take(self, kind: str, lot: Sequence[int], task: ProcessFuture[list[Finding]]) -> None:
        try:
            found = task.result()
        except Exception as error:  # the process hangs or aborts
            if len(lot) > 1:
                for seed in lot:
                    self._take(kind, [seed], self._given(kind, [seed]))
                return
            found = [Finding(f"{kind}:{lot[0]}", f"{type(error).__name__}: {error}")]
        before = self.total[kind]
        self.total[kind] += len(lot)
        for finding in found:
            self.wrong[finding.wrong.split(":")[0]] += 1
            print(f"{finding.case}: {finding.wrong}", flush=True)
        if self.total[kind] // _TOLD_EVERY > before // _TOLD_EVERY:
            print(f"  {self.total[kind]} {kind}s, {sum(self.wrong.values())} findings", flush=True)


def _lots(seeds: range) -> Iterator[range]:
    for first in range(0, len(seeds), _LOT):
        yield seeds[first : first + _LOT]


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else "")
    parser.add_argument("--texts", type=int, default=20_000)
    parser.add_argument("--scores", type=int, default=20_000)
    parser.add_argument("--seconds", type=float, default=float("inf"))
    parser.add_argument("--seed", type=int, default=0, help="of the first case")
    parser.add_argument("--only", default="", help="a case such as text:17: print its input")
    parser.add_argument("--try", dest="tried", default="", help="a case: run it here")
    said = parser.parse_args(arguments)
    if case := said.only or said.tried:
        kind, _, number = case.partition(":")
        data = input_of(kind, int(number))
        if said.only:
            sys.stdout.buffer.write(data)
        else:
            print(wrong_with(data, formats_of(int(number))))
        return 0
    begin = time.monotonic()
    with ProcessPool(max_workers=1) as pool:
        run = _Run(pool)
        seeds = range(said.seed, said.seed + max(said.texts, said.scores))
        run.run("text", seeds[: said.texts], begin + said.seconds / (2 if said.scores else 1))
        run.run("score", seeds[: said.scores], begin + said.seconds)
    total, wrong = run.total, run.wrong
    print(f"{total['text']} texts, {total['score']} scores, {sum(wrong.values())} findings")
    for words, count in wrong.most_common(20):
        print(f"{count:6} {words}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
