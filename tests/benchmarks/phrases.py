"""How often the phrases of a lesson are those that others marked.

    python -m tests.benchmarks.phrases [--songs 400] [--dev]

Truth from outside: the songs of the Essen collection in music21's corpus, where each line of the
music is a phrase that a musicologist marked (Schaffrath, The Essen Folksong Collection: a line of
EsAC code is a phrase; its ABC keeps the lines). A phrase that begins with an upbeat begins, for us,
with the measure after it. Songs with an odd number, and those whose number is a multiple of 5, are
only ever reported on; ``--dev`` takes the others, on which ``phrases_fit.py`` fits. Beside it the
tunes of ``ryansMammoth``: whether a strain whose repeats and double bars are taken away is still
begun by a phrase, and whether measures that come again four by four are told as the same.
"""

from __future__ import annotations

import argparse
import re
import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import islice

from msgspec import Struct
from msgspec.structs import replace

import rollstave
from rollstave import Bar, Event, Measure, Meter, Note, Pitch, Place, Rhythm, Score, Source
from rollstave_teaching.phrases import likeness, phrases_of

from .rhythm.corpus import load_first, sources
from .rhythm.model import CorpusTune

_NOTE = re.compile(r"([_^=]*)([A-Ga-gz])([,']*)(\d*)(/\d*)?(-?)")
_HOW = Rhythm(confidence=1.0, sure=True, source=Source.WRITTEN, reasons=())
_NONE = ("E#", "B#")
_SPELT = [
    (step, sharp) for step in "CDEFGAB" for sharp in (0, 1) if step + "#" * sharp not in _NONE
]
_STEPS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


class Song(Struct, frozen=True):
    """A melody as a score, and the measures that phrases begin with, but the first."""

    score: Score
    starts: frozenset[int]


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--songs", type=int, default=400)
    parser.add_argument("--dev", action="store_true")
    asked = parser.parse_args()
    essen(asked.songs, asked.dev)
    ryans(min(asked.songs, 200), asked.dev)


# Songs whose phrases are marked ----------------------------------------------------------------


def songs(dev: bool) -> Iterator[Song]:
    """The songs that are fitted on, or the others."""
    for number, text in enumerate(sources("essenFolksong")):
        if (number % 2 == 0 and number % 5 != 0) == dev:
            song = song_of(text)
            if song is not None:
                yield song


def essen(count: int, dev: bool) -> None:
    ways: dict[str, Counter[str]] = {"ours": Counter(), "every 4": Counter(), "every 2": Counter()}
    used = 0
    for song in islice(songs(dev), count):
        used += 1
        first = int(song.score.measures[0].number == 0)
        last = len(song.score.measures)
        found = {p.begin for p in phrases_of(song.score)} - {0, first}
        _count(ways["ours"], found, song.starts)
        for every in (4, 2):
            _count(ways[f"every {every}"], set(range(first + every, last, every)), song.starts)
    print(f"{used} songs whose phrases are marked")
    for name, counts in ways.items():
        right = counts["right"]
        precision, recall = right / max(1, counts["found"]), right / max(1, counts["marked"])
        both = 2 * precision * recall / max(0.001, precision + recall)
        print(f"  {name}: {precision:.1%} right, {recall:.1%} found, F {both:.3f}")


def _count(into: Counter[str], found: set[int], marked: frozenset[int]) -> None:
    into["right"] += len(found & marked)
    into["found"] += len(found)
    into["marked"] += len(marked)


def song_of(text: str) -> Song | None:
    """A song of plain notes in one time, all of it; None for any other."""
    fields = dict(re.findall(r"^([A-Z]):\s*(.*?)\s*$", text, re.MULTILINE))
    lines = [t for t in text.splitlines() if t.strip() and not re.match(r"[A-Z]:|%", t)]
    if not re.fullmatch(r"[2346]/[248]", fields.get("M", "")) or len(lines) < 3:
        return None
    unit = Fraction(fields.get("L", "1/8")) * 4
    read = [list(_notes(line, unit)) for line in lines]
    if any(re.search(r"[\[\]{}():\"MKL]", line) for line in lines) or not all(read):
        return None
    beats, of = (int(n) for n in fields["M"].split("/"))
    length = Fraction(4 * beats, of)
    first = sum(lasts for _, lasts in _notes(lines[0].split("|")[0], unit))
    pickup = first if first < length else Fraction(0)
    starts, now = set(), Fraction(0)
    for line in read[:-1]:
        now += sum((lasts for _, lasts in line), Fraction(0))
        at = (now - pickup) / length
        whole = int(at)
        starts.add(whole + (at - whole > Fraction(1, 3)) + bool(pickup))
    notes = [note for line in read for note in line]
    meter = Meter(beats, of)
    score = _score(notes, meter, pickup)
    inside = frozenset(s for s in starts if bool(pickup) < s < len(score.measures))
    return Song(score, inside) if len(score.measures) >= 6 else None


