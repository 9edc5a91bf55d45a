"""How time and memory of reading grow when one thing in a file is multiplied.

``python -m tests.benchmarks.growth_dimensions [PART ...]`` reads texts and MusicXML with n, 2n and
4n of a thing, each in a process of its own, and prints seconds of one core, the peak of memory, and
the exponent from n to 4n: 1 is linear, 2 quadratic. The project's bars are 10 s and 500 MB for
whatever is not refused: with ``--largest`` before the parts each text is as large as is let in, a
score as well, and each is written, too. It asserts
nothing; tests/reading/test_limits.py counts work.
"""

from __future__ import annotations

import math
import multiprocessing
import random
import resource
import sys
import time
from collections.abc import Callable

import rollstave
from rollstave.musicxml_in.document import MOST
from rollstave.reading.page.decode import refuse_long

_SYSTEM = "d|--0-----0-|\nB|----1-----|\nG|------0---|\nD|----------|\ng|--------0-|\n\n"
_HEAD = (
    '<score-partwise><part-list><score-part id="P"><part-name>B</part-name></score-part>'
    '</part-list><part id="P"><measure><attributes><divisions>4</divisions></attributes>'
)
_PITCH = "<pitch><step>G</step><octave>4</octave></pitch>"
_NOTE = f"<note>{_PITCH}<duration>4</duration></note>"
_CHORD = f"<note><chord/>{_PITCH}<duration>4</duration></note>"
_END = "</measure></part></score-partwise>"


def _rows(cells: str) -> str:
    return "\n".join(f"{label}|{cells}|" for label in "dBGDg") + "\n"


_FULL = 8  # columns of notes


def _measure(choose: random.Random, width: int, notes: int) -> list[str]:
    """A measure like no other: notes by chance, on any string, in columns of no grid."""
    rows = [["-"] * width for _ in "dBGDg"]
    # In a short measure two figures beside each other are likely, and soon a fret beyond any neck.
    for column in choose.sample(range(0, width, 2 if width <= 2 * _FULL else 1), notes):
        string = choose.randrange(5)
        rows[string][column] = "0" if string == 4 else str(choose.randrange(10))
    return ["".join(row) for row in rows]


def _unlike(n: int, width: int, notes: int, between: str = "", each: int = 4) -> str:
    """Systems of measures that are all different, with words before each."""
    choose = random.Random(n)
    found = ["Title: Tide\nTime: 4/4\n\n"]
    for _ in range(n):
        rows = zip(*[_measure(choose, width, notes) for _ in range(each)], strict=True)
        lines = (f"{s}|{'|'.join(row)}|\n" for s, row in zip("dBGDg", rows, strict=True))
        found.append(between + "".join(lines) + "\n")
    return "".join(found)


