"""How fast one tune goes through, as ratios measured by turns in one run.

``python -m tests.benchmarks.speed [ROUNDS]`` prints

- warm: from text to SVG, and to SVG and MusicXML, beside Verovio's own load and render of the same
  MEI (aim: 1.6 times or less);
- MusicXML: our writer beside a script that builds the same music as a music21 stream and has
  music21 write it (aim: 10 times as fast or more);
- growth: the time from text to MusicXML, MIDI and SVG for 10 to 10,000 measures in one file, and
  the exponent of the line fitted to their logarithms (aim: 1).

It asserts nothing. ``tests/benchmarks/cold_start.py`` has the cold process.
"""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

import rollstave
from rollstave.notating.notation import notate
from rollstave.writing.mei import build_mei
from rollstave.writing.sheet import engraver

SAMPLES = sorted((Path(__file__).parents[2] / "samples").glob("*.txt"))
MEASURES = (10, 30, 100, 300, 1_000, 3_000, 10_000)


def _by_turns(works: dict[str, Callable[[], object]], rounds: int) -> dict[str, float]:
    """The median seconds of each, all of them run once in every round."""
    for work in works.values():
        work()
    found: dict[str, list[float]] = {name: [] for name in works}
    for _ in range(rounds):
        for name, work in works.items():
            start = time.perf_counter()
            work()
            found[name].append(time.perf_counter() - start)
    return {name: median(times) for name, times in found.items()}


def _verovio(mei: str) -> None:
    toolkit = engraver.toolkit()
    toolkit.loadData(mei)
    for page in range(1, toolkit.getPageCount() + 1):
        toolkit.renderToSVG(page)


def warm(rounds: int) -> None:
    """The whole way of one tune beside Verovio alone."""
    print("warm, ms: verovio alone, reading, text to SVG, and to MusicXML too; ratios to Verovio")
    sheets, both = [], []
    for path in SAMPLES:
        data = path.read_bytes()
        (tune,) = rollstave.read(data)
        mei = build_mei(tune.score, notate(tune.score), for_engraving=True).decode()

        # Every run reads anew, so that nothing kept for a score of an earlier run helps it.
        def svg(data: bytes = data, *more: str) -> None:
            (read,) = rollstave.read(data)
            for form in ("svg", *more):
                rollstave.write(read, form)

        t = _by_turns(
            {
                "verovio": lambda mei=mei: _verovio(mei),  # type: ignore[misc]
                "read": lambda data=data: rollstave.read(data),  # type: ignore[misc]
                "svg": svg,
                "both": lambda svg=svg, data=data: svg(data, "musicxml"),  # type: ignore[misc]
            },
            rounds,
        )
        sheets.append(t["svg"] / t["verovio"])
        both.append(t["both"] / t["verovio"])
        times = " ".join(f"{1000 * t[k]:6.1f}" for k in ("verovio", "read", "svg", "both"))
        print(f"  {path.stem:22} {times}   {sheets[-1]:.2f}  {both[-1]:.2f}")
    print(f"  median: text to SVG {median(sheets):.2f}, to SVG and MusicXML {median(both):.2f}")


def _with_music21(score: rollstave.Score) -> bytes:
    """The same notes on a staff and a tab part, built as a music21 stream and written by it."""
    from music21 import articulations, meter, note, stream
    from music21.musicxml.m21ToXml import GeneralObjectExporter

    whole = stream.Score()
    for staff in range(2):
        part = stream.Part()
        for measure in score.measures:
            made = stream.Measure(number=measure.number)
            if measure.index == 0:
                made.append(meter.TimeSignature(str(score.meter)))
            for event in measure.events:
                if not event.notes:
                    made.insert(event.onset, note.Rest(quarterLength=event.duration))
                for struck in event.notes:
                    one = note.Note(struck.pitch.midi, quarterLength=event.duration)
                    if staff:
                        one.articulations.append(articulations.StringIndication(struck.string))
                        one.articulations.append(articulations.FretIndication(struck.fret or 0))
                    made.insert(event.onset, one)
            part.append(made)
        whole.insert(0, part)
    return GeneralObjectExporter(whole).parse()


def musicxml(rounds: int) -> None:
    """Our MusicXML beside music21's, of the same score."""
    ratios = []
    for path in SAMPLES:
        (tune,) = rollstave.read(path)
        t = _by_turns(
            {
                "ours": lambda score=tune.score: rollstave.write(score, "musicxml"),  # type: ignore[misc]
                "music21": lambda score=tune.score: _with_music21(score),  # type: ignore[misc]
            },
            max(3, rounds // 5),
        )
        ratios.append(t["music21"] / t["ours"])
    print(f"MusicXML: {median(ratios):.1f} times as fast as music21 ({min(ratios):.1f} at least)")


def _long(measures: int) -> str:
    """A tune of so many measures, four to a system, of eight-note rolls that change."""
    lines = ["Title: Long Way to the Ferry", "Tuning: gDGBD", "Key: G", "Time: 4/4", ""]
    rolls = ("32153215", "43214321", "32513251", "51235123")
    for first in range(0, measures, 4):
        cells = []
        for number in range(first, min(first + 4, measures)):
            roll = rolls[number * 7 % 4]
            cells.append(
                [
                    "-"
                    + "".join(
                        f"{(number * 5 + at) % 3 * 2 if string != 5 else 0}-"
                        if int(struck) == string
                        else "--"
                        for at, struck in enumerate(roll)
                    )
                    for string in range(1, 6)
                ]
            )
        lines += ["DBGDg"[s] + "|" + "|".join(c[s] for c in cells) + "|" for s in range(5)]
        lines.append("")
    return "\n".join(lines)


def growth() -> None:
    """Time against length, and the exponent of the fitted power."""
    points: dict[str, list[tuple[float, float]]] = {}
    for count in MEASURES:
        text = _long(count)
        start = time.perf_counter()
        (tune,) = rollstave.read(text)
        times = {"read": time.perf_counter() - start}
        for form in ("musicxml", "midi", "text", "svg"):
            start = time.perf_counter()
            rollstave.write(tune, form)
            times[form] = time.perf_counter() - start
        assert len(tune.score.measures) == count
        for name, seconds in times.items():
            points.setdefault(name, []).append((math.log(count), math.log(seconds)))
        shown = " ".join(f"{k} {v / count * 1000:.2f}" for k, v in times.items())
        print(f"  {count:6} measures, ms a measure: {shown}")
    for name, found in points.items():
        print(
            f"  exponent of {name}: {_slope(found[2:]):.2f} from 100 measures, {_slope(found):.2f}"
        )


def _slope(points: list[tuple[float, float]]) -> float:
    """The slope of the line of least squares."""
    mean_x, mean_y = (sum(p[i] for p in points) / len(points) for i in (0, 1))
    top = sum((x - mean_x) * (y - mean_y) for x, y in points)
    return top / sum((x - mean_x) ** 2 for x, _ in points)


if __name__ == "__main__":
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    warm(rounds)
    musicxml(rounds)
    growth()