def _notes(line: str, unit: Fraction) -> Iterator[tuple[int | None, Fraction]]:
    """Pitch (None: a rest) and duration in quarter notes. Accidentals of the key do not matter."""
    for accidental, letter, octaves, times, part, _ in _NOTE.findall(line):
        lasts = unit * int(times or 1) / (int(part[1:] or 2) if part else 1)
        if letter == "z":
            yield None, lasts
            continue
        octave = 5 + letter.islower() + octaves.count("'") - octaves.count(",")
        alter = accidental.count("^") - accidental.count("_")
        yield 12 * octave + _STEPS[letter.upper()] + alter, lasts


def _score(notes: Sequence[tuple[int | None, Fraction]], meter: Meter, pickup: Fraction) -> Score:
    """A melody on one string; what matters is which note is which."""
    rooms = [pickup] if pickup else []
    measures: list[Measure] = []
    events: list[Event] = []
    at = Fraction(0)
    room = rooms[0] if rooms else meter.length
    for midi, lasts in notes:
        left = lasts
        first = True
        while left > 0:
            here = min(left, room - at)
            struck = (_note(midi),) if midi is not None and first else ()
            events.append(Event(onset=at, duration=here, notes=struck))
            at, left, first = at + here, left - here, False
            if at == room:
                measures.append(_measure(len(measures), events, room, bool(pickup)))
                events, at, room = [], Fraction(0), meter.length
    if events:
        measures.append(_measure(len(measures), events, room, bool(pickup)))
    return replace(_plain(), meter=meter, measures=tuple(measures))


def _note(midi: int) -> Note:
    octave, above = divmod(midi, 12)
    step, alter = _SPELT[above]
    pitch = Pitch(step, alter, octave - 1)
    return Note(string=1, fret=midi, pitch=pitch, place=Place(0, 0))


def _measure(index: int, events: Sequence[Event], length: Fraction, pickup: bool) -> Measure:
    return Measure(
        index=index,
        number=index + (not pickup),
        length=length,
        events=tuple(events),
        rhythm=_HOW,
    )


def _plain() -> Score:
    rows = "\n".join(f"{name}|-0-0-0-0-|" for name in "DBGDg")
    return rollstave.read(f"Time: 4/4\n\n{rows}\n")[0].score


# Strains ---------------------------------------------------------------------------------------


def ryans(count: int, dev: bool) -> None:
    total = len(sources("ryansMammoth"))
    numbers = [n for n in range(total) if (n % 5 != 0) == dev]
    counts: Counter[str] = Counter()
    for tune in load_first("ryansMammoth", numbers, count):
        score = _of_tune(tune)
        told = phrases_of(score)
        bare = replace(
            score,
            measures=tuple(replace(m, left=Bar.NONE, right=Bar.SINGLE) for m in score.measures),
        )
        found = {p.begin for p in phrases_of(bare)}
        strains = _strains(score)
        counts["strains"] += len(strains)
        counts["found"] += len(strains & found)
        counts["by fours"] += sum((s - (score.measures[0].number == 0)) % 4 == 0 for s in strains)
        for begin, end in _again(score, strains):
            counts["again"] += 1
            phrase = next((p for p in told if p.begin == begin and p.end == end), None)
            before = [p for p in told if phrase is not None and p.begin < phrase.begin]
            like = likeness(score, phrase, before) if phrase is not None else None
            counts["told"] += like is not None and not like.differs
    print(f"{count} tunes in strains, whose bars are taken away")
    print(f"  strains begun by a phrase: {counts['found']} of {counts['strains']}")
    print(f"  (those that lie on a fourth measure: {counts['by fours']})")
    print(
        f"  four measures that come again, told as the same: {counts['told']} of {counts['again']}"
    )


def _of_tune(tune: CorpusTune) -> Score:
    measures = []
    for index, old in enumerate(tune.measures):
        events = [
            Event(onset=n.onset, duration=n.duration, notes=(_note(n.midi),)) for n in old.notes
        ]
        pickup = index == 0 and old.length < tune.meter.length
        measures.append(
            Measure(
                index=index,
                number=0 if pickup else index + (tune.measures[0].length >= tune.meter.length),
                length=old.length,
                events=tuple(events),
                rhythm=_HOW,
                left=Bar[old.left.name] if old.left.name in Bar.__members__ else Bar.NONE,
                right=Bar[old.right.name] if old.right.name in Bar.__members__ else Bar.SINGLE,
            )
        )
    meter = Meter(*map(int, str(tune.meter).split("/")))
    return replace(_plain(), meter=meter, measures=tuple(measures))


def _strains(score: Score) -> set[int]:
    """The measures after a repeat or a double bar that have at least four after them."""
    closes = (Bar.REPEAT_END, Bar.DOUBLE)
    last = len(score.measures) - 4
    return {m.index + 1 for m in score.measures if m.right in closes and m.index < last}


def _again(score: Score, strains: set[int]) -> Iterator[tuple[int, int]]:
    """Four measures, a multiple of four into their strain, that are those that began it."""

    def line(begin: int) -> list[object]:
        return [
            [(e.onset, e.duration, e.notes[0].fret) for e in m.events]
            for m in score.measures[begin : begin + 4]
        ]

    starts = sorted({int(score.measures[0].number == 0), *strains})
    for start, end in zip(starts, (*starts[1:], len(score.measures)), strict=True):
        for begin in range(start + 4, end - 3, 4):
            if line(begin) == line(start):
                yield begin, begin + 4


if __name__ == "__main__":
    sys.exit(main())
