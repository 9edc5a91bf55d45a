"""Every tune of music21's corpus ``ryansMammoth`` (public domain, 1883) as banjo tab.

One command, from the top of the repository::

    python -m tests.benchmarks.ryans [--tunes N]

music21 writes each tune as MusicXML; rollstave finds strings and frets (a tune that lies beyond
the banjo's range in open G is counted, not played), writes text tab, reads that, writes MusicXML;
music21 reads the pitches back. A tab is playable if no grip stops frets more than six apart and
no fret lies beyond the neck. Corpus files that music21 cannot write are counted as well.
"""

from __future__ import annotations

import argparse
import warnings
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from time import perf_counter
from typing import Any

import rollstave

WIDEST = 6  # frets


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.ryans")
    parser.add_argument("--tunes", type=int, default=None, help="only so many, spread evenly")
    arguments = parser.parse_args()
    from music21 import corpus

    paths = sorted(str(p) for p in corpus.getPaths() if p.parent.name == "ryansMammoth")
    if arguments.tunes:
        paths = [paths[i * len(paths) // arguments.tunes] for i in range(arguments.tunes)]
    start = perf_counter()
    with ProcessPoolExecutor(2) as pool:
        results = list(pool.map(check, paths, chunksize=8))
    for outcome, number in Counter(r for r, _ in results).most_common():
        print(f"{outcome:<44}{number:>6}")
    print(f"{len(paths)} tunes in {perf_counter() - start:.0f} s")
    for path, (outcome, detail) in zip(paths, results, strict=True):
        if outcome not in (SAME, BEYOND):
            print(f"  {path.rsplit('/', 1)[-1]}: {outcome}: {detail}")


SAME = "playable, pitches read back unchanged"
BEYOND = "beyond the range of the banjo"


def check(path: str) -> tuple[str, str]:
    """What became of one tune, and a detail."""
    warnings.simplefilter("ignore")
    from music21 import converter, musicxml

    try:
        score = converter.parse(path)
        for note in list(score.recurse().notes):
            if note.duration.isGrace:
                note.activeSite.remove(note)
        # WinnicksFavoriteJig has "Q:1/4 =50": music21 makes a unit of it that it cannot write.
        for mark in list(score.recurse().getElementsByClass("MetronomeMark")):
            if mark.referent.type == "complex":
                mark.activeSite.remove(mark)
        wanted = pitches(score.parts[0] if score.parts else score)
        data = musicxml.m21ToXml.GeneralObjectExporter(score).parse()
    except Exception as error:
        return "not written by music21", repr(error)[:80]
    try:
        (tune,) = rollstave.read(data)
    except rollstave.TabError as error:
        beyond = any(p.code == "range" for p in error.problems)
        return (BEYOND if beyond else "refused"), str(error)[:120]
    try:
        (tab,) = rollstave.read(rollstave.write(tune, "text")[0])
        rollstave.write(tab, "musicxml")
    except ValueError as error:
        return "not written", str(error)[:120]
    back = converter.parseData(rollstave.write(tab, "musicxml")[0])
    found = pitches(back.parts[0])
    if found != wanted:
        return "pitches differ", f"{len(wanted)} notes, {len(found)} read back"
    for measure in tab.score.measures:
        for event in measure.events:
            frets = [n.fret for n in event.notes if n.fret]
            if frets and max(frets) - min(frets) > WIDEST:
                return "not playable", f"measure {measure.number}: frets {frets}"
    return SAME, ""


def pitches(part: Any) -> list[int]:
    """The MIDI numbers of what is struck, chords from below, chord names left out.

    A note that a tie leads to is not struck. ``stripTies`` is not asked: it takes C with a written
    natural and C without one for two pitches, and leaves a tie between them.
    """
    found: list[int] = []
    for element in part.flatten().notes:
        if "ChordSymbol" in element.classes:
            continue
        notes = element.notes if element.isChord else (element,)
        ties = [note.tie.type if note.tie else "" for note in notes]
        struck = [n for n, tie in zip(notes, ties, strict=True) if tie not in ("stop", "continue")]
        found += sorted(note.pitch.midi for note in struck)
    return found


if __name__ == "__main__":
    main()
