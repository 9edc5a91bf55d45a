"""What MusicXML loses on its way through a score, and whether it is said.

One command, from the top of the repository::

    python -m tests.benchmarks.losses [--tunes N] [--others N] [--whole] [--each] [--slice 2/9]

Tunes of music21's corpus (``ryansMammoth``, ``oneills1850``, ``airdsAirs``; with ``--whole`` all of
them, and all tunes of books; of ``essenFolksong`` with ``--songs`` so many of each book) and single
parts of its other scores, written as MusicXML by music21, are read and written as MusicXML again.
``--slice`` takes every ninth file from the second on. music21 reads both. In every measure the
notes with onset and duration, the rests, the ties over its bars, the chord names and the words sung must be
the same, measure after measure (how they are numbered may change, and how one silence or note is
divided within a measure); a measure where they are not counts as lost in silence unless a problem
names it by its number, or one without a measure names the kind of loss for the whole file.
"""

from __future__ import annotations

import argparse
import re
import warnings
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from fractions import Fraction
from itertools import zip_longest
from pathlib import Path
from time import perf_counter
from typing import Any

from msgspec import Struct

import rollstave

COLLECTIONS = ("ryansMammoth", "oneills1850", "airdsAirs")
SONGS = "essenFolksong"
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
    parser.add_argument("--songs", type=int, default=0, help="of each book of folk songs")
    parser.add_argument("--others", type=int, default=0, help="parts of other scores")
    parser.add_argument("--whole", action="store_true", help="all tunes of the collections")
    parser.add_argument("--each", action="store_true", help="print every loss")
    parser.add_argument("--slice", default="1/1", help="one of so many parts of all files")
    parser.add_argument("--processes", type=int, default=2)
    arguments = parser.parse_args()
    books = books_of(arguments)
    start = perf_counter()
    with ProcessPoolExecutor(arguments.processes) as pool:
        results = [found for book in pool.map(check_book, books) for found in book]
    outcomes = Counter(found.outcome for found in results)
    for outcome, count in outcomes.most_common():
        print(f"{outcome:<40}{count:>6}")
    silent, said = Counter[str](), Counter[str]()
    for found in results:
        silent.update(kind for kind, _ in found.quiet)
        said.update(kind for kind, _ in found.told)
    print(f"{'kind':<10}{'measures lost, said':>22}{'in silence':>12}")
    for kind in KINDS:
        print(f"{kind:<10}{said[kind]:>22}{silent[kind]:>12}")
    print(f"{len(results)} tunes in {perf_counter() - start:.0f} s")
    if arguments.each:
        for found in results:
            for kind, detail in found.quiet:
                print(f"  {found.name}: {found.outcome}: {kind}: {detail}", flush=True)


def books_of(arguments: argparse.Namespace) -> list[Book]:
    """What the command asks for."""
    books = list(_whole() if arguments.whole else _spread(arguments.tunes))
    books += [*_songs(arguments.songs), *_others(arguments.others)]
    number, _, of = arguments.slice.partition("/")
    return books[int(number) - 1 :: int(of)]


class Book(Struct, frozen=True):
    """A file, and which of its tunes or parts are taken: all where there is no number."""

    path: Path
    places: tuple[int, ...] = ()


Loss = tuple[str, str]


class Found(Struct, frozen=True):
    """What became of a tune, what was lost in silence, and what was lost and said."""

    name: str
    outcome: str
    quiet: tuple[Loss, ...] = ()
    told: tuple[Loss, ...] = ()


def _files(*collections: str) -> list[Path]:
    """The files of some collections; without any, those of none of them."""
    from music21 import corpus

    known = (*COLLECTIONS, SONGS)
    return [
        p
        for p in sorted(corpus.getPaths())
        if (p.parent.name in collections if collections else p.parent.name not in known)
    ]


