"""How fast sheets and books are made, and how much of that is Verovio's own work.

``python -m tests.benchmarks.sheets [TUNES]``: a book of TUNES tunes (200) from the samples,
engraved by as many workers as there are processors; then the warm time of one sheet beside
Verovio's own load and render of the same MEI. Prints figures; asserts nothing.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

import rollstave
from rollstave.notating.notation import notate
from rollstave.workers.pool import cores
from rollstave.writing.book import write_book
from rollstave.writing.mei import build_mei
from rollstave.writing.sheet import engraver, write_svg

SAMPLES = sorted((Path(__file__).parents[2] / "samples").glob("*.txt"))


def _seconds(work: Callable[[], object], times: int = 9) -> float:
    """The median time of some runs, after one to warm up."""
    work()
    found = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        found.append(time.perf_counter() - start)
    return median(found)


def _verovio(mei: str) -> None:
    toolkit = engraver.toolkit()
    toolkit.loadData(mei)
    for page in range(1, toolkit.getPageCount() + 1):
        toolkit.renderToSVG(page)


def book(count: int) -> None:
    """A book of ``count`` tunes: time, tunes a second, Verovio's share."""
    texts = [SAMPLES[n % len(SAMPLES)].read_bytes() for n in range(count)]
    start = time.perf_counter()
    scores = [tune.score for text in texts for tune in rollstave.read(text)]
    read = time.perf_counter() - start
    marks = [time.perf_counter()]
    workers = cores()
    data = write_book(scores, progress=lambda: marks.append(time.perf_counter()), workers=workers)
    end = time.perf_counter()
    total = end - start
    meis = [build_mei(s, notate(s), for_engraving=True).decode() for s in scores[: len(SAMPLES)]]
    share = sum(_seconds(lambda mei=mei: _verovio(mei)) for mei in meis)  # type: ignore[misc]
    share *= count / len(SAMPLES)
    print(
        f"book of {count} tunes, {workers} workers: {total:.1f} s, "
        f"{count / total:.1f} tunes a second"
    )
    print(
        f"  reading {read:.1f} s, sheets {marks[-1] - marks[0]:.1f} s, "
        f"Typst {end - marks[-1]:.1f} s, {len(data) / 1e6:.1f} MB"
    )
    print(f"  Verovio's own load and render, one after another: {share:.1f} s")


def sheets() -> None:
    """One warm sheet of each sample beside Verovio alone."""
    ratios = []
    for path in SAMPLES:
        (tune,) = rollstave.read(path)
        mei = build_mei(tune.score, notate(tune.score), for_engraving=True).decode()
        alone = _seconds(lambda mei=mei: _verovio(mei))  # type: ignore[misc]
        whole = _seconds(lambda score=tune.score: write_svg(score))  # type: ignore[misc]
        ratios.append(whole / alone)
        print(
            f"{path.stem}: {whole * 1000:.1f} ms, Verovio {alone * 1000:.1f} ms: {ratios[-1]:.2f}"
        )
    print(f"sheet / Verovio, median: {median(ratios):.2f}")


if __name__ == "__main__":
    sheets()
    book(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
