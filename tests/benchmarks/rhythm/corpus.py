"""Tunes of four collections in music21's corpus as plain data.

``ryansMammoth`` (1,059 fiddle tunes), ``airdsAirs`` (1,180), ``oneills1850`` (2,009) and
``essenFolksong`` (8,514 songs). Tunes are numbered from 0, in the sorted order of their files and
as they stand in them. The rhythm is music21's reading of each tune, changed in these ways only:

- grace notes and anything else without a duration are dropped;
- of a chord the top note is kept;
- notes tied within a measure are one note; a note tied over the bar line is struck again, since
  a banjo does not sustain;
- a rest is a gap: the note before it lasts until the next onset or the end of the measure,
  because text tab cannot show the difference. A rest at the start of a measure stays: the first
  onset is then later than 0.

Tunes that are left out, with the reason, are in ``Corpus.skipped``.
"""

from __future__ import annotations

import hashlib
import os
import pickle
import re
import tempfile
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from .model import Bar, CorpusMeasure, CorpusTune, MeasureKind, MelodyNote, Meter
from .split import is_for_tuning

COLLECTION = "ryansMammoth"
COLLECTIONS = (COLLECTION, "airdsAirs", "oneills1850", "essenFolksong")
FINEST = 24  # onsets must lie on 24ths of a quarter note: 32nd notes and their triplets


@dataclass(frozen=True, slots=True)
class Corpus:
    """The tunes that can be used, and for the others (by number) why they cannot."""

    tunes: tuple[CorpusTune, ...]
    skipped: dict[int, str]


class Unusable(Exception):
    """A tune that the benchmark leaves out; the text says why."""


def load(collection: str = COLLECTION) -> Corpus:
    """A collection, from a cache in the temporary directory if there is one.

    The cache is good for one version of music21 and of the two files that make its contents.
    Raises ValueError for a collection that is not in ``COLLECTIONS``.
    """
    import music21

    if collection not in COLLECTIONS:
        raise ValueError(f"no collection {collection}; there are {', '.join(COLLECTIONS)}")
    code = b"".join(Path(__file__).with_name(n).read_bytes() for n in ("corpus.py", "model.py"))
    version = f"{music21.__version__}-{hashlib.sha256(code).hexdigest()[:12]}"
    cache = Path(tempfile.gettempdir()) / f"rollstave-{collection}-{version}.pickle"
    if cache.exists():
        with cache.open("rb") as file:
            found = pickle.load(file)
        if isinstance(found, Corpus):
            return found
    corpus = _read_all(collection)
    partial = cache.with_suffix(f".{os.getpid()}")
    partial.write_bytes(pickle.dumps(corpus))
    partial.replace(cache)
    return corpus


def load_some(numbers: Iterable[int], collection: str = COLLECTION) -> dict[int, CorpusTune]:
    """A few tunes by number, read without the cache. Raises KeyError for one left out."""
    texts = sources(collection)
    found = {}
    for number in numbers:
        tune = _read((number, texts[number]))
        if isinstance(tune, str):
            raise KeyError(f"tune {number} is left out: {tune}")
        found[number] = tune
    return found