# What is multiplied, and how often the smallest text has it.
DIMENSIONS: dict[str, tuple[Callable[[int], str], int]] = {
    "text: empty lines": (lambda n: "\n" * n, 9_000),
    "text: rows": (lambda n: "d|--0-----0-|\n" * n, 2_000),
    "text: systems": (lambda n: "Time: 4/4\n\n" + _SYSTEM * n, 1_000),
    "text: measures of a row": (lambda n: _rows("|".join(["0--0--0-"] * n)), 400),
    "text: notes of a measure": (lambda n: _rows("0--" * n), 1_500),
    "text: tunes of one title": (lambda n: ("Title: Tide\n\n" + _SYSTEM) * n, 400),
    "text: headings": (lambda n: "".join(f"Composer: a{i}\n" for i in range(n)), 2_000),
    "text: words of a line": (lambda n: _SYSTEM + "lorem ipsum " * n, 10_000),
    "text: lines of words": (lambda n: _SYSTEM + "lorem ipsum\n" * n, 3_000),
    "text: repeats": (lambda n: _rows(":||:".join(["0--0--0-"] * n)), 400),
    "text: section names": (lambda n: ("[A part]\n" + _SYSTEM) * n, 400),
    "text: different measures": (lambda n: _unlike(n, 16, 6), 60),
    "text: tiny measures": (lambda n: _unlike(n, 2, 1, each=24), 60),
    "text: one measure by chance": (lambda n: _unlike(1, 4 * n, n, each=1), 1_000),
    "text: tunes of their own": (lambda n: _unlike(n, 16, 6, "Title: Tide\n\n", 2), 60),
    "text: chords over": (lambda n: _unlike(n, 16, 6, "  G       D7      Em      C\n"), 60),
    "text: parts again": (lambda n: _unlike(n, 16, 6, "A part again\n\nB part\n"), 60),
    "xml: empty measures": (lambda n: _HEAD + "</measure><measure>" * n + _END, 1_000),
    "xml: measures": (lambda n: _HEAD + f"</measure><measure>{_NOTE * 4}" * n + _END, 500),
    "xml: notes at once": (lambda n: _HEAD + _NOTE + _CHORD * n + _END, 1_000),
    "xml: notes of a measure": (lambda n: _HEAD + _NOTE * n + _END, 200),
    "xml: grace notes": (
        lambda n: _HEAD + f"<note><grace/>{_PITCH}</note>" * n + _NOTE + _END,
        500,
    ),
    "xml: repeats": (
        lambda n: (
            _HEAD
            + f'{_NOTE}<barline><repeat direction="backward"/></barline></measure><measure>' * n
            + _NOTE
            + _END
        ),
        400,
    ),
}


def _measured(text: str) -> tuple[float, float]:
    """Seconds of one core and the peak of memory in MB."""
    start = time.process_time()
    try:
        rollstave.read(text)
    except rollstave.TabError as error:
        print(f"  refused: {str(error)[:90]}", flush=True)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return time.process_time() - start, peak


def _let_in(text: str) -> bool:
    if text.startswith("<"):
        return text.count("<note>") + 2 * text.count("<measure") < MOST
    try:
        refuse_long(text)
    except rollstave.TabError:
        return False
    return True


def _largest(make: Callable[[int], str], size: int) -> str:
    """The largest text that is let in, within a few in a hundred."""
    low, high = size, 2 * size
    while _let_in(make(high)) and len(make(high)) < 2_000_000:
        low, high = high, 2 * high
    while high - low > low // 30 + 1:
        middle = (low + high) // 2
        low, high = (middle, high) if _let_in(make(middle)) else (low, middle)
    return make(low)


def _written(text: str) -> list[str]:
    """What reading a text takes, and writing its tunes in each format that has no pages."""
    seconds, memory = _measured(text)
    told = [f"read {seconds:5.1f} s {memory:4.0f} MB"]
    try:
        tunes = rollstave.read(text)
    except rollstave.TabError:
        return told
    for form in ("text", "musicxml", "midi", "mei"):
        start = time.process_time()
        for tune in tunes:
            rollstave.write(tune, form)
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        told.append(f"{form} {time.process_time() - start:5.1f} s {peak:4.0f} MB")
    return told


def main(parts: list[str]) -> None:
    context = multiprocessing.get_context("spawn")
    if parts[:1] == ["--largest"]:
        for name, (make, size) in DIMENSIONS.items():
            if not parts[1:] or any(part in name for part in parts[1:]):
                text = _largest(make, size)
                with context.Pool(1) as pool:
                    told = "  ".join(pool.apply(_written, (text,)))
                print(f"{name:28} {len(text) / 1e6:5.2f} MB  {told}", flush=True)
        return
    for name, (make, size) in DIMENSIONS.items():
        if parts and not any(part in name for part in parts):
            continue
        found = []
        for times in (1, 2, 4):
            with context.Pool(1) as pool:
                found.append(pool.apply(_measured, (make(times * size),)))
        exponent = math.log(max(found[2][0], 1e-3) / max(found[0][0], 1e-3), 4)
        told = "  ".join(f"{seconds:6.2f} s {memory:4.0f} MB" for seconds, memory in found)
        print(f"{name:26} {size:6}  {told}  exponent {exponent:4.2f}", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
