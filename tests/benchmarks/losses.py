"""What MusicXML loses on its way through a score, and whether it is said.

One command, from the top of the repository::

    python -m tests.benchmarks.losses [--tunes N] [--each]

Tunes of music21's corpus (``ryansMammoth``, ``oneills1850``, ``airdsAirs``), written as MusicXML by
music21, are read and written as MusicXML again. music21 reads both. In every measure the notes with
onset and duration, the rests, the ties, the chord names and the words sung must be the same; a
measure where they are not counts as lost in silence unless a problem names it by its number, or one
without a measure names the kind of loss for the whole file.
"""

from __future__ import annotations

import argparse
import re
import warnings
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from fractions import Fraction
from time import perf_counter
from typing import Any

import rollstave

COLLECTIONS = ("ryansMammoth", "oneills1850", "airdsAirs")
KINDS = ("notes", "rests", "ties", "chords", "words")
# Words of problems without a measure that say a kind of loss for the whole file.
SAID = {
    "notes": ("notes",),
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
    for number in dict.fromkeys((*before, *after)):
        for kind in KINDS:
            one, other = (side.get(number, {}).get(kind, ()) for side in (before, after))
            if one != other:
                is_said = _said(tune.problems, number, kind)
                detail = f"measure {number}: {one} became {other}"[:200]
                (told if is_said else quiet).append((kind, detail))
    outcome = "lost in silence" if quiet else "lost and said" if told else "the same"
    return outcome, quiet, told


def _said(problems: tuple[rollstave.Problem, ...], number: str, kind: str) -> bool:
    for problem in problems:
        words = problem.message.lower()
        named = re.match(r"measures? ([\w, ]+?)(?: and \d+ more)?:", words)
        if named and number in named[1].split(", "):
            return True
        if "measure" not in words and any(word in words for word in SAID[kind]):
            return True
    return False


def measures(score: Any) -> dict[str, dict[str, tuple[object, ...]]]:
    """What is in each measure of the first staff, by its number and its place among like ones."""
    found: dict[str, dict[str, tuple[object, ...]]] = {}
    seen = Counter[str]()
    for measure in score.parts[0].getElementsByClass("Measure"):
        name = str(measure.measureNumber) + (measure.numberSuffix or "")
        seen[name] += 1
        key = name if seen[name] == 1 else f"{name} ({seen[name]})"
        found[key] = _of_measure(measure)
    return found


def _of_measure(measure: Any) -> dict[str, tuple[object, ...]]:
    lists: dict[str, list[object]] = {kind: [] for kind in KINDS}
    for element in measure.recurse().notesAndRests:
        if "ChordSymbol" in element.classes or "NoChord" in element.classes:
            onset = Fraction(element.getOffsetInHierarchy(measure))
            lists["chords"].append((str(onset), element.figure))
            continue
        if element.duration.isGrace:
            continue
        onset = Fraction(element.getOffsetInHierarchy(measure))
        length = Fraction(element.duration.quarterLength)
        if element.isRest:
            lists["rests"].append((str(onset), str(length)))
            continue
        notes = element.notes if element.isChord else (element,)
        pitches = tuple(sorted(note.pitch.midi for note in notes))
        lists["notes"].append((str(onset), str(length), pitches))
        ties = tuple(sorted((n.pitch.midi, n.tie.type) for n in notes if n.tie))
        if ties:
            lists["ties"].append((str(onset), ties))
        if element.lyric:
            lists["words"].append((str(onset), element.lyric))
    return {kind: tuple(sorted(items, key=str)) for kind, items in lists.items()}


if __name__ == "__main__":
    main()
