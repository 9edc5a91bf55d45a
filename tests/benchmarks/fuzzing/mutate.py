"""Mutations that keep the shape of a tab: what is changed in one row may be changed in all."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

from tests.benchmarks.fuzzing.corpus import SIGNS, SYSTEM, WORDS, encode


def _replace(lines: list[bytes], rng: random.Random) -> None:
    """A sign over what stands somewhere in one line, so that columns stay where they are."""
    row = rng.randrange(len(lines))
    sign = encode(rng.choice(SIGNS))
    at = rng.randint(0, len(lines[row]))
    lines[row] = lines[row][:at] + sign + lines[row][at + len(sign) :]


def _insert(lines: list[bytes], rng: random.Random) -> None:
    row = rng.randrange(len(lines))
    at = rng.randint(0, len(lines[row]))
    lines[row] = lines[row][:at] + encode(rng.choice(SIGNS)) + lines[row][at:]


def _column(lines: list[bytes], rng: random.Random) -> None:
    """The same sign in one column of several lines."""
    first = rng.randrange(len(lines))
    sign = encode(rng.choice(SIGNS))
    at = rng.randint(0, max(len(line) for line in lines))
    for row in range(first, min(len(lines), first + rng.choice((4, 5, 6)))):
        lines[row] = lines[row][:at] + sign + lines[row][at:]


def _cut_columns(lines: list[bytes], rng: random.Random) -> None:
    at = rng.randint(0, max(len(line) for line in lines))
    width = rng.randint(1, 12)
    for row in range(len(lines)):
        lines[row] = lines[row][:at] + lines[row][at + width :]


def _remove(lines: list[bytes], rng: random.Random) -> None:
    if len(lines) > 1:
        del lines[rng.randrange(len(lines))]


def _again(lines: list[bytes], rng: random.Random) -> None:
    first = rng.randrange(len(lines))
    last = min(len(lines), first + rng.randint(1, 7))
    where = rng.randint(0, len(lines))
    lines[where:where] = lines[first:last]


def _swap(lines: list[bytes], rng: random.Random) -> None:
    one, other = rng.randrange(len(lines)), rng.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]


def _words(lines: list[bytes], rng: random.Random) -> None:
    lines.insert(rng.randint(0, len(lines)), encode(rng.choice(WORDS)))


def _stretch(lines: list[bytes], rng: random.Random) -> None:
    """A piece of a line many times over."""
    row = rng.randrange(len(lines))
    line = lines[row]
    at = rng.randint(0, len(line))
    piece = line[at : at + rng.randint(1, 6)]
    lines[row] = line[:at] + piece * rng.randint(2, 40) + line[at:]


def _system(lines: list[bytes], rng: random.Random) -> None:
    where = rng.randint(0, len(lines))
    lines[where:where] = [encode(line) for line in SYSTEM.split("\n")]


WAYS = (
    (_replace,) * 6
    + (_insert,) * 5
    + (_column,) * 3
    + (_cut_columns, _remove, _again, _swap, _words, _stretch, _system)
)


def _bytes_changed(data: bytes, rng: random.Random) -> bytes:
    """Without any shape: bytes put in, taken out, made others, or one bit turned."""
    at = rng.randint(0, len(data))
    if data and rng.random() < 0.3:
        at = rng.randrange(len(data))
        return data[:at] + bytes([data[at] ^ 1 << rng.randrange(8)]) + data[at + 1 :]
    return data[:at] + rng.randbytes(rng.randint(0, 3)) + data[at + rng.randint(0, 3) :]


def mutated(data: bytes, most: int, rng: random.Random) -> bytes:
    """A change or a few, of lines or of bytes; at most ``most`` bytes."""
    for _ in range(rng.choice((1, 1, 1, 2, 3, 5))):
        if rng.random() < 0.25:
            data = _bytes_changed(data, rng)
            continue
        lines = data.split(b"\n")
        rng.choice(WAYS)(lines, rng)
        data = b"\n".join(lines)[:most]
    return data[:most]


def mutator(data: bytes, most: int, seed: int) -> bytes:
    """A mutator as atheris calls it."""
    return mutated(data, most, random.Random(seed))


def blind(seeds: Sequence[bytes], most: int, seed: int) -> Callable[[], bytes]:
    """Inputs without a guide: a seed, changed more and more."""
    rng = random.Random(seed)

    def make() -> bytes:
        data = rng.choice(seeds)
        for _ in range(rng.randint(1, 4)):
            data = mutated(data, most, rng)
        return data

    return make