def load_few(collection: str, count: int) -> list[CorpusTune]:
    """So many tunes to report on, spread over a collection, read without the cache."""
    texts = sources(collection)
    numbers = [n for n in range(len(texts)) if not is_for_tuning(n)]
    found: dict[int, CorpusTune] = {}
    for wanted in range(min(count, len(numbers))):
        for number in numbers[wanted * len(numbers) // count :]:
            tune = None if number in found else _read((number, texts[number]))
            if isinstance(tune, CorpusTune):
                found[number] = tune
                break
    return [found[number] for number in sorted(found)]


def load_first(collection: str, numbers: Iterable[int], count: int) -> list[CorpusTune]:
    """The first so many tunes that can be used, in the order of the numbers given."""
    texts = sources(collection)
    found: list[CorpusTune] = []
    for number in numbers:
        if len(found) == count:
            break
        tune = _read((number, texts[number]))
        if isinstance(tune, CorpusTune):
            found.append(tune)
    return found


def sources(collection: str = COLLECTION) -> list[str]:
    """The text (ABC) of each tune of a collection, by its number."""
    from music21 import corpus as music21_corpus

    paths = sorted(str(p) for p in music21_corpus.getPaths() if p.parent.name == collection)
    texts = []
    for path in paths:
        whole = Path(path).read_bytes().decode("utf-8", "replace")
        # A tune begins at its reference number; what stands before the first is about the book.
        texts += re.split(r"^(?=X:)", whole.replace("\r\n", "\n"), flags=re.MULTILINE)[1:]
    return texts


def _read_all(collection: str) -> Corpus:
    with ProcessPoolExecutor(2) as pool:
        results = list(pool.map(_read, enumerate(sources(collection)), chunksize=20))
    return Corpus(
        tunes=tuple(r for r in results if isinstance(r, CorpusTune)),
        skipped={n: r for n, r in enumerate(results) if isinstance(r, str)},
    )


def _read(numbered: tuple[int, str]) -> CorpusTune | str:
    """One tune, or the reason why it is left out."""
    number, text = numbered
    from music21 import converter

    try:
        score = converter.parse(text, format="abc")
    except Exception as error:  # music21 raises many kinds for what it cannot read
        return f"music21 cannot read it: {type(error).__name__}"
    try:
        return _tune(number, score.parts[0])
    except Unusable as error:
        return str(error)


def _tune(number: int, part: Any) -> CorpusTune:
    streams = list(part.getElementsByClass("Measure"))
    meters = {t.ratioString for t in part.recurse().getElementsByClass("TimeSignature")}
    if len(meters) > 1:
        raise Unusable("the meter changes in the tune (mostly measures of a wrong length)")
    if not meters:
        raise Unusable("no meter")
    count, unit = meters.pop().split("/")
    meter = Meter(int(count), int(unit))
    keys = list(part.recurse().getElementsByClass("KeySignature"))
    bars = [(_left(m), _right(m)) for m in streams]
    lengths = [_fraction(m.duration.quarterLength) for m in streams]
    kinds = _kinds(lengths, bars, meter)
    measures = tuple(
        CorpusMeasure(stream.number, length, _melody(stream, length), kind, *bar)
        for stream, length, kind, bar in zip(streams, lengths, kinds, bars, strict=True)
        if length > 0
    )
    if not any(m.notes for m in measures):
        raise Unusable("no notes")
    return CorpusTune(number, meter, keys[0].sharps if keys else 0, measures)


def _fraction(value: Any) -> Fraction:
    exact = Fraction(value).limit_denominator(1000)
    if FINEST % exact.denominator:
        raise Unusable(f"onsets that are no multiple of 1/{FINEST} of a quarter note")
    return exact


def _melody(stream: Any, length: Fraction) -> tuple[MelodyNote, ...]:
    struck: list[tuple[Fraction, int]] = []
    for note in stream.recurse().notes:
        if note.duration.isGrace or note.quarterLength == 0:
            continue
        midi = max(p.midi for p in note.pitches)
        held = note.tie is not None and note.tie.type in ("stop", "continue")
        if held and struck and struck[-1][1] == midi:
            continue
        struck.append((_fraction(note.offset), midi))
    ends = [*(onset for onset, _ in struck[1:]), length][: len(struck)]
    return tuple(
        MelodyNote(onset, end - onset, midi)
        for (onset, midi), end in zip(struck, ends, strict=True)
    )


def _left(stream: Any) -> Bar:
    line = stream.leftBarline
    return Bar.REPEAT_START if getattr(line, "direction", None) == "start" else Bar.SINGLE


def _right(stream: Any) -> Bar:
    line = stream.rightBarline
    if line is None:
        return Bar.SINGLE
    return Bar.REPEAT_END if getattr(line, "direction", None) == "end" else Bar.DOUBLE


def _kinds(
    lengths: list[Fraction], bars: list[tuple[Bar, Bar]], meter: Meter
) -> Iterable[MeasureKind]:
    """The kind of each measure; see ``MeasureKind``."""
    last = len(lengths) - 1
    after = [
        i == 0 or bars[i][0] is not Bar.SINGLE or bars[i - 1][1] is not Bar.SINGLE
        for i in range(len(lengths))
    ]
    before = [i == last or after[i + 1] for i in range(len(lengths))]
    pickups = {n for n, start in zip(lengths, after, strict=True) if start and n < meter.length}
    for length, start, end in zip(lengths, after, before, strict=True):
        if length == meter.length:
            yield MeasureKind.FULL
        elif (
            end and _completes(length, meter, pickups) and (not start or length * 2 > meter.length)
        ):
            yield MeasureKind.COMPLEMENT  # with bars on both sides: a second ending
        elif length < meter.length and start:
            yield MeasureKind.PICKUP
        else:
            yield MeasureKind.ODD


def _completes(length: Fraction, meter: Meter, pickups: set[Fraction]) -> bool:
    return length < meter.length and meter.length - length in pickups