def _evenly(files: Sequence[Path], count: int) -> list[Path]:
    count = min(count, len(files))
    return [files[i * len(files) // count] for i in range(count)]


def _spread(count: int) -> Iterator[Book]:
    """So many files of each collection, the first tune of each."""
    for name in COLLECTIONS:
        for path in _evenly(_files(name), count):
            yield Book(path, (0,))


def _whole() -> Iterator[Book]:
    """Every tune of the collections."""
    yield from (Book(path) for path in _files(*COLLECTIONS))


def _songs(count: int) -> Iterator[Book]:
    """So many songs of each book, from all over it."""
    for path in _files(SONGS) if count else ():
        words = path.read_text(encoding="utf-8", errors="replace")
        songs = len(re.findall(r"^X:", words, re.MULTILINE))
        yield Book(path, tuple(sorted({i * songs // count for i in range(count)})))


def _others(count: int) -> Iterator[Book]:
    """Scores outside the collections, spread evenly; of each another part than of the last."""
    for place, path in enumerate(_evenly(_files(), count)):
        yield Book(path, (place,))


def tunes_of(book: Book) -> Iterator[tuple[str, Any]]:
    """The tunes of a book, or one part of a score, with their names."""
    from music21 import converter, stream

    parsed = converter.parse(book.path)
    scores = list(parsed.scores) if hasattr(parsed, "scores") else []
    if scores:
        for place in book.places or range(len(scores)):
            yield f"{book.path.name}, {place % len(scores)}", scores[place % len(scores)]
    elif hasattr(parsed, "parts") and len(parsed.parts):
        place = book.places[0] % len(parsed.parts) if book.places else 0
        if len(parsed.parts) > 1:
            alone = stream.Score()
            alone.insert(0, parsed.parts[place])
            parsed = alone
        yield f"{book.path.name}, {place}", parsed


def check_book(book: Book) -> list[Found]:
    """What became of each tune of a book."""
    warnings.simplefilter("ignore")
    try:
        return [check(name, score) for name, score in tunes_of(book)]
    except Exception as error:
        return [Found(book.path.name, f"not read by music21 ({type(error).__name__})")]


def as_musicxml(score: Any) -> bytes:
    """A tune as music21 writes it, which cannot write every mark of a tempo."""
    from music21 import musicxml

    for mark in list(score.recurse().getElementsByClass("MetronomeMark")):
        if mark.referent.type == "complex":
            mark.activeSite.remove(mark)
    data: bytes = musicxml.m21ToXml.GeneralObjectExporter(score).parse()
    return data


def check(name: str, score: Any) -> Found:
    """What became of a tune."""
    from music21 import converter

    try:
        data = as_musicxml(score)
        before = measures(converter.parseData(data))
    except Exception as error:
        return Found(name, f"not written by music21 ({type(error).__name__})")
    try:
        (tune,) = rollstave.read(data)
        after = measures(converter.parseData(rollstave.write(tune, "musicxml")[0]))
    except rollstave.TabError as error:
        return Found(name, f"refused: {error.problems[0].code}")
    except Exception as error:
        return Found(name, "a fault", (("notes", f"{type(error).__name__}: {error}"[:200]),))
    quiet: list[Loss] = []
    told: list[Loss] = []
    for (number, was), (_, became) in zip_longest(before, after, fillvalue=("none", {})):
        for kind in KINDS:
            one, other = was.get(kind, ()), became.get(kind, ())
            if one != other:
                is_said = _said(tune.problems, number, kind)
                detail = f"measure {number}: {one} became {other}"[:300]
                (told if is_said else quiet).append((kind, detail))
    outcome = "lost in silence" if quiet else "lost and said" if told else "the same"
    return Found(name, outcome, tuple(quiet), tuple(told))


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
        # A hyphen that is typed and one that follows from the syllable are one to the eye.
        sung = [" ".join(lyric.rawText.split()).lstrip("-") for lyric in element.lyrics]
        if any(sung):
            ends = (f"{words.rstrip('-')}{'-' * words.endswith('-')}" for words in sung if words)
            lists["words"].append((str(onset), *ends))
    lists["ties"] += [("out of", midi) for midi in open_ties]
    lists["rests"] += rests
    return {kind: tuple(sorted(map(_as_text, items))) for kind, items in lists.items()}


def _as_text(item: tuple[object, ...]) -> tuple[str, ...]:
    return tuple(map(str, item))


if __name__ == "__main__":
    main()
