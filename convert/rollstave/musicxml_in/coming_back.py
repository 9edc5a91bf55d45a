"""Notes that come back as they were keep string, fret, fingers and marks.

Editors leave out what they do not know: the tablature, the letters under it, a mark. Where the
score that a file was made from is at hand, notes that are struck when they were, at their pitch,
are given back what no note of the file has any more.
"""

from __future__ import annotations

from collections.abc import Sequence

from lxml import etree
from msgspec.structs import asdict

from rollstave.instruments.setup import NoSuchFret, Setup
from rollstave.musicxml_in.measures import ReadMeasure, read_measures
from rollstave.musicxml_in.notes import Heard
from rollstave.problems import ProblemList
from rollstave.score.aligned import moved, origins, shared, struck_in, transposed
from rollstave.score.records import Note, Score

# What a note of a score has and an editor may drop; the first of a row says whether it did.
_MAY_BE_LOST = (
    ("finger", "inferred_finger"),
    ("left_finger",),
    ("marks",),
    ("ghost",),
    ("vibrato",),
    ("bend",),
    ("let_ring",),
    ("slide_from",),
    ("slide_to",),
    ("link",),
)


def nearest(scores: Sequence[Score], title: str, part: etree._Element) -> Score:
    """The score that a part was most likely made from: the one of its title, of several or none the
    one that most of its notes are in, when they are and as high."""
    named = [score for score in scores if score.title.casefold() == title.casefold()]
    if len(named) == 1:
        return named[0]
    measures, *_ = read_measures(part, ProblemList())
    new = [frozenset((h.onset, h.pitch.midi) for h in read.heard) for read in measures]

    def alike(score: Score) -> int:
        return shared([struck_in(measure) for measure in score.measures], new)

    return max(named or scores, key=alike)


def give_back(measures: Sequence[ReadMeasure], since: Score, setup: Setup) -> int:
    """Give notes without a place the one that they had, and what the file has lost; how many have
    their place again."""
    heard = [note for read in measures for note in read.heard]
    lost = [row for row in _MAY_BE_LOST if not any(getattr(note, row[0]) for note in heard)]
    old = [struck_in(measure) for measure in since.measures]
    new = [
        frozenset((h.onset, h.pitch.midi) for h in read.heard if h.duration and not h.tied)
        for read in measures
    ]
    steps = transposed(old, new)
    old = [moved(keys, steps) for keys in old]
    placed = 0
    for here, there in origins(old, new).items():
        were = {
            (event.onset, note.pitch.midi): note
            for event in since.measures[there].events
            for note in event.notes
        }
        for note in measures[here].heard:
            was = were.get((note.onset, note.pitch.midi - steps))
            if was is None or not note.duration:
                continue
            placed += _place(note, was, setup)
            if note.string in (None, was.string):
                _take(note, was, lost)
    return placed


def _place(note: Heard, was: Note, setup: Setup) -> bool:
    """Put a note without a place where it was, if that still sounds its pitch."""
    if note.string is not None or was.fret is None or was.muted:
        return False
    try:
        sounds = setup.midi(was.string, was.fret, was.half)
    except NoSuchFret:
        return False
    if sounds != note.pitch.midi:
        return False
    note.string, note.fret, note.half = was.string, was.fret, was.half
    return True


def _take(note: Heard, was: Note, lost: Sequence[tuple[str, ...]]) -> None:
    fields = asdict(was)
    for row in lost:
        if fields[row[0]]:
            for name in row:
                setattr(note, name, fields[name])
