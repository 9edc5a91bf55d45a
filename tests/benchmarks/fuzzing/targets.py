"""The table of what is fuzzed, imported with coverage in the process that does it."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.fuzzing import corpus, inner, solver, whole


@dataclass(frozen=True, slots=True)
class Target:
    """A function of bytes that raises for a finding, where it begins, and the longest input.

    ``text`` says that it reads text: then inputs are changed by the shape of tabs, and the slowest
    are timed again at 100 kB.
    """

    run: Callable[[bytes], object]
    seeds: Callable[[], Iterable[bytes]]
    longest: int
    text: bool = True


def _pieces() -> list[bytes]:
    return [corpus.encode(piece) for piece in corpus.pieces()]


def _lines() -> list[bytes]:
    return [corpus.encode(line) for line in corpus.lines()]


def _words() -> list[bytes]:
    chords = [word for line in corpus.WORDS for word in line.split()]
    after = [line.partition(": ")[2] or line for line in corpus.HEADINGS]
    return [corpus.encode(word) for word in dict.fromkeys([*after, *chords, "C#4", "Bb-1"])]


def _encoded() -> list[bytes]:
    piece = corpus.HEAD + corpus.SYSTEM.replace("-", "─")
    names = (
        "utf-8",
        "utf-8-sig",
        "utf-16",
        "utf-16-le",
        "utf-16-be",
        "cp437",
        "cp1252",
        "mac_roman",
    )
    found = [piece.encode(name, "replace") for name in names]
    return [*found, piece.encode().decode("cp1252", "replace").encode(), *_pieces()[:8]]


def _grids() -> list[bytes]:
    rng = random.Random(1)
    return [rng.randbytes(size) for size in range(20, 220, 4)]


def _scores() -> list[bytes]:
    import rollstave

    found = []
    for piece in corpus.pieces()[::4]:
        try:
            tune = rollstave.read(piece)[0]
        except rollstave.TabError:
            continue
        xml = rollstave.write(tune, "musicxml")[0]
        if len(xml) < 9000:
            found.append(xml)
    found.append(rollstave.write(rollstave.read(corpus.pieces()[0])[0], "mxl")[0])
    return found


TARGETS: dict[str, Target] = {
    "encodings": Target(inner.encodings, _encoded, 600),
    "names": Target(inner.names, _words, 40),
    "lines": Target(inner.a_line, _lines, 120),
    "rows": Target(inner.rows, _pieces, 400),
    "scrubbing": Target(inner.scrubbing, _pieces, 500),
    "solver": Target(solver.solve, _grids, 400, text=False),
    "read": Target(whole.read, _pieces, 700),
    "read text": Target(whole.read_text, _pieces, 700),
    "stretched": Target(whole.stretched, _lines, 80),
    "write": Target(whole.write, _pieces, 700),
    "musicxml": Target(whole.musicxml, _scores, 9000, text=False),
}

# How many of a million executions each gets, by what one costs; whole files cost a hundred times
# as much as a word.
SHARES: dict[str, int] = {
    "encodings": 220_000,
    "names": 220_000,
    "lines": 300_000,
    "rows": 140_000,
    "scrubbing": 60_000,
    "solver": 20_000,
    "read": 14_000,
    "read text": 4_000,
    "stretched": 3_000,
    "write": 4_000,
    "musicxml": 15_000,
}


def seeds_into(folder: Path, target: Target) -> int:
    """Write a target's seeds as files, as libFuzzer takes them; how many."""
    folder.mkdir(parents=True, exist_ok=True)
    count = 0
    for count, data in enumerate(target.seeds(), start=1):
        (folder / f"seed-{count:04}").write_bytes(data[: target.longest])
    return count
