"""What MusicXML loses on its way through a score, and whether it is said.

One command, from the top of the repository::

    python -m tests.benchmarks.losses [--tunes N] [--each]

Tunes of music21's corpus (``ryansMammoth``, ``oneills1850``, ``airdsAirs``), written as MusicXML by
music21, are read and written as MusicXML again. music21 reads both. In every measure the notes with
onset and duration, the rests, the ties over its bars, the chord names and the words sung must be
the same, measure after measure (how they are numbered may change, and how one silence or note is
divided within a measure); a measure where they are not counts as lost in silence unless a problem
names it by its number, or one without a measure names the kind of loss for the whole file.
"""

from __future__ import annotations

import argparse
import re
import warnings
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from fractions import Fraction
from itertools import zip_longest
from time import perf_counter
from typing import Any

import rollstave

COLLECTIONS = ("ryansMammoth", "oneills1850", "airdsAirs")
KINDS = ("notes", "rests", "ties", "chords", "words")
# Words of problems without a measure that say a kind of loss for the whole file.
SAID = {
    "notes": ("notes are left out", "grace notes"),
    "rests": ("rest",),
    "ties": ("tie", "tied"),
    "chords": ("chord",),
    "words": ("lyric", "syllable", "verse"),
}


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.losses")
    parser.add_argument("--tunes", type=int, default=60, help="of each collection, spread evenly")
    parser.add_argument("--each", action="store_true", help="print every loss")
    parser.add_argument("--processes", type=int, default=2)
    arguments = parser.parse_args()
    paths = list(_paths(arguments.tunes))
    start = perf_counter()
    with ProcessPoolExecutor(arguments.processes) as pool:
        results = list(pool.map(check, paths, chunksize=4))
    outcomes = Counter(outcome for outcome, _, _ in results)
    for outcome, number in outcomes.most_common():
        print(f"{outcome:<40}{number:>6}")
    silent, said = Counter[str](), Counter[str]()
    for _, quiet, told in results:
        silent.update(kind for kind, _ in quiet)
        said.update(kind for kind, _ in told)
    print(f"{'kind':<10}{'measures lost, said':>22}{'in silence':>12}")
    for kind in KINDS:
        print(f"{kind:<10}{said[kind]:>22}{silent[kind]:>12}")
    print(f"{len(paths)} files in {perf_counter() - start:.0f} s")
    if arguments.each:
        for path, (outcome, quiet, _) in zip(paths, results, strict=True):
            for kind, detail in quiet:
                print(f"  {path.rsplit('/', 1)[-1]}: {outcome}: {kind}: {detail}")


def _paths(count: int) -> Iterator[str]:
    from music21 import corpus

    everything = sorted(corpus.getPaths())
    groups = [[p for p in everything if p.parent.name == name] for name in COLLECTIONS]
    for group in groups:
        for i in range(min(count, len(group))):
            yield str(group[i * len(group) // min(count, len(group))])


Loss = tuple[str, str]


def check(path: str) -> tuple[str, list[Loss], list[Loss]]:
    """What became of a file, what was lost in silence, and what was lost and said."""
    warnings.simplefilter("ignore")
    from music21 import converter, musicxml

    try:
        score = converter.parse(path)
        if hasattr(score, "scores"):
            score = score.scores[0]  # the first tune of a book
        if not hasattr(score, "parts"):
            return "no score", [], []
        if len(score.parts) > 1:
            return "several parts", [], []
        for mark in list(score.recurse().getElementsByClass("MetronomeMark")):
            if mark.referent.type == "complex":
                mark.activeSite.remove(mark)
        data = musicxml.m21ToXml.GeneralObjectExporter(score).parse()
        before = measures(converter.parseData(data))
    except Exception as error:
        return f"not written by music21 ({type(error).__name__})", [], []
    try:
        (tune,) = rollstave.read(data)
        after = measures(converter.parseData(rollstave.write(tune, "musicxml")[0]))
    except rollstave.TabError as error:
        return f"refused: {error.problems[0].code}", [], []
    quiet: list[Loss] = []
    told: list[Loss] = []
    for (number, was), (_, became) in zip_longest(before, after, fillvalue=("none", {})):
        for kind in KINDS:
            one, other = was.get(kind, ()), became.get(kind, ())
            if one != other:
                is_said = _said(tune.problems, number, kind)
                detail = f"measure {number}: {one} became {other}"[:200]
                (told if is_said else quiet).append((kind, detail))
    outcome = "lost in silence" if quiet else "lost and said" if told else "the same"
    return outcome, quiet, told


def _said(problems: tuple[rollstave.Problem, ...], number: str, kind: str) -> bool:
    for problem in problems:
        words = problem.message.lower()
        named = re.match(r"measures? ([\w, -]+):", words)
        if named and any(_within(number, one) for one in named[1].split(", ")):
            return True
        if "measure" not in words and any(word in words for word in SAID[kind]):
            return True
    return False


def _within(number: str, named: str) -> bool:
    """True for a measure that is named, alone or in a row such as ``4-6``."""
    first, row, last = named.partition("-")
    if row and all(one.isdecimal() for one in (number, first, last)):
        return int(first) <= int(number) <= int(last)
    return number == named


Contents = dict[str, tuple[object, ...]]


def measures(score: Any) -> list[tuple[str, Contents]]:
    """What is in each measure of the first staff, with its number."""
    return [
        (str(measure.measureNumber) + (measure.numberSuffix or ""), _of_measure(measure))
        for measure in score.parts[0].getElementsByClass("Measure")
    ]


def _of_measure(measure: Any) -> Contents:
    lists: dict[str, list[tuple[object, ...]]] = {kind: [] for kind in KINDS}
    rests: list[tuple[Fraction, Fraction]] = []
    open_ties: dict[int, int] = {}  # where in the notes the one is that a tie leads on from
    for element in measure.recurse().notesAndRests:
        onset = Fraction(element.getOffsetInHierarchy(measure))
        if "ChordSymbol" in element.classes or "NoChord" in element.classes:
            lists["chords"].append((str(onset), element.figure))
            continue
        if element.duration.isGrace:
            continue
        length = Fraction(element.duration.quarterLength)
        if element.isRest:
            if rests and sum(rests[-1]) == onset:
                onset, earlier = rests.pop()
                length += earlier
            rests.append((onset, length))
            continue
        for note in element.notes if element.isChord else (element,):
            midi, tie = note.pitch.midi, note.tie.type if note.tie else ""
            held = open_ties.pop(midi, None) if tie in ("stop", "continue") else None
            if held is not None:
                start, earlier, _ = lists["notes"][held]
                lists["notes"][held] = (start, earlier + length, midi)
            else:
                held = len(lists["notes"])
                lists["notes"].append((onset, length, midi))
                if tie in ("stop", "continue"):
                    lists["ties"].append(("into", midi))
            if tie in ("start", "continue"):
                open_ties[midi] = held
        if element.lyric:
            lists["words"].append((str(onset), element.lyric))
    lists["ties"] += [("out of", midi) for midi in open_ties]
    lists["rests"] += rests
    return {kind: tuple(sorted(map(_as_text, items))) for kind, items in lists.items()}


def _as_text(item: tuple[object, ...]) -> tuple[str, ...]:
    return tuple(map(str, item))


if __name__ == "__main__":
    main()
